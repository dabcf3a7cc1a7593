"""Moments of inertia about the centre of gravity, from boxes where the sizes are known."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from builds.engineering.mass import Item, inertia_about_cg
from builds.engineering.mass.items import centre_of, total_mass
from builds.figures.aboard import NOT_LISTED, Aboard, weigh_in_inputs
from builds.figures.loads import (
    POSITION_UNCERTAINTY_MM,
    Axis,
    Load,
    mass_inputs,
    place_inputs,
    place_named,
)
from builds.figures.reading import named
from builds.figures.results import Figures, Input, NotKnown, Worked
from builds.figures.units import MILLIMETRE
from builds.figures.weighing import read_aboard
from builds.records import PositionRecord

Turn = Literal["roll", "pitch", "yaw"]
ACROSS: dict[Turn, tuple[Axis, Axis]] = {"roll": ("y", "z"), "pitch": ("x", "z"), "yaw": ("x", "y")}
ELEMENT = {"roll": "xx", "pitch": "yy", "yaw": "zz"}
SIDES: dict[Axis, str] = {"x": "length_mm", "y": "width_mm", "z": "height_mm"}

SOURCE = (
    "Parallel-axis theorem and the homogeneous cuboid m(b2+c2)/12, any handbook of mechanics."
    " Uncertainty: JCGM 100:2008, 5.1.2, of masses and places; not of the boxes."
)
NOTE = (
    "Each part counts as a homogeneous box along the axes of the aircraft. Swinging the model on"
    " two lines measures it better."
)


def moment(figures: Figures, *, axis: Turn) -> Worked:
    """Moment of inertia about the roll, pitch or yaw axis through the centre of gravity [kg m2].

    What has no mass or no place is left out, what has no size counts as a point: both only lower
    the result, which is then a lower bound.
    """
    snapshot = figures.snapshot
    aboard = read_aboard(snapshot, snapshot.positions)
    axes = ACROSS[axis]
    placed = [
        (number, load)
        for number, load in enumerate(aboard.now)
        if load.mass > 0 and all(load.at(one) is not None for one in axes)
    ]
    gaps = _gaps(aboard, axes)
    if len(placed) < 2:
        raise NotKnown(gaps or ["two parts with a mass and a place"])
    loads = [load for _, load in placed]
    items = [_item(load) for load in loads]
    found = inertia_about_cg(items=items)
    return Worked(
        value=float(getattr(found, ELEMENT[axis])),
        uncertainty=_uncertainty(aboard, placed, items, axes),
        inputs=_inputs(aboard, loads, axes),
        source=SOURCE,
        note=f"{NOTE} At least this much: left out are {'; '.join(gaps)}." if gaps else NOTE,
        left_out=gaps,
    )


def _gaps(aboard: Aboard, axes: tuple[Axis, Axis]) -> tuple[str, ...]:
    gaps = list(aboard.gaps)
    if aboard.not_listed:
        gaps.append(NOT_LISTED.name)
    for load in aboard.listed:
        position = load.position
        gaps += [place_named(position, one) for one in axes if load.at(one) is None]
        gaps += [named(position, SIDES[one]) for one in axes if _side(position, one) is None]
        if position.quantity > 1:
            gaps.append(f"{position.title}: where each of the {position.quantity} pieces sits")
    return tuple(gaps)


def _side(position: PositionRecord, axis: Axis) -> float | None:
    """Side of the part's box along an axis [m]."""
    side = position.part.get(SIDES[axis]) if position.part else None
    return None if side is None else float(side) * MILLIMETRE


def _item(load: Load) -> Item:
    size = tuple(_side(load.position, axis) or 0.0 for axis in ("x", "y", "z"))
    x, y, z = (load.at(axis) or 0.0 for axis in ("x", "y", "z"))
    return Item(load.position.title, load.mass, x, y, z, size=(size[0], size[1], size[2]))


def _uncertainty(
    aboard: Aboard,
    placed: Sequence[tuple[int, Load]],
    items: Sequence[Item],
    axes: tuple[Axis, Axis],
) -> float:
    """First order: the centre moves too, but the moment is least about it, so that adds nothing."""
    centre = dict(zip(("x", "y", "z"), centre_of(items, total_mass(items=items)), strict=True))
    weights = [0.0] * len(aboard.loads)
    from_places = 0.0
    for (number, load), item in zip(placed, items, strict=True):
        for axis in axes:
            lever = (load.at(axis) or 0.0) - centre[axis]
            side = _side(load.position, axis) or 0.0
            weights[number] += lever**2 + side**2 / 12
            slope = 2 * item.mass * lever
            from_places += (slope * POSITION_UNCERTAINTY_MM * MILLIMETRE) ** 2
    return float((aboard.covariance.variance(weights) + from_places) ** 0.5)


def _inputs(aboard: Aboard, loads: Sequence[Load], axes: tuple[Axis, Axis]) -> tuple[Input, ...]:
    places = tuple(one for axis in axes for one in place_inputs(loads, axis))
    sides = tuple(
        Input(named(load.position, SIDES[axis]), side / MILLIMETRE, "mm", _source(load, axis))
        for load in loads
        for axis in axes
        if (side := _side(load.position, axis)) is not None
    )
    return (*weigh_in_inputs(aboard.weigh_in), *mass_inputs(loads), *places, *sides)


def _source(load: Load, axis: Axis) -> str:
    value = load.position.part.known(SIDES[axis]) if load.position.part else None
    return value.source if value else ""
