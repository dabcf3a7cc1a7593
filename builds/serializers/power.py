"""Power, wiring and readings on the bench as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

from builds.figures.results import Labelled
from builds.models import PowerReading
from builds.powering import SETTLED, PowerReport, grouped
from builds.serializers import FigureSerializer, plain_figure, plain_figures
from hangar.serializers import HangarModelSerializer


class PowerReadingSerializer(HangarModelSerializer):
    """One full-throttle reading on the bench; it belongs to motor and propeller fitted then."""

    set_later = ("build", "by", "motor", "propeller")

    by = serializers.CharField(source="by.username", read_only=True)
    motor = serializers.CharField(source="motor.code", read_only=True, help_text="Label code")
    propeller = serializers.CharField(
        source="propeller.code", read_only=True, help_text="Label code"
    )

    class Meta:
        model = PowerReading
        fields = (
            "id",
            "voltage_v",
            "current_a",
            "speed_rpm",
            "thrust_g",
            "elevation_m",
            "temperature_c",
            "note",
            "at",
            "by",
            "revision",
            "motor",
            "propeller",
        )
        read_only_fields = ("at", "revision")
        extra_kwargs = {
            name: {"required": True, "allow_null": False}
            for name in ("voltage_v", "current_a", "speed_rpm")
        }


class RunningPointSerializer(serializers.Serializer[Any]):
    """The drive at one throttle and airspeed."""

    duty = serializers.FloatField()
    airspeed_m_s = serializers.FloatField()
    figures = serializers.DictField(child=FigureSerializer())


class LabelledFiguresSerializer(serializers.Serializer[Any]):
    """Figures of one of several alike things."""

    label = serializers.CharField()  # type: ignore[assignment]
    figures = serializers.DictField(child=FigureSerializer())


class DutyPointSerializer(serializers.Serializer[Any]):
    """Pack current and thrust at a duty, with the ends of their 95 % intervals."""

    duty = serializers.FloatField()
    pack_current_a = serializers.ListField(
        child=serializers.FloatField(), help_text="Value, low, high"
    )
    thrust_g = serializers.ListField(child=serializers.FloatField(), help_text="Value, low, high")


class PowerPointSerializer(serializers.Serializer[Any]):
    """Minutes in cruise at a power."""

    power_w = serializers.FloatField()
    endurance_min = serializers.FloatField()
    endurance_low_min = serializers.FloatField(help_text="Lower end of the 95 % interval")
    endurance_high_min = serializers.FloatField(help_text="Upper end of the 95 % interval")


class PowerSerializer(serializers.Serializer[Any]):
    """All that is worked out of the drive of a build."""

    points = RunningPointSerializer(many=True)
    ratings = LabelledFiguresSerializer(many=True)
    flight = serializers.DictField(child=FigureSerializer())
    leads = LabelledFiguresSerializer(many=True)
    rails = LabelledFiguresSerializer(many=True)
    over_duty = DutyPointSerializer(many=True)
    over_power = PowerPointSerializer(many=True)
    reading = serializers.IntegerField(
        allow_null=True, help_text="Reading on the bench that the figures rest on"
    )
    before_reading = serializers.DictField(
        child=FigureSerializer(), help_text="Figures without that reading; empty without one"
    )


def plain_power(report: PowerReport) -> dict[str, Any]:
    """Give a power report as JSON."""
    return {
        "points": [
            {
                "duty": point.running.duty,
                "airspeed_m_s": point.running.airspeed_m_s,
                "figures": plain_figures(point.figures),
            }
            for point in report.points
        ],
        "ratings": plain_labelled(report.ratings),
        "flight": plain_figures(report.flight),
        "leads": plain_labelled(report.leads),
        "rails": plain_labelled(report.rails),
        "over_duty": [
            {
                "duty": point.duty,
                "pack_current_a": [getattr(point.current_a, end) for end in ENDS],
                "thrust_g": [getattr(point.thrust_g, end) for end in ENDS],
            }
            for point in report.over_duty
        ],
        "over_power": [
            {
                "power_w": point.power_w,
                "endurance_min": point.minutes,
                "endurance_low_min": point.low_min,
                "endurance_high_min": point.high_min,
            }
            for point in report.over_power
        ],
        "reading": report.reading.id if report.reading else None,
        "before_reading": _before_reading(report),
    }


def _before_reading(report: PowerReport) -> dict[str, Any]:
    before = report.before_reading
    return plain_figures({name: before[name] for name in SETTLED}) if before else {}


def plain_labelled(labelled: Iterable[Labelled]) -> list[dict[str, Any]]:
    """Give figures of several things as JSON."""
    return [
        {"label": label, "figures": {name: plain_figure(one) for name, one in figures.items()}}
        for label, figures in grouped(tuple(labelled)).items()
    ]


ENDS = ("value", "low", "high")
