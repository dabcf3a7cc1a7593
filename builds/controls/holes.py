"""What each hole of a servo arm gives: travel for a throw, where the surface stops, mixing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache

from builds.controls.linkages import Setting
from builds.engineering.checks import OutOfRange
from builds.engineering.linkage import (
    HoleRow,
    angle_for_edge,
    best_hole,
    edge_distance,
    hole_table,
    surface_angle,
    transmission_ratio,
)
from builds.engineering.surfaces import Mixed, mix
from builds.figures.units import MICROSECOND, MILLIMETRE

FULL_PULSE = 500 * MICROSECOND
LEAST_TRAVEL = 0.70
"""Travel below which another hole is the better way: common practice, no source."""
HALVINGS = 40
SIDES = (1.0, -1.0)
REMEMBERED = 1024


@dataclass(frozen=True)
class HoleTable:
    """What every hole needs for one throw, the same up and down [mm]."""

    what: str
    wanted_mm: float
    rows: tuple[HoleRow, ...]
    problem: str = ""

    def at(self, arm: float | None) -> HoleRow | None:
        """The row of one hole [m]."""
        return next((row for row in self.rows if arm is not None and row.arm == arm), None)

    @property
    def best(self) -> HoleRow | None:
        """The smallest hole that gives the throw within the travel; None when there is none."""
        return best_hole(rows=self.rows)


@dataclass(frozen=True)
class Reach:
    """How far the edge goes at 100 % travel [mm], and what stops it: travel, linkage or hinge."""

    arm: float
    up_mm: float
    down_mm: float
    stopped_by: str

    @property
    def least_mm(self) -> float:
        """The throw that there is both ways [mm]."""
        return min(self.up_mm, self.down_mm)


@dataclass(frozen=True)
class Mixing:
    """Two commands at full on one surface: what is asked and what one hole leaves of both."""

    axes: tuple[str, str]
    wanted_mm: tuple[float, float]
    table: HoleTable
    reaches: tuple[Reach, ...]

    @property
    def total_mm(self) -> float:
        """Both throws added [mm]."""
        return sum(self.wanted_mm)

    def left_by_axis(self, reach: Reach) -> dict[str, float]:
        """What one hole leaves of each command [mm]."""
        left = self.left_of(reach)
        if left is None:
            return dict.fromkeys(self.axes, 0.0)
        return {axis: left.common if axis == "pitch" else left.opposed for axis in self.axes}

    def left_of(self, reach: Reach) -> Mixed | None:
        """Throws and commands once the surfaces stop at what a hole gives; None if it gives none.

        Order as `axes`: the shared command (pitch) is `common`, the other one `opposed`.
        """
        if reach.least_mm <= 0:
            return None
        shared = self.axes.index("pitch")
        return mix(
            common=self.wanted_mm[shared],
            opposed=self.wanted_mm[1 - shared],
            limit=reach.least_mm,
        )


def unused_of(row: HoleRow) -> float | None:
    """The share of the travel that a throw leaves unused, as lost steps [1]; none below zero."""
    share = travel_of(row)
    return None if share is None else max(0.0, 1.0 - share)


def travel_of(row: HoleRow) -> float | None:
    """The greater of a hole's two travels, as a share of full travel [1]."""
    if row.travel_up is None or row.travel_down is None:
        return None
    return max(abs(row.travel_up), abs(row.travel_down))


def pulse_ends(setting: Setting, row: HoleRow) -> tuple[float, float] | None:
    """The shorter and the longer pulse of a hole's two throws [µs]; None where it has none."""
    if row.pulse_up is None or row.pulse_down is None:
        return None
    low, high = sorted(pulse / MICROSECOND for pulse in (row.pulse_up, row.pulse_down))
    return setting.centre_us + low, setting.centre_us + high


# Every rule and every candidate for a position asks for the same few linkages.
@lru_cache(maxsize=REMEMBERED)
def table_for(setting: Setting, what: str, wanted_mm: float) -> HoleTable:
    """What every hole needs for a throw, the same up and down [mm]."""
    throw = wanted_mm * MILLIMETRE
    try:
        angle_for_edge(distance=throw, chord=setting.chord)
    except OutOfRange as problem:
        return HoleTable(what, wanted_mm, (), str(problem))
    rows = tuple(_row(setting, hole, throw) for hole in setting.holes)
    return HoleTable(what, wanted_mm, rows)


def _row(setting: Setting, hole: float, throw: float) -> HoleRow:
    try:
        (row,) = hole_table(
            linkage=setting.linkage(hole),
            holes=(hole,),
            up=throw,
            down=throw,
            chord=setting.chord,
            full_travel=setting.full_travel,
            full_pulse=FULL_PULSE,
            step=MICROSECOND,
        )
    except OutOfRange as problem:
        return HoleRow(arm=hole, problem=str(problem))
    return row


@lru_cache(maxsize=REMEMBERED)
def reach_of(setting: Setting, arm: float) -> Reach | None:
    """How far the edge goes with one hole [m]; None when the linkage cannot be built."""
    try:
        linkage = setting.linkage(arm)
        neutral = transmission_ratio(linkage=linkage, servo_angle=0.0)
    except OutOfRange:
        return None
    if neutral == 0 or not 0 < setting.full_travel < math.inf:
        return None

    def moves(turn: float) -> bool:
        try:
            return transmission_ratio(linkage=linkage, servo_angle=turn) * neutral > 0
        except OutOfRange:
            return False

    full = min(setting.full_travel, math.pi / 2)
    turns = [
        side * (full if moves(side * full) else _last_turn(moves, side, full)) for side in SIDES
    ]
    angles = [surface_angle(linkage=linkage, servo_angle=turn) for turn in turns]
    limit = min(setting.hinge_limit or math.pi / 2, math.pi / 2)
    is_stopped = setting.hinge_limit is not None and any(abs(angle) > limit for angle in angles)
    edges = [
        edge_distance(angle=max(-limit, min(limit, angle)), chord=setting.chord) / MILLIMETRE
        for angle in angles
    ]
    by_linkage = any(abs(turn) < full for turn in turns) or max(map(abs, angles)) > limit
    stopped_by = "hinge" if is_stopped else "linkage" if by_linkage else "travel"
    return Reach(arm, max(edges), -min(edges), stopped_by)


def _last_turn(moves: Callable[[float], bool], side: float, full: float) -> float:
    """The greatest turn up to which the surface still moves on, by halving."""
    low, high = 0.0, full
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if moves(side * middle) else (low, middle)
    return low


def mixing_of(setting: Setting, throws: dict[str, float]) -> Mixing | None:
    """Both commands of an elevon or V-tail together; None with fewer than two."""
    if len(throws) < 2:
        return None
    first, second = throws
    what = f"{first} and {second} together"
    return Mixing(
        axes=(first, second),
        wanted_mm=(throws[first], throws[second]),
        table=table_for(setting, what, throws[first] + throws[second]),
        reaches=reaches_of(setting, setting.holes),
    )


def reaches_of(setting: Setting, holes: Iterable[float]) -> tuple[Reach, ...]:
    """How far the edge goes with each hole [m] that makes a linkage."""
    found = (reach_of(setting, hole) for hole in holes)
    return tuple(reach for reach in found if reach is not None)
