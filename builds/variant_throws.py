"""Throws of each control surface in each option of a comparison. Plain Python."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from builds.controls import HoleTable, Reach, Setting, SurfaceSetUp, set_up_of
from builds.controls.holes import pulse_ends, unused_of
from builds.figures import Figure, Input, Unknown
from builds.figures.surfaces import surface_figures
from builds.figures.units import PERCENT
from builds.records import SurfaceRecord
from builds.variants import Option


@dataclass(frozen=True)
class Travel:
    """What the hole in use needs for one throw: travel each way, pulses, steps left unused.

    All are None where the linkage does not give the throw at all; `problem` says why. `is_within`
    says whether it takes 100 % travel at most.
    """

    what: str
    wanted_mm: float
    up_percent: float | None = None
    down_percent: float | None = None
    pulse_min_us: float | None = None
    pulse_max_us: float | None = None
    lost_percent: float | None = None
    is_within: bool = False
    problem: str = ""


@dataclass(frozen=True)
class SurfaceOption:
    """One surface in one option: its figures, what each throw takes, and what stops both."""

    surface: SurfaceRecord
    figures: Mapping[str, Figure | Unknown]
    inputs: tuple[Input, ...]
    travels: tuple[Travel, ...]
    both: Travel | None
    reach: Reach | None


@dataclass(frozen=True)
class SurfaceRow:
    """One surface in all options, in their order."""

    surface: SurfaceRecord
    options: tuple[SurfaceOption, ...]


def throws_of(options: Sequence[Option]) -> tuple[SurfaceRow, ...]:
    """Each surface of a build in each option; all options are of one build."""
    rows = []
    for place, surface in enumerate(options[0].snapshot.surfaces):
        beside = (_look_at(option, option.snapshot.surfaces[place]) for option in options)
        rows.append(SurfaceRow(surface, tuple(beside)))
    return tuple(rows)


def _look_at(option: Option, surface: SurfaceRecord) -> SurfaceOption:
    found = set_up_of(option.snapshot, surface)
    return SurfaceOption(
        surface=surface,
        figures=surface_figures(option.snapshot, surface, option.figures),
        inputs=found.inputs,
        travels=_travels(found),
        both=_both(found),
        reach=_reach(found),
    )


def _travels(found: SurfaceSetUp) -> tuple[Travel, ...]:
    setting = found.setting
    if setting is None or setting.arm is None:
        return ()
    return tuple(_travel(setting, table) for table in found.tables)


def _both(found: SurfaceSetUp) -> Travel | None:
    setting = found.setting
    if setting is None or setting.arm is None or found.mixing is None:
        return None
    return _travel(setting, found.mixing.table)


def _reach(found: SurfaceSetUp) -> Reach | None:
    setting = found.setting
    return next((one for one in found.reaches if setting and one.arm == setting.arm), None)


def _travel(setting: Setting, table: HoleTable) -> Travel:
    row = table.at(setting.arm)
    ends = pulse_ends(setting, row) if row else None
    if row is None or row.travel_up is None or row.travel_down is None or ends is None:
        problem = table.problem or (row.problem if row else None)
        return Travel(table.what, table.wanted_mm, problem=problem or "no hole is in use")
    lost = unused_of(row)
    return Travel(
        what=table.what,
        wanted_mm=table.wanted_mm,
        up_percent=abs(row.travel_up) / PERCENT,
        down_percent=abs(row.travel_down) / PERCENT,
        pulse_min_us=ends[0],
        pulse_max_us=ends[1],
        lost_percent=None if lost is None else lost / PERCENT,
        is_within=row.is_within_travel,
    )
