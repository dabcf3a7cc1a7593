"""The kit that completes a build, as JSON."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from builds.kit.choosing import AIMS, SOURCES, TIME_MAX_S, TIME_S, Asked, Kit, KitAnswer
from builds.serializers import FigureSerializer, JudgementSerializer, plain_figures
from builds.serializers.findings import plain_judgement

STATES = ("optimal", "best_so_far", "impossible", "not_found")
FIGURES = ("empty_g", "auw_g", "cg_x_mm", "pack_x_wanted_mm", "current_max_a")


class KitRequestSerializer(serializers.Serializer[Any]):
    """What is wanted of a kit."""

    aims = serializers.ListField(
        child=serializers.ChoiceField(choices=list(AIMS)),
        max_length=len(AIMS),
        required=False,
        help_text="In order, unless weights are given; else least mass",
    )
    weights = serializers.ListField(
        child=serializers.FloatField(),
        max_length=len(AIMS),
        required=False,
        help_text="As many as aims: then they are weighed",
    )
    sources = serializers.ListField(
        child=serializers.ChoiceField(choices=list(SOURCES)),
        max_length=len(SOURCES),
        required=False,
        help_text="Where parts may come from; else everywhere",
    )
    time_s = serializers.IntegerField(
        min_value=1, max_value=TIME_MAX_S, default=TIME_S, help_text="Seconds at most"
    )

    def asked(self) -> Asked:
        """What is wanted, of valid data."""
        given = self.validated_data
        lists = {
            name: tuple(given[name]) for name in ("aims", "weights", "sources") if name in given
        }
        return Asked(time_s=given["time_s"], **lists)


class KitPartSerializer(serializers.Serializer[Any]):
    """One position and the part chosen for it."""

    position = serializers.IntegerField()
    key = serializers.CharField(help_text="Short name of the position")
    part = serializers.CharField(help_text="Label code")
    name = serializers.CharField()
    owner = serializers.CharField()
    place = serializers.CharField(allow_blank=True)
    mass_g = serializers.FloatField(allow_null=True)
    why = serializers.CharField(allow_blank=True, help_text="Why it cannot be fitted at once")
    counted_on = serializers.ListField(
        child=serializers.CharField(), help_text="Builds whose usual pack it is"
    )


class KitSerializer(serializers.Serializer[Any]):
    """Parts for all open positions, and what is said of the build with them."""

    parts = KitPartSerializer(many=True)
    figures = serializers.DictField(child=FigureSerializer())
    findings = JudgementSerializer()


class KitReasonSerializer(serializers.Serializer[Any]):
    """One rule of a clash, with an example."""

    rule = serializers.CharField()
    message = serializers.CharField()


class KitAnswerSerializer(serializers.Serializer[Any]):
    """The best kit, or the smallest set of positions and rules that clash."""

    state = serializers.ChoiceField(choices=STATES)
    considered = serializers.IntegerField(help_text="Free parts looked through")
    gap = serializers.FloatField(allow_null=True, help_text="By how much another may be better")
    is_all = serializers.BooleanField(help_text="Are these all kits there are")
    kit = KitSerializer(allow_null=True)
    alternatives = KitSerializer(many=True)
    clash = serializers.ListField(
        child=serializers.CharField(), help_text="Short names of positions"
    )
    reasons = KitReasonSerializer(many=True)


def plain_answer(answer: KitAnswer) -> dict[str, Any]:
    """Give the answer of a search as JSON."""
    return {
        "state": answer.state,
        "considered": answer.considered,
        "gap": answer.gap,
        "is_all": answer.is_all,
        "kit": _plain_kit(answer.kit) if answer.kit else None,
        "alternatives": [_plain_kit(one) for one in answer.alternatives],
        "clash": [one.key for one in answer.clash],
        "reasons": [{"rule": rule, "message": message} for rule, message in answer.reasons],
    }


def _plain_kit(kit: Kit) -> dict[str, Any]:
    return {
        "parts": [
            {
                "position": one.position.id,
                "key": one.position.key,
                "part": one.part.code,
                "name": one.record.name,
                "owner": one.record.owner,
                "place": one.record.place,
                "mass_g": one.record.get("mass_g"),
                "why": one.why,
                "counted_on": list(one.counted_on),
            }
            for one in kit.chosen
        ],
        "figures": plain_figures({name: kit.report.figures[name] for name in FIGURES}),
        "findings": plain_judgement(kit.report.judgement, kit.report.snapshot),
    }
