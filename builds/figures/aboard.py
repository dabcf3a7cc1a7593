"""What is aboard with the masses that a weighing left it, and how it balances."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from builds.engineering.mass import Balance, Item
from builds.engineering.mass.items import MassCovariance, balance_with
from builds.figures.loads import (
    POSITION_UNCERTAINTY_MM,
    Axis,
    Load,
    mass_inputs,
    place_inputs,
    place_named,
)
from builds.figures.results import Input
from builds.figures.units import MILLIMETRE
from builds.records import PositionRecord, WeighInRecord

BALANCE_POINT_UNCERTAINTY_MM = 2.0
"""Standard uncertainty of a balance point found by hand: common practice, no source."""
NOT_LISTED = PositionRecord(id=0, key="(not listed)", name="what is not listed", kind="hardware")
"""Stands for glue, tape and wire that no part holds; nobody knows where it sits."""

Key = tuple[str, int, int]


@dataclass(frozen=True)
class Aboard:
    """Loads with the masses that a weighing left them.

    The first `count` are aboard; the rest were on the scale only. `places` are those on the scale,
    None for what was not on it. `unweighed` are the places of parts whose own mass nobody knows.
    """

    loads: tuple[Load, ...]
    count: int
    covariance: MassCovariance
    gaps: tuple[str, ...]
    weigh_in: WeighInRecord | None = None
    places: tuple[PositionRecord | None, ...] = ()
    unweighed: tuple[str, ...] = ()

    @property
    def now(self) -> tuple[Load, ...]:
        """What is aboard."""
        return self.loads[: self.count]

    @property
    def mass(self) -> float:
        """Mass of what is aboard [kg]."""
        return sum(load.mass for load in self.now)

    @property
    def u_mass(self) -> float:
        """Its standard uncertainty [kg]."""
        aboard = [1.0 if place < self.count else 0.0 for place in range(len(self.loads))]
        return float(self.covariance.variance(aboard) ** 0.5)

    @property
    def listed(self) -> tuple[Load, ...]:
        """What is aboard and recorded as a part."""
        return tuple(load for load in self.now if load.position is not NOT_LISTED)

    @property
    def not_listed(self) -> float:
        """Mass aboard that is recorded as no part [kg], negative when the parts weigh too much."""
        return sum(load.mass for load in self.now if load.position is NOT_LISTED)

    @property
    def changed(self) -> tuple[Load, ...]:
        """What came aboard or went since the weigh-in."""
        if self.weigh_in is None:
            return self.now
        return tuple(
            load
            for number, (load, was_on) in enumerate(zip(self.loads, self.places, strict=True))
            if (number < self.count) != (was_on is not None)
        )

    def mass_inputs(self) -> tuple[Input, ...]:
        """The weigh-in, where there is one, and the masses of what is not in it."""
        return (*weigh_in_inputs(self.weigh_in), *mass_inputs(self.changed))

    def has_balance_point(self, axis: Axis) -> bool:
        """Was the balance point along this axis measured."""
        return axis == "x" and self.weigh_in is not None and self.weigh_in.cg_x_mm is not None

    def place_gaps(self, axis: Axis) -> list[str]:
        """What keeps the centre of gravity along an axis from being known, apart from `gaps`."""
        if self.has_balance_point(axis):
            return [
                place_named(load.position, axis)
                for load, before, after in self._moves(axis)
                if before is None or after is None
            ]
        vague = list(self.unweighed) if len(self.unweighed) > 1 else []
        missing = [
            place_named(load.position, axis) for load in self.listed if load.at(axis) is None
        ]
        return vague + missing

    def centre(self, axis: Axis, exact: Collection[str] = ()) -> tuple[float, float]:
        """Centre of gravity along an axis and its standard uncertainty [m].

        `exact` are keys of positions whose place is taken as exact.
        """
        if self.has_balance_point(axis):
            return self._centre_by_balance_point(axis, exact)
        found = self._balance(axis, exact)
        # What is not listed is taken to sit where the rest balances, as far off as the rest is.
        share = self.not_listed / self.mass
        spread = (
            sum(load.mass * ((load.at(axis) or 0.0) - found.x) ** 2 for load in self.listed)
            / found.mass
        )
        return found.x, float((found.u_x**2 + share**2 * spread) ** 0.5)

    def centre_inputs(self, axis: Axis) -> tuple[Input, ...]:
        """What the centre of gravity was made of."""
        if self.has_balance_point(axis):
            moved = tuple(load for load, *_ in self._moves(axis))
            return (*self.mass_inputs(), *place_inputs(moved, axis))
        weighed = weigh_in_inputs(self.weigh_in)
        return (*weighed, *mass_inputs(self.now), *place_inputs(self.now, axis))

    def _balance(self, axis: Axis, exact: Collection[str]) -> Balance:
        covariance = MassCovariance(
            *(part[: len(self.listed)] for part in (
                self.covariance.own, self.covariance.shared, self.covariance.learnt
            ))
        )  # fmt: skip
        items = [item_of(load, axis, exact) for load in self.listed]
        return balance_with(items, covariance)

    def _moves(self, axis: Axis) -> list[tuple[Load, float | None, float | None]]:
        """Loads that came, went or moved since the weigh-in: place before and after, 0 for none."""
        moves = []
        for number, (load, was_on) in enumerate(zip(self.loads, self.places, strict=True)):
            before = 0.0 if was_on is None else _along(was_on, axis)
            after = load.at(axis) if number < self.count else 0.0
            is_same = was_on is not None and number < self.count and before == after
            if not is_same:
                moves.append((load, before, after))
        return moves

    def _centre_by_balance_point(self, axis: Axis, exact: Collection[str]) -> tuple[float, float]:
        """The measured balance point, moved by the moments of what changed since.

        Source: moments about the datum, FAA-H-8083-1B, chapter 2; JCGM 100:2008, 5.1.2 and 5.2.2.
        """
        assert self.weigh_in is not None
        assert self.weigh_in.cg_x_mm is not None
        point = self.weigh_in.cg_x_mm * MILLIMETRE
        on = [0.0 if place is None else 1.0 for place in self.places]
        moves = {
            key_of(load.position): (after or 0.0) - (before or 0.0)
            for load, before, after in self._moves(axis)
        }
        moments = [
            is_on * point + moves.get(key_of(load.position), 0.0)
            for load, is_on in zip(self.loads, on, strict=True)
        ]
        mass = self.mass
        x = sum(load.mass * each for load, each in zip(self.loads, moments, strict=True)) / mass
        weights = [
            (each - (x if number < self.count else 0.0)) / mass
            for number, each in enumerate(moments)
        ]
        weighed = sum(load.mass * is_on for load, is_on in zip(self.loads, on, strict=True))
        from_places = sum(
            (load.mass / mass * POSITION_UNCERTAINTY_MM * MILLIMETRE) ** 2
            for load, *_ in self._moves(axis)
            if load.position.key not in exact
        )
        from_point = (weighed / mass * point_uncertainty_mm(self.weigh_in) * MILLIMETRE) ** 2
        variance = self.covariance.variance(weights) + from_point + from_places
        return x, float(variance**0.5)


def item_of(load: Load, axis: Axis, exact: Collection[str]) -> Item:
    """A load as an item along one axis; raises ValueError for less than nothing."""
    if load.mass < 0:
        raise ValueError(
            f"the weighing would leave {load.position.title} with a negative mass: "
            "a part is missing, counted twice or wrong"
        )
    u_place = 0.0 if load.position.key in exact else POSITION_UNCERTAINTY_MM * MILLIMETRE
    return Item(load.position.title, load.mass, load.at(axis) or 0.0, 0.0, 0.0, u_x=u_place)


def _along(position: PositionRecord, axis: Axis) -> float | None:
    place_mm: float | None = getattr(position, f"{axis}_mm")
    return None if place_mm is None else place_mm * MILLIMETRE


def point_uncertainty_mm(weigh_in: WeighInRecord) -> float:
    """Standard uncertainty of a measured balance point [mm]."""
    if weigh_in.cg_uncertainty_mm is None:
        return BALANCE_POINT_UNCERTAINTY_MM
    return weigh_in.cg_uncertainty_mm


def key_of(position: PositionRecord) -> Key:
    """What makes a part in its place the same before and after."""
    return position.key, position.part.id if position.part else 0, position.quantity


def covariance_of(loads: Sequence[Load]) -> MassCovariance:
    """Covariance of the masses before any weighing of the whole."""
    return MassCovariance(
        own=tuple(load.own**2 for load in loads),
        shared=tuple(load.shared for load in loads),
        learnt=(0.0,) * len(loads),
    )


def weigh_in_inputs(weigh_in: WeighInRecord | None) -> tuple[Input, ...]:
    """A weigh-in as inputs."""
    if weigh_in is None:
        return ()
    mass = Input("weighed whole", weigh_in.mass_g, "g", "weighed", weigh_in.at)
    if weigh_in.cg_x_mm is None:
        return (mass,)
    return mass, Input("balance point measured", weigh_in.cg_x_mm, "mm", "measured", weigh_in.at)
