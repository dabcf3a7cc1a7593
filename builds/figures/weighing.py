"""What is aboard and what it weighs, once a weigh-in of the whole aircraft is taken into account.

A weigh-in leads over the sum of the parts: the difference is shared out among the parts that were
on the scale, the least certain taking the most.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from builds.engineering.mass import Balance, Item, Update, Weighing, masses_after_weighing
from builds.engineering.mass.items import MassCovariance, balance_with
from builds.figures.loads import (
    POSITION_UNCERTAINTY_MM,
    Axis,
    Load,
    has_mass,
    load_of,
    loads_of,
    mass_gaps,
    mass_inputs,
    mass_uncertainty_g,
    place_inputs,
    place_named,
)
from builds.figures.reading import named
from builds.figures.results import Input, NotKnown
from builds.figures.units import GRAM, MILLIMETRE
from builds.records import BuildSnapshot, PositionRecord, Value, WeighInRecord

BALANCE_POINT_UNCERTAINTY_MM = 2.0
"""Standard uncertainty of a balance point found by hand: common practice, no source."""

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
        missing = [place_named(load.position, axis) for load in self.now if load.at(axis) is None]
        return vague + missing

    def centre(self, axis: Axis, exact: Collection[str] = ()) -> tuple[float, float]:
        """Centre of gravity along an axis and its standard uncertainty [m].

        `exact` are keys of positions whose place is taken as exact.
        """
        if self.has_balance_point(axis):
            return self._centre_by_balance_point(axis, exact)
        found = self._balance(axis, exact)
        return found.x, found.u_x

    def centre_inputs(self, axis: Axis) -> tuple[Input, ...]:
        """What the centre of gravity was made of."""
        if self.has_balance_point(axis):
            moved = tuple(load for load, *_ in self._moves(axis))
            return (*self.mass_inputs(), *place_inputs(moved, axis))
        weighed = weigh_in_inputs(self.weigh_in)
        return (*weighed, *mass_inputs(self.now), *place_inputs(self.now, axis))

    def _balance(self, axis: Axis, exact: Collection[str]) -> Balance:
        covariance = MassCovariance(
            *(part[: self.count] for part in (
                self.covariance.own, self.covariance.shared, self.covariance.learnt
            ))
        )  # fmt: skip
        items = [_item(load, axis, exact) for load in self.now]
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
            _key(load.position): (after or 0.0) - (before or 0.0)
            for load, before, after in self._moves(axis)
        }
        moments = [
            is_on * point + moves.get(_key(load.position), 0.0)
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
        from_point = (weighed / mass * _point_uncertainty_mm(self.weigh_in) * MILLIMETRE) ** 2
        variance = self.covariance.variance(weights) + from_point + from_places
        return x, float(variance**0.5)


def read_aboard(snapshot: BuildSnapshot, positions: Sequence[PositionRecord]) -> Aboard:
    """What is aboard in these positions, by the newest weigh-in of this revision where it tells."""
    weigh_in = snapshot.weigh_in
    if weigh_in is None or not _tells_of(weigh_in, positions):
        loads = tuple(loads_of(positions))
        return Aboard(loads, len(loads), _covariance(loads), tuple(mass_gaps(positions)))
    was_on = {_key(position): position for position in weigh_in.on_scale if position.part}
    aboard = [
        position
        for position in positions
        if position.part and (has_mass(position) or _key(position) in was_on)
    ]
    present = {_key(position) for position in aboard}
    gone = [position for key, position in was_on.items() if key not in present]
    loads = tuple(_load(position, weigh_in) for position in (*aboard, *gone))
    places = tuple(was_on.get(_key(load.position)) for load in loads)
    told = _update(loads, weigh_in, [place is not None for place in places])
    adjusted = zip(loads, told.masses, strict=True)
    return Aboard(
        loads=tuple(replace(load, mass=mass) for load, mass in adjusted),
        count=len(aboard),
        covariance=told.covariance,
        gaps=tuple(mass_gaps(position for position in positions if _key(position) not in was_on)),
        weigh_in=weigh_in,
        places=places,
        unweighed=tuple(_unweighed(aboard)),
    )


def sum_against_scale(snapshot: BuildSnapshot) -> tuple[Update, tuple[Load, ...], WeighInRecord]:
    """What the scale showed against the sum of the parts on it.

    Raises
    ------
    NotKnown
        Without a weigh-in of this revision, or when a part on the scale has no mass.
    """
    weigh_in = snapshot.weigh_in
    if weigh_in is None:
        raise NotKnown((), "The finished aircraft was not weighed whole in this revision.")
    gaps = _unweighed(weigh_in.on_scale)
    loads = tuple(loads_of(weigh_in.on_scale))
    if gaps or not loads:
        raise NotKnown(gaps or ["a part with a mass"])
    return _update(loads, weigh_in, [True] * len(loads)), loads, weigh_in


def centre_of_sum(loads: Sequence[Load]) -> tuple[float, float]:
    """Centre of gravity of loads along x by their own masses, and its standard uncertainty [m].

    Raises
    ------
    NotKnown
        Naming the places that nobody gave.
    """
    gaps = [place_named(load.position, "x") for load in loads if load.at("x") is None]
    if gaps:
        raise NotKnown(gaps)
    found = balance_with([_item(load, "x", ()) for load in loads], _covariance(loads))
    return found.x, found.u_x


def balance_point(weigh_in: WeighInRecord) -> tuple[float, float] | None:
    """The measured balance point and its standard uncertainty [mm], None when it was not found."""
    if weigh_in.cg_x_mm is None:
        return None
    return weigh_in.cg_x_mm, _point_uncertainty_mm(weigh_in)


def weigh_in_inputs(weigh_in: WeighInRecord | None) -> tuple[Input, ...]:
    """A weigh-in as inputs."""
    if weigh_in is None:
        return ()
    mass = Input("weighed whole", weigh_in.mass_g, "g", "weighed", weigh_in.at)
    if weigh_in.cg_x_mm is None:
        return (mass,)
    return mass, Input("balance point measured", weigh_in.cg_x_mm, "mm", "measured", weigh_in.at)


def _tells_of(weigh_in: WeighInRecord, positions: Sequence[PositionRecord]) -> bool:
    """Can the weigh-in be carried over: is the mass of all that has gone since known."""
    if not any(position.part for position in weigh_in.on_scale):
        return False
    present = {_key(position) for position in positions if position.part}
    gone = [p for p in weigh_in.on_scale if p.part and _key(p) not in present]
    return all(has_mass(position) for position in gone)


def _update(loads: Sequence[Load], weigh_in: WeighInRecord, is_on: Sequence[bool]) -> Update:
    shown = Value(weigh_in.mass_g, "weighed", weigh_in.uncertainty_g)
    return masses_after_weighing(
        masses=[load.mass for load in loads],
        covariance=_covariance(loads),
        weighing=Weighing(weigh_in.mass_g * GRAM, mass_uncertainty_g(shown) * GRAM, is_on),
    )


def _load(position: PositionRecord, weigh_in: WeighInRecord) -> Load:
    if has_mass(position):
        return load_of(position)
    # It may be all that the scale showed: then the scale gives it what the others leave.
    return Load(position, 0.0, own=weigh_in.mass_g * GRAM, shared=0.0)


def _covariance(loads: Sequence[Load]) -> MassCovariance:
    return MassCovariance(
        own=tuple(load.own**2 for load in loads),
        shared=tuple(load.shared for load in loads),
        learnt=(0.0,) * len(loads),
    )


def _item(load: Load, axis: Axis, exact: Collection[str]) -> Item:
    if load.mass < 0:
        raise ValueError(
            f"the weighing would leave {load.position.title} with a negative mass: "
            "a part is missing, counted twice or wrong"
        )
    u_place = 0.0 if load.position.key in exact else POSITION_UNCERTAINTY_MM * MILLIMETRE
    return Item(load.position.title, load.mass, load.at(axis) or 0.0, 0.0, 0.0, u_x=u_place)


def _unweighed(positions: Iterable[PositionRecord]) -> list[str]:
    return [named(p, "mass_g") for p in positions if p.part and not has_mass(p)]


def _along(position: PositionRecord, axis: Axis) -> float | None:
    place_mm: float | None = getattr(position, f"{axis}_mm")
    return None if place_mm is None else place_mm * MILLIMETRE


def _point_uncertainty_mm(weigh_in: WeighInRecord) -> float:
    if weigh_in.cg_uncertainty_mm is None:
        return BALANCE_POINT_UNCERTAINTY_MM
    return weigh_in.cg_uncertainty_mm


def _key(position: PositionRecord) -> Key:
    return position.key, position.part.id if position.part else 0, position.quantity
