"""Lines of the pages of the control set-up, ready to be read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from builds.controls import Compared, Conflict, HoleTable, Mixing, Setting, SurfaceSetUp
from builds.controls.holes import pulse_ends, travel_of, unused_of
from builds.controls.measured import in_force
from builds.drawing.throws import draw_throws, throw_points
from builds.engineering.linkage import HoleRow
from builds.figures import Figure, Unknown
from builds.figures.surfaces import LINKAGE_SOURCE
from builds.figures.units import MILLIMETRE, PERCENT
from builds.pages.wording import SOURCES, FigureRow, Reader, plain_name
from builds.records import BuildSnapshot, ThrowReading
from hangar.drawing.paper import Svg

TABLE_SOURCE = (
    f"{LINKAGE_SOURCE} Travel: turn of the servo over its turn at 100 %, the greater of up and"
    " down. Steps lost: travel left unused. Edge for 1 µs: at neutral. Torque: hinge moment times"
    " turn of the surface per turn of the servo, the greatest within the throw."
)
LABELS = {
    "throw_up_mm": "Throw up at 100 % travel",
    "throw_down_mm": "Throw down at 100 % travel",
    "differential_ratio": "Up over down at 100 % travel",
    "travel_roll_percent": "Travel for roll, hole in use",
    "travel_pitch_percent": "Travel for pitch, hole in use",
    "travel_yaw_percent": "Travel for yaw, hole in use",
    "hinge_moment_kgcm": "Hinge moment at the highest speed",
    "servo_torque_needed_kgcm": "Torque the servo has to hold",
    "servo_torque_margin_ratio": "Torque of the servo over that",
}


@dataclass(frozen=True)
class HoleLine:
    """One hole for one throw."""

    hole: str
    is_in_use: bool
    is_best: bool
    travel: str
    pulse: str
    lost: str
    step: str
    torque: str
    words: str


@dataclass(frozen=True)
class HoleLines:
    """All holes for one throw, with what the numbers come from."""

    title: str
    problem: str
    lines: tuple[HoleLine, ...]
    origin: FigureRow


@dataclass(frozen=True)
class StopLine:
    """Where the surface stops with one hole when both sticks are at full."""

    hole: str
    reached: str
    stopped_by: str
    left: str


@dataclass(frozen=True)
class ReadingLine:
    """One record of a throw."""

    reading: ThrowReading
    up: str
    down: str
    travel: str
    source: str
    is_in_force: bool


@dataclass(frozen=True)
class SurfaceRow:
    """One surface with all that is shown of it."""

    found: SurfaceSetUp
    like: str
    servo: str
    servo_id: int | None
    mixing: str
    missing: tuple[str, ...]
    figures: tuple[FigureRow, ...]
    tables: tuple[HoleLines, ...]
    combined: HoleLines | None
    stops: tuple[StopLine, ...]
    conflicts: tuple[str, ...]
    compared: tuple[str, ...]
    readings: tuple[ReadingLine, ...]
    chart: Svg
    curve_travels: tuple[int, ...]
    curve_rows: tuple[tuple[str, tuple[str, ...]], ...]


def surface_row(
    found: SurfaceSetUp,
    figures: Mapping[str, Figure | Unknown],
    snapshot: BuildSnapshot,
    reader: Reader,
    *,
    mixing: str,
    like: str,
) -> SurfaceRow:
    """One surface, ready to be read; `like` names one before it whose linkage is the same."""
    servo = snapshot.at(found.surface.servo_key)
    moment = figures["hinge_moment_kgcm"].value
    writer = _Writer(reader, found, moment)
    travels, curve_rows = _curve_table(found.setting, reader)
    return SurfaceRow(
        found=found,
        like=like,
        servo=servo.title if servo else "",
        servo_id=servo.id if servo else None,
        mixing=mixing,
        missing=tuple(plain_name(name) for name in found.missing),
        figures=tuple(
            replace(reader.figure(figure), label=LABELS[name]) for name, figure in figures.items()
        ),
        tables=tuple(writer.table(table) for table in found.tables),
        combined=writer.table(found.mixing.table) if found.mixing else None,
        stops=writer.stops(found.mixing) if found.mixing else (),
        conflicts=tuple(writer.conflict(conflict) for conflict in found.conflicts),
        compared=tuple(writer.compared(one) for one in found.compared),
        readings=writer.readings(),
        chart=draw_throws(found),
        curve_travels=travels,
        curve_rows=curve_rows,
    )


def name_of_like(found: SurfaceSetUp, before: Sequence[SurfaceSetUp]) -> str:
    """The first surface whose holes and throws are those of this one; empty when there is none."""
    mine = _geometry(found)
    return next((one.surface.name for one in before if mine and _geometry(one) == mine), "")


def _geometry(found: SurfaceSetUp) -> tuple[Any, ...]:
    setting = found.setting
    if setting is None:
        return ()
    numbers = {
        field.name: getattr(setting, field.name)
        for field in fields(setting)
        if field.name not in ("surface", "inputs")
    }
    return (numbers, found.throws_mm, found.surface.span_mm)


class _Writer:
    """Writes what is known of one surface in the reader's units."""

    def __init__(self, reader: Reader, found: SurfaceSetUp, moment_kgcm: float | None) -> None:
        self.reader = reader
        self.found = found
        self.moment_kgcm = moment_kgcm

    def table(self, table: HoleTable) -> HoleLines:
        wanted = self.reader.length(table.wanted_mm)
        lines = tuple(self._line(row, table) for row in table.rows)
        origin = FigureRow(
            "table", "Where these numbers come from", "", "", TABLE_SOURCE, "",
            self.reader.inputs(self.found.inputs), (), True,
        )  # fmt: skip
        return HoleLines(f"{table.what}: {wanted}".capitalize(), table.problem, lines, origin)

    def stops(self, mixing: Mixing) -> tuple[StopLine, ...]:
        return tuple(
            StopLine(
                hole=self._hole(reach.arm),
                reached=self.reader.length(reach.least_mm),
                stopped_by=reach.stopped_by,
                left=", ".join(
                    f"{axis} {self.reader.length(left)}"
                    for axis, left in mixing.left_by_axis(reach).items()
                ),
            )
            for reach in mixing.reaches
        )

    def conflict(self, conflict: Conflict) -> str:
        said = [
            f"{self.reader.length(value)} ({SOURCES.get(one.source, one.source)}, {one.by},"
            f" {one.at:%d %b %Y})"
            if one.at
            else self.reader.length(value)
            for value, one in zip(conflict.values_mm, conflict.readings, strict=True)
        ]
        what = f"{conflict.axis.capitalize()} {conflict.side}"
        if conflict.chord_mm is not None:
            chord = self.reader.length(conflict.chord_mm)
            return f"{what}: {' and '.join(said)}, on a chord of {chord}. One of them is wrong."
        return (
            f"{what}: {' and '.join(said)} contradict each other. None of them is used: measure it"
            " again."
        )

    def compared(self, one: Compared) -> str:
        said = f"{one.axis.capitalize()} {one.side}: measured {self.reader.length(one.measured_mm)}"
        if one.reading.travel_percent is not None:
            said += f" at {one.reading.travel_percent:g} % travel"
        if one.worked_mm is not None:
            said += f", worked out {self.reader.length(one.worked_mm)}"
        if one.wanted_mm is not None:
            said += f", wanted {self.reader.length(one.wanted_mm)}"
        return f"{said}. {self._what_to_do(one)}".strip()

    def readings(self) -> tuple[ReadingLine, ...]:
        current = in_force(self.found.surface)
        return tuple(
            ReadingLine(
                reading=one,
                up=self.reader.say(one.up_mm, "up_mm"),
                down=self.reader.say(one.down_mm, "down_mm"),
                travel=self.reader.say(one.travel_percent, "travel_percent"),
                source=SOURCES.get(one.source, one.source),
                is_in_force=one in current,
            )
            for one in self.found.surface.throws
        )

    def _what_to_do(self, one: Compared) -> str:
        if not one.is_as_worked_out:
            return (
                "The linkage does not give what its figures say: check the hole, the horn, the"
                " distance and the play first."
            )
        if one.is_as_wanted:
            return "As wanted."
        if one.travel_percent is None:
            return ""
        if one.travel_percent > 1 / PERCENT:
            return f"It would take {one.travel_percent:.1f} % travel: use another hole."
        return f"Set the travel to {one.travel_percent:.1f} %, then measure again."

    def _line(self, row: HoleRow, table: HoleTable) -> HoleLine:
        setting = self.found.setting
        assert setting is not None
        best = table.best
        lost = unused_of(row)
        return HoleLine(
            hole=self._hole(row.arm),
            is_in_use=row.arm == setting.arm,
            is_best=best is not None and best.arm == row.arm,
            travel=_pair(row.travel_up, row.travel_down, PERCENT, 1),
            pulse=_pulses(row, setting),
            lost="" if lost is None else f"{lost / PERCENT:.0f} %",
            step=""
            if row.edge_per_step is None
            else self.reader.say(round(row.edge_per_step / MILLIMETRE, 3), "edge_mm"),
            torque=self._torque(row),
            words=_words(row),
        )

    def _torque(self, row: HoleRow) -> str:
        if row.torque_ratio is None:
            return ""
        if self.moment_kgcm is None:
            return f"{row.torque_ratio:.2f} × the hinge moment"
        return self.reader.say(round(row.torque_ratio * self.moment_kgcm, 2), "torque_kgcm")

    def _hole(self, arm: float) -> str:
        return self.reader.say(round(arm / MILLIMETRE, 2), "arm_mm")


