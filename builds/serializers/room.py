"""What fits where in a build, as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

from builds.figures.fits import Fit, Verdict
from builds.room import RoomReport
from builds.serializers import FigureSerializer, plain_figures

VERDICTS = [(str(one), str(one)) for one in Verdict]


class FitSerializer(serializers.Serializer[Any]):
    """One thing held against its place; the first figure decides."""

    position = serializers.CharField(help_text="Short name of the place")
    part = serializers.CharField(allow_blank=True, help_text="Label code; empty for none")
    what = serializers.CharField(help_text="What is compared, such as length or holes")
    verdict = serializers.ChoiceField(choices=VERDICTS)
    figures = serializers.DictField(child=FigureSerializer())


class RoomSerializer(serializers.Serializer[Any]):
    """What fits where, and the answer for the sizes asked about."""

    fits = FitSerializer(many=True)
    asked = FitSerializer(many=True)


def plain_room(report: RoomReport) -> dict[str, Any]:
    """Give a report of what fits where as JSON."""
    return {"fits": _plain_fits(report.fits), "asked": _plain_fits(report.answer)}


def _plain_fits(fits: Iterable[Fit]) -> list[dict[str, Any]]:
    return [
        {
            "position": fit.position.key,
            "part": fit.position.part.code if fit.position.part else "",
            "what": fit.what,
            "verdict": str(fit.verdict),
            "figures": plain_figures(fit.figures),
        }
        for fit in fits
    ]
