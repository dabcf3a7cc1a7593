"""Compasses, radio links and aerials of a build as JSON."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from builds.placing import PlacingReport
from builds.serializers.power import LabelledFiguresSerializer, plain_labelled


class PlacingSerializer(serializers.Serializer[Any]):
    """What the places of the parts do to the compass and to the radio."""

    compasses = LabelledFiguresSerializer(many=True)
    links = LabelledFiguresSerializer(many=True)
    aerials = LabelledFiguresSerializer(many=True)


def plain_placing(report: PlacingReport) -> dict[str, Any]:
    """Give a placing report as JSON."""
    return {
        "compasses": plain_labelled(report.compasses),
        "links": plain_labelled(report.links),
        "aerials": plain_labelled(report.aerials),
    }