def _words(row: HoleRow) -> str:
    if row.problem:
        return f"{row.problem[0].upper()}{row.problem[1:]}."
    if not row.is_within_travel:
        return "Needs more than 100 % travel."
    if row.binds_at_full_travel:
        return "Gives it; binds at 100 %, so limit the travel."
    share = travel_of(row) or 0.0
    return "Gives it." if share >= 0.7 else "Gives it with less than 70 % travel: coarse."


def _pair(up: float | None, down: float | None, unit: float, digits: int) -> str:
    if up is None or down is None:
        return ""
    return f"{abs(up) / unit:.{digits}f} / {abs(down) / unit:.{digits}f} %"


def _pulses(row: HoleRow, setting: Setting) -> str:
    ends = pulse_ends(setting, row)
    return f"{ends[0]:.0f} to {ends[1]:.0f} µs" if ends else ""


def _curve_table(
    setting: Setting | None, reader: Reader
) -> tuple[tuple[int, ...], tuple[tuple[str, tuple[str, ...]], ...]]:
    """The curves of the chart as a table: travels in its head, a row for each hole."""
    if setting is None:
        return (), ()
    travels = tuple(range(-125, 126, 25))
    rows = []
    for hole in setting.holes:
        throws = dict(throw_points(setting, hole))
        texts = tuple(
            reader.length(throws[travel]) if travel in throws else "–" for travel in travels
        )
        rows.append((reader.say(round(hole / MILLIMETRE, 2), "arm_mm"), texts))
    return travels, tuple(rows)
