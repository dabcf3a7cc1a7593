"""What is aboard and what it weighs, once a weigh-in of the whole aircraft is taken into account.

A weigh-in leads over the sum of the parts: the difference is shared out among the parts that were
on the scale, the least certain taking the most.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from builds.engineering.mass import Update, Weighing, masses_after_weighing
from builds.engineering.mass.items import balance_with
from builds.figures.aboard import (
    NOT_LISTED,
    Aboard,
    Key,
    covariance_of,
    item_of,
    key_of,
    point_uncertainty_mm,
)
from builds.figures.loads import (
    Load,
    has_mass,
    load_of,
    loads_of,
    mass_gaps,
    mass_uncertainty_g,
    place_named,
)
from builds.figures.reading import named
from builds.figures.results import NotKnown
from builds.figures.units import GRAM
from builds.records import BuildSnapshot, PositionRecord, Value, WeighInRecord

UNEXPLAINED_BEYOND = 2.0
"""Standard uncertainties beyond which the parts cannot be all that was on the scale."""


def read_aboard(snapshot: BuildSnapshot, positions: Sequence[PositionRecord]) -> Aboard:
    """What is aboard in these positions, by the newest weigh-in of this revision where it tells."""
    weigh_in = snapshot.weigh_in
    if weigh_in is None or not _tells_of(weigh_in, positions):
        loads = tuple(loads_of(positions))
        return Aboard(loads, len(loads), covariance_of(loads), tuple(mass_gaps(positions)))
    was_on = {key_of(position): position for position in weigh_in.on_scale if position.part}
    aboard = [
        position
        for position in positions
        if position.part and (has_mass(position) or key_of(position) in was_on)
    ]
    present = {key_of(position) for position in aboard}
    gone = [position for key, position in was_on.items() if key not in present]
    told = _told(aboard, gone, was_on, weigh_in)
    if told.is_unexplained and all(has_mass(position) for position in was_on.values()):
        aboard, was_on = [*aboard, NOT_LISTED], {**was_on, key_of(NOT_LISTED): NOT_LISTED}
        told = _told(aboard, gone, was_on, weigh_in)
    return Aboard(
        loads=told.loads,
        count=len(aboard),
        covariance=told.update.covariance,
        gaps=tuple(mass_gaps(position for position in positions if key_of(position) not in was_on)),
        weigh_in=weigh_in,
        places=told.places,
        unweighed=tuple(_unweighed(aboard)),
    )


@dataclass(frozen=True)
class _Told:
    loads: tuple[Load, ...]
    places: tuple[PositionRecord | None, ...]
    update: Update

    @property
    def is_unexplained(self) -> bool:
        return abs(self.update.difference) > UNEXPLAINED_BEYOND * self.update.u_difference


def _told(
    aboard: Sequence[PositionRecord],
    gone: Sequence[PositionRecord],
    was_on: Mapping[Key, PositionRecord],
    weigh_in: WeighInRecord,
) -> _Told:
    """Loads with the masses that the weighing leaves them, what is aboard first."""
    loads = [_load(position, weigh_in) for position in (*aboard, *gone)]
    places = tuple(was_on.get(key_of(load.position)) for load in loads)
    update = _update(loads, weigh_in, [place is not None for place in places])
    adjusted = tuple(
        replace(load, mass=mass) for load, mass in zip(loads, update.masses, strict=True)
    )
    return _Told(adjusted, places, update)


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
    found = balance_with([item_of(load, "x", ()) for load in loads], covariance_of(loads))
    return found.x, found.u_x


def balance_point(weigh_in: WeighInRecord) -> tuple[float, float] | None:
    """The measured balance point and its standard uncertainty [mm], None when it was not found."""
    if weigh_in.cg_x_mm is None:
        return None
    return weigh_in.cg_x_mm, point_uncertainty_mm(weigh_in)


def _tells_of(weigh_in: WeighInRecord, positions: Sequence[PositionRecord]) -> bool:
    """Can the weigh-in be carried over: is the mass of all that has gone since known."""
    if not any(position.part for position in weigh_in.on_scale):
        return False
    present = {key_of(position) for position in positions if position.part}
    gone = [p for p in weigh_in.on_scale if p.part and key_of(p) not in present]
    return all(has_mass(position) for position in gone)


def _update(loads: Sequence[Load], weigh_in: WeighInRecord, is_on: Sequence[bool]) -> Update:
    shown = Value(weigh_in.mass_g, "weighed", weigh_in.uncertainty_g)
    return masses_after_weighing(
        masses=[load.mass for load in loads],
        covariance=covariance_of(loads),
        weighing=Weighing(weigh_in.mass_g * GRAM, mass_uncertainty_g(shown) * GRAM, is_on),
    )


def _load(position: PositionRecord, weigh_in: WeighInRecord) -> Load:
    if has_mass(position):
        return load_of(position)
    # It may be all that the scale showed: then the scale gives it what the others leave.
    return Load(position, 0.0, own=weigh_in.mass_g * GRAM, shared=0.0)


def _unweighed(positions: Iterable[PositionRecord]) -> list[str]:
    return [named(p, "mass_g") for p in positions if p.part and not has_mass(p)]
