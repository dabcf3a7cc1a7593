"""What-ifs of a build: other parts, another pack, another arm hole, and how they compare.

Plain Python: a snapshot and changes give another snapshot, so the same figures and rules judge it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import builds.rules  # noqa: F401 - registers the rules
from builds.figures import Figure, Figures, Unknown, figures_of
from builds.figures.leads import carrying_leads
from builds.findings import Judgement, book
from builds.limits import is_above
from builds.records import BuildSnapshot, PartRecord, PositionRecord

PRESENT = "As it is"
MILLIAMPERE_HOURS_IN_AMPERE_HOUR = 1000.0


@dataclass(frozen=True)
class Change:
    """Another part, or none, in one position."""

    position_id: int
    part: PartRecord | None
    quantity: int = 1


@dataclass(frozen=True)
class ArmHole:
    """Another hole of the servo arm for one surface."""

    surface_id: int
    arm_radius_mm: float | None


@dataclass(frozen=True)
class WhatIf:
    """All that is different in one variant; what it does not name stays as it is."""

    title: str
    changes: tuple[Change, ...] = ()
    holes: tuple[ArmHole, ...] = ()
    pack: PartRecord | None = None
    pack_x_mm: float | None = None
    packs_wiring: str = ""


@dataclass(frozen=True)
class Option:
    """One column of a comparison: the build so and so, its figures and what the rules say."""

    title: str
    snapshot: BuildSnapshot
    figures: Figures
    judgement: Judgement


@dataclass(frozen=True)
class Cell:
    """One figure of one option.

    `difference` is against the first option, None where either is not known. `limit` is the least
    that the parts it flows through are rated for, None where a rating is missing.
    """

    figure: Figure | Unknown
    difference: float | None = None
    limit: float | None = None

    @property
    def is_over(self) -> bool | None:
        """Is the figure above its limit; None when that cannot be told."""
        if self.limit is None or not isinstance(self.figure, Figure):
            return None
        return is_above(self.figure.value, self.limit)

    @property
    def may_be_over(self) -> bool | None:
        """Is the top of the figure's range above its limit; None when that cannot be told."""
        if self.limit is None or not isinstance(self.figure, Figure):
            return None
        return self.figure.high is None or is_above(self.figure.high, self.limit)


@dataclass(frozen=True)
class Row:
    """One figure of all options; `limit_of` says whose limit it is held against."""

    name: str
    limit_of: str
    cells: tuple[Cell, ...]


Limit = Callable[[BuildSnapshot], float | None]


def vary(snapshot: BuildSnapshot, what_if: WhatIf) -> BuildSnapshot:
    """The build as it would be. A change of a position goes before the variant's pack."""
    varied = snapshot
    if what_if.pack is not None or what_if.pack_x_mm is not None:
        varied = varied.with_pack(what_if.pack or varied.pack, what_if.pack_x_mm)
    for change in what_if.changes:
        varied = varied.with_part(change.position_id, change.part, change.quantity)
    radii = {hole.surface_id: hole.arm_radius_mm for hole in what_if.holes}
    return replace(
        varied,
        packs_wiring=what_if.packs_wiring or varied.packs_wiring,
        surfaces=tuple(
            replace(surface, arm_radius_mm=radii.get(surface.id, surface.arm_radius_mm))
            for surface in varied.surfaces
        ),
    )


def look_at(title: str, snapshot: BuildSnapshot, beside: Option | None = None) -> Option:
    """Figures and findings of a build, as one option of several; faster `beside` another."""
    figures = figures_of(snapshot)
    if beside is None:
        return Option(title, snapshot, figures, book.judge(snapshot, figures))
    judgement = book.judge_again(beside.judgement, snapshot, figures)
    return Option(title, snapshot, figures, judgement)


def options_of(snapshot: BuildSnapshot, what_ifs: Iterable[WhatIf]) -> tuple[Option, ...]:
    """The build as it is, and as each variant would make it."""
    present = look_at(PRESENT, snapshot)
    varied = (look_at(what_if.title, vary(snapshot, what_if), present) for what_if in what_ifs)
    return (present, *varied)


