"""What each position carries, in SI, and how far its mass and place may be off."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from builds.engineering.mass import rectangular_uncertainty
from builds.figures.reading import named
from builds.figures.results import Input, NotKnown
from builds.figures.units import GRAM, MILLIMETRE
from builds.findings import words_of
from builds.records import PositionRecord, Value

Axis = Literal["x", "y", "z"]
WEIGHED = ("weighed", "measured")

FINE_SCALE_TO_G = 200.0
FINE_SCALE_LIMIT_G = 0.1
COARSE_SCALE_LIMIT_G = 1.0
"""Limits of a kitchen scale, where nobody stated an uncertainty: common practice, no source."""
SHEET_MASS_LIMIT = 0.10
"""Limit of a maker's mass as a share of it: common practice, no source."""
GUESSED_MASS_UNCERTAINTY = 0.25
"""Standard uncertainty of a guessed mass as a share of it: common practice, no source."""
POSITION_UNCERTAINTY_MM = 2.0
"""Standard uncertainty of where a part's centre of mass sits: common practice, no source."""


@dataclass(frozen=True)
class Load:
    """What one position carries [kg]: mass, its own uncertainty, and that of the common scale."""

    position: PositionRecord
    mass: float
    own: float
    shared: float

    def at(self, axis: Axis) -> float | None:
        """Where it sits along an axis [m], None when nobody said."""
        place_mm: float | None = getattr(self.position, f"{axis}_mm")
        return None if place_mm is None else place_mm * MILLIMETRE


def has_mass(position: PositionRecord) -> bool:
    """Is a part fitted whose mass is known."""
    return position.part is not None and position.part.known("mass_g") is not None


def loads_of(positions: Iterable[PositionRecord]) -> list[Load]:
    """Loads of the positions whose part has a mass."""
    return [load_of(position) for position in positions if has_mass(position)]


def load_of(position: PositionRecord) -> Load:
    """The load of one position; raises NotKnown when its mass is not known."""
    value = _mass_value(position)
    # Pieces of one kind are weighed as one, so their errors add up in full.
    mass = position.quantity * float(value.value) * GRAM
    u_mass = position.quantity * mass_uncertainty_g(value) * GRAM
    if value.source in WEIGHED:
        return Load(position, mass, own=0.0, shared=u_mass)
    return Load(position, mass, own=u_mass, shared=0.0)


def mass_uncertainty_g(value: Value) -> float:
    """Standard uncertainty of a mass [g]: the stated one, else that of how it came to be known."""
    mass_g = float(value.value)
    if value.uncertainty is not None:
        return value.uncertainty
    if value.is_guess:
        return GUESSED_MASS_UNCERTAINTY * mass_g
    if value.source in WEIGHED:
        is_light = mass_g < FINE_SCALE_TO_G
        return rectangular_uncertainty(
            half_width=FINE_SCALE_LIMIT_G if is_light else COARSE_SCALE_LIMIT_G
        )
    return rectangular_uncertainty(half_width=SHEET_MASS_LIMIT * mass_g)


def mass_gaps(positions: Iterable[PositionRecord]) -> list[str]:
    """Places that must be filled and are not, and parts without a mass."""
    gaps = []
    for position in positions:
        if position.part is None and position.is_required:
            gaps.append(f"{position.name}: nothing fitted")
        if position.part is not None and not has_mass(position):
            gaps.append(named(position, "mass_g"))
    return gaps


def place_named(position: PositionRecord, axis: Axis) -> str:
    """What messages call the place of a position along an axis."""
    return f"the place “{position.name}”: {words_of(f'{axis}_mm')}"


def mass_inputs(loads: Iterable[Load]) -> tuple[Input, ...]:
    """Masses and numbers of pieces as inputs; a mass that only a weighing gave is none."""
    found = []
    for load in loads:
        if not has_mass(load.position):
            continue
        value = _mass_value(load.position)
        found.append(
            Input(named(load.position, "mass_g"), float(value.value), "g", value.source, value.at)
        )
        if load.position.quantity > 1:
            found.append(
                Input(named(load.position, "quantity"), float(load.position.quantity), "", "build")
            )
    return tuple(found)


def place_inputs(loads: Iterable[Load], axis: Axis) -> tuple[Input, ...]:
    """Places along an axis as inputs."""
    return tuple(
        Input(place_named(load.position, axis), place / MILLIMETRE, "mm", "build")
        for load in loads
        if (place := load.at(axis)) is not None
    )


def _mass_value(position: PositionRecord) -> Value:
    value = position.part.known("mass_g") if position.part else None
    if value is None:
        raise NotKnown([named(position, "mass_g")])
    return value
