"""Control surfaces, throws measured and worked out, and outputs, as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from builds.controls import Compared, Conflict, HoleTable, Mixing, SurfaceSetUp
from builds.controls.holes import unused_of
from builds.engineering.linkage import HoleRow
from builds.engineering.outputs import NoMap
from builds.figures import Figure, Unknown
from builds.figures.units import MICROSECOND, MILLIMETRE, PERCENT
from builds.models import ControlSurface, Position, ThrowRecord
from builds.output_map import Outputs
from builds.serializers import FigureSerializer, InputSerializer, plain_figures
from hangar.related import NumberedField
from hangar.serializers import HangarModelSerializer, KnownKeys

THROWS_MEASURED = (
    "Throws are heights of the trailing edge over neutral: chord times sine of the deflection."
)


class SurfaceSerializer(HangarModelSerializer):
    """A control surface and the linkage from its servo."""

    # A key that is left out is made from the name, so it is judged once it is there.
    set_later = ("build", "key", "servo")

    key = serializers.SlugField(
        max_length=40, required=False, help_text="Made from the name when left out"
    )
    servo = NumberedField(
        queryset=Position.objects.all(),
        required=False,
        allow_null=True,
        help_text="Number of the position of the servo that moves it",
    )

    class Meta:
        model = ControlSurface
        fields = (
            "id",
            "key",
            "name",
            "mixing",
            "servo",
            "chord_mm",
            "span_mm",
            "horn_radius_mm",
            "horn_angle_deg",
            "axis_distance_mm",
            "arm_radius_mm",
            "arm_angle_deg",
            "hinge_limit_deg",
            "play_mm",
            "throw_roll_mm",
            "throw_pitch_mm",
            "throw_yaw_mm",
            "since_revision",
        )
        read_only_fields = ("since_revision",)


class ThrowRecordSerializer(HangarModelSerializer):
    """A throw as it was read, set or measured."""

    set_later = ("build", "surface", "revision", "by")

    by = serializers.CharField(source="by.username", read_only=True)

    class Meta:
        model = ThrowRecord
        fields = (
            "id",
            "axis",
            "up_mm",
            "down_mm",
            "travel_percent",
            "source",
            "note",
            "revision",
            "at",
            "by",
        )
        read_only_fields = ("revision", "at")


class HoleSerializer(serializers.Serializer[Any]):
    """What one hole of the servo arm needs for a throw, and what it gives."""

    arm_radius_mm = serializers.FloatField(help_text="From the shaft's centre")
    is_in_use = serializers.BooleanField()
    problem = serializers.CharField(allow_null=True, help_text="Why it does not give the throw")
    travel_up_percent = serializers.FloatField(allow_null=True)
    travel_down_percent = serializers.FloatField(allow_null=True)
    pulse_up_us = serializers.FloatField(allow_null=True, help_text="Change from the centre")
    pulse_down_us = serializers.FloatField(allow_null=True, help_text="Change from the centre")
    resolution_lost_percent = serializers.FloatField(
        allow_null=True, help_text="Share of the travel that stays unused"
    )
    edge_per_us_mm = serializers.FloatField(
        allow_null=True, help_text="Movement of the edge for one microsecond, at neutral"
    )
    servo_torque_needed_kgcm = serializers.FloatField(allow_null=True)
    is_within_travel = serializers.BooleanField()
    binds_at_full_travel = serializers.BooleanField(allow_null=True)


class HoleTableSerializer(serializers.Serializer[Any]):
    """Every hole for one throw."""

    axis = serializers.CharField()
    wanted_mm = serializers.FloatField()
    problem = serializers.CharField(allow_blank=True)
    best_arm_radius_mm = serializers.FloatField(allow_null=True)
    holes = HoleSerializer(many=True)


class LeftSerializer(serializers.Serializer[Any]):
    """Where the surface stops with one hole, and what it leaves of both commands."""

    arm_radius_mm = serializers.FloatField()
    reached_mm = serializers.FloatField()
    stopped_by = serializers.CharField(help_text="travel, linkage or hinge")
    left_mm = serializers.DictField(child=serializers.FloatField(), help_text="By axis")


class CombinedSerializer(HoleTableSerializer):
    """Both commands of an elevon or V-tail together."""

    reaches = LeftSerializer(many=True)


class ReadingSerializer(serializers.Serializer[Any]):
    """One record of a throw."""

    value_mm = serializers.FloatField()
    travel_percent = serializers.FloatField(allow_null=True)
    source = serializers.CharField()  # type: ignore[assignment]
    at = serializers.DateTimeField(allow_null=True)
    by = serializers.CharField()
    revision = serializers.IntegerField()


class ConflictSerializer(serializers.Serializer[Any]):
    """Records of one throw that cannot all be true; none of them is used."""

    axis = serializers.CharField()
    side = serializers.CharField(help_text="up or down")
    chord_mm = serializers.FloatField(allow_null=True, help_text="Given when a throw exceeds it")
    readings = ReadingSerializer(many=True)


class ComparedSerializer(serializers.Serializer[Any]):
    """A measured throw against what is worked out and wanted."""

    axis = serializers.CharField()
    side = serializers.CharField(help_text="up or down")
    measured_mm = serializers.FloatField()
    worked_out_mm = serializers.FloatField(allow_null=True)
    wanted_mm = serializers.FloatField(allow_null=True)
    travel_wanted_percent = serializers.FloatField(
        allow_null=True, help_text="Travel that should give what is wanted"
    )
    is_as_wanted = serializers.BooleanField()
    is_as_worked_out = serializers.BooleanField()


class SetUpSerializer(serializers.Serializer[Any]):
    """The set-up of one surface."""

    id = serializers.IntegerField()
    key = serializers.CharField()
    name = serializers.CharField()
    mixing = serializers.CharField()
    missing = serializers.ListField(child=serializers.CharField())
    figures = serializers.DictField(child=FigureSerializer(), help_text="By name")
    axes = HoleTableSerializer(many=True)
    combined = CombinedSerializer(allow_null=True)
    conflicts = ConflictSerializer(many=True)
    measured = ComparedSerializer(many=True)
    advice = serializers.ListField(child=serializers.CharField())
    inputs = InputSerializer(many=True)


class ThrowsSerializer(serializers.Serializer[Any]):
    """The control set-up of a build."""

    measured_as = serializers.CharField()
    surfaces = SetUpSerializer(many=True)


def plain_set_up(found: SurfaceSetUp, figures: Mapping[str, Figure | Unknown]) -> dict[str, Any]:
    """Give the set-up of a surface as JSON."""
    moment = figures["hinge_moment_kgcm"].value
    arm = found.setting.arm if found.setting else None
    mixing = found.mixing
    return {
        "id": found.surface.id,
        "key": found.surface.key,
        "name": found.surface.name,
        "mixing": found.surface.mixing,
        "missing": found.missing,
        "figures": plain_figures(figures),
        "axes": [_plain_table(table, arm, moment) for table in found.tables],
        "combined": _plain_mixing(mixing, arm, moment) if mixing else None,
        "conflicts": [_plain_conflict(conflict) for conflict in found.conflicts],
        "measured": [_plain_compared(one) for one in found.compared],
        "advice": found.advice,
        "inputs": InputSerializer(found.inputs, many=True).data,
    }


def _plain_table(table: HoleTable, arm: float | None, moment: float | None) -> dict[str, Any]:
    return {
        "axis": table.what,
        "wanted_mm": table.wanted_mm,
        "problem": table.problem,
        "best_arm_radius_mm": _in(table.best.arm, MILLIMETRE) if table.best else None,
        "holes": [_plain_row(row, arm, moment) for row in table.rows],
    }


def _plain_row(row: HoleRow, arm: float | None, moment: float | None) -> dict[str, Any]:
    up, down = _size(row.travel_up, PERCENT), _size(row.travel_down, PERCENT)
    ratio = row.torque_ratio
    return {
        "arm_radius_mm": _in(row.arm, MILLIMETRE),
        "is_in_use": row.arm == arm,
        "problem": row.problem,
        "travel_up_percent": up,
        "travel_down_percent": down,
        "pulse_up_us": _size(row.pulse_up, MICROSECOND),
        "pulse_down_us": _size(row.pulse_down, MICROSECOND),
        "resolution_lost_percent": _size(unused_of(row), PERCENT),
        "edge_per_us_mm": _size(row.edge_per_step, MILLIMETRE),
        "servo_torque_needed_kgcm": None if ratio is None or moment is None else ratio * moment,
        "is_within_travel": row.is_within_travel,
        "binds_at_full_travel": row.binds_at_full_travel,
    }


def _plain_mixing(mixing: Mixing, arm: float | None, moment: float | None) -> dict[str, Any]:
    return {
        **_plain_table(mixing.table, arm, moment),
        "reaches": [
            {
                "arm_radius_mm": _in(reach.arm, MILLIMETRE),
                "reached_mm": reach.least_mm,
                "stopped_by": reach.stopped_by,
                "left_mm": mixing.left_by_axis(reach),
            }
            for reach in mixing.reaches
        ],
    }


def _plain_conflict(conflict: Conflict) -> dict[str, Any]:
    return {
        "axis": conflict.axis,
        "side": conflict.side,
        "chord_mm": conflict.chord_mm,
        "readings": [
            {
                "value_mm": value,
                "travel_percent": reading.travel_percent,
                "source": reading.source,
                "at": reading.at,
                "by": reading.by,
                "revision": reading.revision,
            }
            for value, reading in zip(conflict.values_mm, conflict.readings, strict=True)
        ],
    }


def _plain_compared(one: Compared) -> dict[str, Any]:
    return {
        "axis": one.axis,
        "side": one.side,
        "measured_mm": one.measured_mm,
        "worked_out_mm": one.worked_mm,
        "wanted_mm": one.wanted_mm,
        "travel_wanted_percent": one.travel_percent,
        "is_as_wanted": one.is_as_wanted,
        "is_as_worked_out": one.is_as_worked_out,
    }


class GroupSerializer(serializers.Serializer[Any]):
    """Outputs on one timer of the board."""

    name = serializers.CharField()
    outputs = serializers.ListField(child=serializers.IntegerField())
    free = serializers.ListField(child=serializers.IntegerField())
    signal = serializers.CharField(allow_blank=True, help_text="What is sent on it now")


class OutputSerializer(serializers.Serializer[Any]):
    """A motor or servo and its output."""

    position = serializers.CharField(help_text="Short name of the position")
    name = serializers.CharField()
    output = serializers.IntegerField(allow_null=True)
    proposed = serializers.IntegerField(allow_null=True)
    is_fixed = serializers.BooleanField()


class NoMapSerializer(serializers.Serializer[Any]):
    """Proof that there is no map: the fewest that cannot be placed together."""

    functions = serializers.ListField(child=serializers.CharField())
    fixed = serializers.ListField(child=serializers.CharField())
    reason = serializers.CharField()


class OutputsSerializer(serializers.Serializer[Any]):
    """Which motor and servo is on which output, what is wrong with it, and a better map."""

    revision = serializers.IntegerField()
    missing = serializers.ListField(child=serializers.CharField())
    problems = serializers.ListField(child=serializers.CharField())
    groups = GroupSerializer(many=True)
    outputs = OutputSerializer(many=True)
    no_map = NoMapSerializer(allow_null=True)


class AcceptOutputsSerializer(KnownKeys):
    """Take the map that is proposed."""

    fixed = serializers.ListField(
        child=serializers.CharField(max_length=40),
        max_length=400,
        required=False,
        help_text="Short names of the positions that stay where they are",
    )
    revision = serializers.IntegerField(
        required=False,
        min_value=0,
        max_value=2**31 - 1,
        help_text="Revision of the build on which the map was seen; another one answers 409",
    )


def plain_outputs(found: Outputs, revision: int) -> dict[str, Any]:
    """Give the outputs of a build as JSON."""
    none = found.proposal if isinstance(found.proposal, NoMap) else None
    return {
        "revision": revision,
        "missing": found.missing,
        "problems": found.problems,
        "groups": [
            {
                "name": group.name,
                "outputs": group.outputs,
                "free": group.free,
                "signal": group.signal,
            }
            for group in found.groups
        ],
        "outputs": [
            {
                "position": one.key,
                "name": one.name,
                "output": one.output,
                "proposed": found.map.get(one.key),
                "is_fixed": one.key in found.fixed,
            }
            for one in found.driven
        ],
        "no_map": none
        and {"functions": none.functions, "fixed": none.fixed, "reason": none.reason},
    }


def _in(value: float, unit: float) -> float:
    return round(value / unit, 9)


def _size(value: float | None, unit: float) -> float | None:
    return None if value is None else abs(value) / unit