def compare(options: Sequence[Option]) -> tuple[Row, ...]:
    """The figures of all options, each against the first, currents against their limits too."""
    return tuple(_row(options, name, limit_of, limit) for name, limit_of, limit in COMPARED)


def difference(before: Figure | Unknown, after: Figure | Unknown) -> float | None:
    """What is more afterwards; None where either is not known or they leave out other parts."""
    if not isinstance(before, Figure) or not isinstance(after, Figure):
        return None
    if before.left_out != after.left_out:
        return None
    return after.value - before.value


def _row(options: Sequence[Option], name: str, limit_of: str, limit: Limit | None) -> Row:
    present = options[0].figures[name]
    cells = tuple(
        Cell(
            figure=option.figures[name],
            difference=difference(present, option.figures[name]),
            limit=limit(option.snapshot) if limit else None,
        )
        for option in options
    )
    return Row(name, limit_of, cells)


def _least(kind: str, rating: Callable[[PositionRecord], float | None]) -> Limit:
    """The least rating over the fitted parts of a kind; one without a rating leaves it open."""

    return lambda snapshot: _least_of(snapshot.fitted(kind), rating)


def _least_of(
    positions: Sequence[PositionRecord], rating: Callable[[PositionRecord], float | None]
) -> float | None:
    known = [rating(position) for position in positions]
    told = [value for value in known if value is not None]
    return min(told) if told and len(told) == len(known) else None


def _lead_limit(snapshot: BuildSnapshot) -> float | None:
    """The least rating of the leads that carry the packs' current; None where one lacks it."""
    return _least_of(carrying_leads(snapshot), _value("current_rating_a"))


def _sensor_limit(snapshot: BuildSnapshot) -> float | None:
    """The least current at which a sensor reads too low; None without one.

    A sheet without a range means a part without a sensor; controllers share the current.
    """
    sensed = _value("current_sensor_max_a")
    limits = [sensed(position) for position in snapshot.fitted("flight_controller")]
    controllers = snapshot.fitted("speed_controller")
    number = sum(position.quantity for position in controllers)
    for position in controllers:
        range_a = sensed(position)
        limits.append(None if range_a is None else range_a * number)
    return min((limit for limit in limits if limit is not None), default=None)


def _value(name: str) -> Callable[[PositionRecord], float | None]:
    return lambda position: position.part.get(name) if position.part else None


def _pack_rating(position: PositionRecord) -> float | None:
    """What the maker states, else the label's multiple of the capacity [A]."""
    pack = position.part
    if pack is None:
        return None
    stated = pack.get("current_continuous_a")
    if stated is not None:
        return float(stated)
    c_rate, capacity_mah = pack.get("continuous_c_rate"), pack.get("capacity_mah")
    if c_rate is None or capacity_mah is None:
        return None
    return float(c_rate * capacity_mah / MILLIAMPERE_HOURS_IN_AMPERE_HOUR)


COMPARED: tuple[tuple[str, str, Limit | None], ...] = (
    ("auw_g", "", None),
    ("cg_x_mm", "", None),
    ("static_margin_percent", "", None),
    ("wing_loading_g_dm2", "", None),
    ("stall_speed_m_s", "", None),
    ("pack_full_v", "", None),
    ("power_max_w", "", None),
    ("thrust_to_weight", "", None),
    (
        "motor_current_max_a",
        "speed controller",
        _least("speed_controller", _value("current_continuous_a")),
    ),
    ("motor_current_max_a", "motor", _least("motor", _value("current_max_a"))),
    ("pack_current_each_max_a", "pack", _least("pack", _pack_rating)),
    ("current_max_a", "lead", _lead_limit),
    ("current_max_a", "current sensor", _sensor_limit),
    ("endurance_min", "", None),
)
"""What a comparison shows, in order: the figure, and whose limit it is held against."""
