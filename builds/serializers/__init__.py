"""Builds, their positions and fittings, and what is calculated and judged, as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from drf_spectacular.utils import extend_schema_field, inline_serializer
from rest_framework import serializers

from builds.figures import MAKERS, Figure, Unknown
from builds.models import Build, Fitting, GroundChoice, Position, Revision
from builds.serializers.findings import (
    FindingSerializer,
    JudgementSerializer,
    RuleSerializer,
    plain_finding,
    plain_gap,
    plain_rule,
)
from hangar.clubs.serializers import OwnerField, OwningClubField
from hangar.related import NumberedField
from hangar.serializers import HangarModelSerializer, KnownKeys
from inventory.kinds import kind_choices
from inventory.kinds.airframe import PositionShape
from inventory.serializers.parts import PartCodeField

__all__ = (
    "FIGURES",
    "BuildSerializer",
    "CandidateSerializer",
    "FigureSerializer",
    "FindingSerializer",
    "FittingSerializer",
    "GroundChoiceSerializer",
    "InputSerializer",
    "JudgementSerializer",
    "NewBuildSerializer",
    "NewFittingSerializer",
    "OpenFittingSerializer",
    "PositionSerializer",
    "RejectedSerializer",
    "RevisionSerializer",
    "RuleSerializer",
    "SpareSearchSerializer",
    "plain_figure",
    "plain_figures",
    "plain_finding",
    "plain_gap",
    "plain_rule",
)

SHAPE = tuple(field.name for field in PositionShape._meta.get_fields())
SET_UP = (
    "name",
    "motor_signal",
    "servo_rate_hz",
    "pack",
    "pack_x_mm",
    "packs_wiring",
    "cg_min_x_mm",
    "cg_max_x_mm",
    "cg_target_x_mm",
    "takeoff_mass_max_g",
    "speed_max_m_s",
    "cruise_speed_m_s",
    "full_throttle_share_percent",
    "reserve_percent",
    "planned_flight_s",
    "timer_s",
    "voltage_alarm_v",
    "cell_alarm_v",
    "current_scale_mv_a",
    "gps_baud_hz",
    "overlay_standard",
    "is_usb_reachable",
    "role",
    "is_hand_launched",
    "work_planned",
    "notes",
)


class BuildSerializer(HangarModelSerializer):
    """An aircraft and its set-up."""

    set_later = ("person", "club", "pack")

    owner = OwnerField()
    pack = PartCodeField(
        required=False, allow_null=True, help_text="Label code of the pack it usually flies with"
    )

    class Meta:
        model = Build
        fields = ("id", *SET_UP, "is_archived", "revision", "owner", "created_at", "updated_at")


class NewBuildSerializer(BuildSerializer):
    """What it takes to make a build."""

    also_shown = BuildSerializer.Meta.fields

    airframe = PartCodeField(
        required=False,
        allow_null=True,
        help_text="Label code of the airframe; its sheet's template gives the positions",
    )
    club = OwningClubField()

    class Meta(BuildSerializer.Meta):
        fields = (*SET_UP, "airframe", "club")  # type: ignore[assignment]

    def _instance_with(self, attrs: dict[str, Any]) -> Any:
        columns = {name: value for name, value in attrs.items() if name != "airframe"}
        return super()._instance_with(columns)


class FittingSerializer(serializers.ModelSerializer[Any]):
    """A part in a position, from when until when."""

    part = PartCodeField()
    position = serializers.IntegerField(source="position_id", read_only=True)
    fitted_by = serializers.CharField(source="fitted_by.username", read_only=True)
    removed_by = serializers.SerializerMethodField()

    class Meta:
        model = Fitting
        fields = (
            "id",
            "position",
            "part",
            "quantity",
            "fitted_at",
            "fitted_by",
            "fitted_revision",
            "removed_at",
            "removed_by",
            "removed_revision",
        )
        read_only_fields = ("fitted_at", "fitted_revision", "removed_at", "removed_revision")

    def get_removed_by(self, fitting: Fitting) -> str:
        """Name who took it out."""
        return fitting.removed_by.username if fitting.removed_by else ""


class NewFittingSerializer(KnownKeys):
    """A part to put into a position."""

    also_shown = FittingSerializer.Meta.fields

    position = NumberedField(queryset=Position.objects.select_related("build"))
    part = PartCodeField()
    quantity = serializers.IntegerField(min_value=1, max_value=100_000, default=1)


class OpenFittingSerializer(serializers.ModelSerializer[Any]):
    """What is in a position now."""

    part = serializers.CharField(source="part.code", read_only=True)

    class Meta:
        model = Fitting
        fields = ("id", "part", "quantity", "fitted_at")


class PositionSerializer(HangarModelSerializer):
    """A position of a build, and what is in it."""

    set_later = ("build",)

    fitting = serializers.SerializerMethodField()

    class Meta:
        model = Position
        fields = ("id", *SHAPE, "fitting")

    @extend_schema_field(OpenFittingSerializer(allow_null=True))
    def get_fitting(self, position: Position) -> Any:
        """Give what is fitted; `open_fittings` must have been loaded for a list."""
        fittings = getattr(position, "open_fittings", None)
        if fittings is None:
            fittings = list(position.fittings.open().select_related("part"))
        return OpenFittingSerializer(fittings[0]).data if fittings else None


class RevisionSerializer(serializers.ModelSerializer[Any]):
    """What changed in a build, when and by whom."""

    by = serializers.CharField(source="by.username", read_only=True)

    class Meta:
        model = Revision
        fields = ("number", "at", "by", "text")


class GroundChoiceSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """The ground gear a person flies and charges with: for one build, or for all."""

    part = PartCodeField()
    build = serializers.PrimaryKeyRelatedField(
        queryset=Build.objects.all(), required=False, allow_null=True
    )

    class Meta:
        model = GroundChoice
        fields = ("id", "role", "part", "build")
        read_only_fields = ("role",)


class InputSerializer(serializers.Serializer[Any]):
    """One value that went into a figure."""

    name = serializers.CharField()
    value = serializers.JSONField()
    unit = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    at = serializers.DateTimeField(allow_null=True)


class FigureSerializer(serializers.Serializer[Any]):
    """A figure with its standard uncertainty and its 95 % interval, or what it lacks."""

    value = serializers.FloatField(allow_null=True)
    uncertainty = serializers.FloatField(required=False)
    low = serializers.FloatField(required=False, allow_null=True)
    high = serializers.FloatField(required=False, allow_null=True)
    unit = serializers.CharField()
    inputs = InputSerializer(many=True, required=False)
    source = serializers.CharField(required=False)  # type: ignore[assignment]
    note = serializers.CharField(required=False)
    is_lower_bound = serializers.BooleanField(required=False)
    dominant = serializers.CharField(
        required=False, help_text="The input that widens the interval most, where worked out"
    )
    missing = serializers.ListField(child=serializers.CharField(), required=False)


FIGURES = inline_serializer(
    "Figures",
    {
        name: FigureSerializer(help_text=f"In {maker.unit}." if maker.unit else "A ratio.")
        for name, maker in MAKERS.items()
    },
)


def plain_figures(figures: Mapping[str, Figure | Unknown]) -> dict[str, Any]:
    """Give figures as JSON, by name."""
    return {name: plain_figure(figure) for name, figure in figures.items()}


def plain_figure(figure: Figure | Unknown) -> dict[str, Any]:
    """Give one figure as JSON."""
    if isinstance(figure, Unknown):
        return {
            "value": None,
            "unit": figure.unit,
            "missing": figure.missing,
            "note": figure.note,
        }
    return {
        "value": figure.value,
        "uncertainty": figure.uncertainty,
        "low": figure.low,
        "high": figure.high,
        "unit": figure.unit,
        "inputs": InputSerializer(figure.inputs, many=True).data,
        "source": figure.source,
        "note": figure.note,
        "is_lower_bound": figure.is_lower_bound,
        "dominant": figure.dominant,
    }


class CandidateSerializer(serializers.Serializer[Any]):
    """A part that fits a position, and what it would change."""

    part = serializers.CharField(help_text="Label code")
    kind = serializers.ChoiceField(choices=kind_choices())
    name = serializers.CharField()
    owner = serializers.CharField()
    place = serializers.CharField()
    condition = serializers.CharField()
    is_fittable = serializers.BooleanField(help_text="May you fit it now, without asking")
    why = serializers.CharField()
    mass_change_g = serializers.FloatField(allow_null=True)
    cg_change_mm = serializers.FloatField(allow_null=True)
    new_findings = FindingSerializer(many=True)
    cleared_findings = FindingSerializer(many=True)
    not_judged = serializers.IntegerField(help_text="Checks that lack a figure")
    is_alike = serializers.BooleanField(help_text="Has the data sheet figures of what is in it now")


class RejectedSerializer(serializers.Serializer[Any]):
    """A part that does not fit, and the rules that say so."""

    part = serializers.CharField(help_text="Label code")
    name = serializers.CharField()
    rules = FindingSerializer(many=True)
    count = serializers.IntegerField(help_text="Alike spares for which it stands, itself included")


class FallenBySerializer(serializers.Serializer[Any]):
    """How many of the spares judged a rule throws out."""

    rule = serializers.CharField()
    question = serializers.CharField()
    count = serializers.IntegerField()


class SpareSearchSerializer(serializers.Serializer[Any]):
    """Candidates for a position, best first, and why others fall out."""

    candidates = CandidateSerializer(many=True)
    rejected = RejectedSerializer(many=True)
    fallen = FallenBySerializer(many=True)
    has_more = serializers.BooleanField(help_text="Were some left out, for there are too many")
