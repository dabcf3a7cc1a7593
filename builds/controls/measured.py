"""Throws that were read or measured: which disagree, and how the rest compare."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from builds.controls.linkages import Setting
from builds.engineering.checks import OutOfRange
from builds.engineering.linkage import angle_for_edge, edge_distance, servo_angle, surface_angle
from builds.figures.units import MILLIMETRE, PERCENT
from builds.limits import is_above
from builds.records import SurfaceRecord, ThrowReading

DISAGREE = 0.10
"""Share of the larger by which two records of one throw may differ: common practice, no source."""
READABLE_MM = 0.5
"""What a ruler at a moving edge can tell: common practice, no source."""
SIDES = ("up", "down")


@dataclass(frozen=True)
class Conflict:
    """Records of one throw that cannot all be true [mm]; none of them is chosen."""

    axis: str
    side: str
    readings: tuple[ThrowReading, ...]
    chord_mm: float | None = None

    @property
    def values_mm(self) -> tuple[float, ...]:
        """What the records say."""
        return tuple(_side_of(reading, self.side) or 0.0 for reading in self.readings)


@dataclass(frozen=True)
class Compared:
    """One measured throw [mm] against what the linkage should give and what is wanted.

    `travel_percent` is the travel that should give what is wanted, by what this one gave.
    """

    axis: str
    side: str
    reading: ThrowReading
    measured_mm: float
    worked_mm: float | None
    wanted_mm: float | None
    travel_percent: float | None

    @property
    def is_as_wanted(self) -> bool:
        """Is it what is wanted, as far as a ruler can tell."""
        return self.wanted_mm is not None and (
            abs(self.measured_mm - self.wanted_mm) <= READABLE_MM
        )

    @property
    def is_as_worked_out(self) -> bool:
        """Does the linkage give what its figures say."""
        return self.worked_mm is None or not _differ(self.measured_mm, self.worked_mm)


def in_force(surface: SurfaceRecord) -> tuple[ThrowReading, ...]:
    """Records of the linkage as it is now, newest first."""
    return tuple(one for one in surface.throws if one.revision >= surface.since_revision)


def conflicts_of(surface: SurfaceRecord, chord_mm: float | None) -> tuple[Conflict, ...]:
    """Records that disagree by more than a tenth, or are larger than the chord [mm]."""
    found: list[Conflict] = []
    for axis, side, readings in _by_throw(surface):
        if chord_mm is not None:
            wild = tuple(one for one in readings if (_side_of(one, side) or 0.0) > chord_mm)
            found += [Conflict(axis, side, wild, chord_mm)] if wild else []
        unlike = {
            id(one): one
            for pair in combinations(readings, 2)
            if _is_one_throw(*pair) and _differ(*(_side_of(one, side) or 0.0 for one in pair))
            for one in pair
        }
        if unlike:
            found.append(Conflict(axis, side, tuple(unlike.values())))
    return tuple(found)


def compare(
    setting: Setting, throws: dict[str, float], conflicts: Sequence[Conflict]
) -> tuple[Compared, ...]:
    """The newest record of each throw that is not in conflict, against what is worked out."""
    disputed = {(conflict.axis, conflict.side) for conflict in conflicts}
    return tuple(
        _compared(setting, axis, side, readings[0], throws.get(axis))
        for axis, side, readings in _by_throw(setting.surface)
        if (axis, side) not in disputed
    )


def _by_throw(surface: SurfaceRecord) -> Iterator[tuple[str, str, list[ThrowReading]]]:
    current = in_force(surface)
    for axis in dict.fromkeys(reading.axis for reading in current):
        for side in SIDES:
            readings = [
                one for one in current if one.axis == axis and _side_of(one, side) is not None
            ]
            if readings:
                yield axis, side, readings


def _side_of(reading: ThrowReading, side: str) -> float | None:
    return reading.up_mm if side == "up" else reading.down_mm


def _is_one_throw(one: ThrowReading, other: ThrowReading) -> bool:
    """Two records at different travels are two throws."""
    travels = {one.travel_percent, other.travel_percent} - {None}
    return len(travels) < 2


def _differ(one: float, other: float) -> bool:
    return is_above(abs(one - other), DISAGREE * max(one, other))


def _compared(
    setting: Setting, axis: str, side: str, reading: ThrowReading, wanted_mm: float | None
) -> Compared:
    measured = _side_of(reading, side) or 0.0
    sign = 1.0 if side == "up" else -1.0
    return Compared(
        axis=axis,
        side=side,
        reading=reading,
        measured_mm=measured,
        worked_mm=_worked(setting, sign, reading.travel_percent),
        wanted_mm=wanted_mm,
        travel_percent=_travel(setting, sign, reading.travel_percent, measured, wanted_mm),
    )


def _worked(setting: Setting, sign: float, travel_percent: float | None) -> float | None:
    if setting.arm is None or travel_percent is None:
        return None
    turn = sign * travel_percent * PERCENT * setting.full_travel
    try:
        angle = surface_angle(linkage=setting.linkage(setting.arm), servo_angle=turn)
        return abs(edge_distance(angle=angle, chord=setting.chord)) / MILLIMETRE
    except OutOfRange:
        return None


def _travel(
    setting: Setting,
    sign: float,
    travel_percent: float | None,
    measured_mm: float,
    wanted_mm: float | None,
) -> float | None:
    """Travel set, times what the wanted throw takes over what the measured one should take."""
    if setting.arm is None or not travel_percent or not measured_mm or wanted_mm is None:
        return None
    try:
        taken, wanted = (
            servo_angle(
                linkage=setting.linkage(setting.arm),
                surface_angle=sign
                * angle_for_edge(distance=throw * MILLIMETRE, chord=setting.chord),
            )
            for throw in (measured_mm, wanted_mm)
        )
    except OutOfRange:
        return None
    return travel_percent * wanted / taken
