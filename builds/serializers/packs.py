"""The packs for a build, best first, as JSON."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from builds.pack_options import VERDICTS, MatchedPack, PackMatch
from builds.serializers import FigureSerializer, plain_figure, plain_figures, plain_finding
from builds.serializers.findings import FindingSerializer

OF_PACK = ("auw_g", "cg_x_mm", "pack_x_wanted_mm", "pack_current_each_max_a", "endurance_min")


class MatchedPackSerializer(serializers.Serializer[Any]):
    """A pack, the build with it, and the findings that it brings."""

    part = serializers.CharField(help_text="Label code")
    name = serializers.CharField()
    owner = serializers.CharField()
    is_fittable = serializers.BooleanField(help_text="Whether you may fit it at once")
    why = serializers.CharField(help_text="Why you may not; empty when you may")
    verdict = serializers.ChoiceField(choices=list(VERDICTS), help_text="What its log says")
    reason = serializers.CharField(help_text="What the verdict rests on first")
    warnings = serializers.IntegerField(help_text="Warnings of the build with it")
    cautions = serializers.IntegerField(help_text="Cautions of the build with it")
    is_warned = serializers.BooleanField(help_text="Whether the pack itself brings a warning")
    figures = serializers.DictField(child=FigureSerializer())
    share_percent = FigureSerializer(help_text="Current at full throttle over its rating")
    fit = FindingSerializer(many=True, help_text="Brought by the pack: how it goes with the build")
    care = FindingSerializer(many=True, help_text="Brought by the pack: how it was kept and ages")


class SetApartSerializer(serializers.Serializer[Any]):
    """A pack that is out of service, and the reason."""

    part = serializers.CharField(help_text="Label code")
    name = serializers.CharField()
    owner = serializers.CharField()
    reason = serializers.CharField()


class PackMatchSerializer(serializers.Serializer[Any]):
    """All packs for one build, best first, and those out of service."""

    packs = MatchedPackSerializer(many=True)
    with_any = FindingSerializer(many=True, help_text="Brought by every pack alike, told once")
    out_of_service = SetApartSerializer(many=True)
    has_more = serializers.BooleanField(help_text="Whether further packs were left out")


def plain_match(match: PackMatch) -> dict[str, Any]:
    """Give the packs for a build as JSON."""
    return {
        "packs": [_plain_pack(pack) for pack in match.packs],
        "with_any": [plain_finding(finding) for finding in match.with_any],
        "out_of_service": [
            {
                "part": one.record.code,
                "name": one.record.name,
                "owner": one.record.owner,
                "reason": one.reason,
            }
            for one in match.apart
        ],
        "has_more": match.has_more,
    }


def _plain_pack(pack: MatchedPack) -> dict[str, Any]:
    option = pack.option
    return {
        "part": option.record.code,
        "name": option.record.name,
        "owner": option.record.owner,
        "is_fittable": not pack.why,
        "why": pack.why,
        "verdict": option.verdict,
        "reason": option.record.get("health_reason", ""),
        "warnings": option.warnings,
        "cautions": option.cautions,
        "is_warned": pack.is_warned,
        "figures": plain_figures({name: option.figures[name] for name in OF_PACK}),
        "share_percent": plain_figure(pack.share),
        "fit": [plain_finding(finding) for finding in pack.fit],
        "care": [plain_finding(finding) for finding in pack.care],
    }
