"""Mass, balance, and where the pack must sit. Masses in g and lengths in mm in, SI inside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from builds.engineering.mass import (
    Balance,
    Item,
    position_for_cg,
    position_window_for_cg_range,
    rectangular_uncertainty,
)
from builds.engineering.mass.items import MassCovariance, balance_with
from builds.figures.reading import Reading, named
from builds.figures.results import Figures, Input, NotKnown, Unknown, Worked
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

SUM_SOURCE = (
    "Sum of the masses, FAA-H-8083-1B, chapter 2. Uncertainty: JCGM 100:2008, 5.1.2 and 5.2.2,"
    " weighed parts sharing one scale's error; limits as rectangular, 4.3.7."
)
MOMENT_SOURCE = (
    "Moments about the datum over the mass, FAA-H-8083-1B, chapter 2. Uncertainty: JCGM 100:2008,"
    " 5.1.2 and 5.2.2, weighed parts sharing one scale's error."
)
PACK_SOURCE = (
    "Balance of moments about the datum, FAA-H-8083-1B, chapter 2. The interval is the window that"
    " keeps the centre of gravity in its range."
)


@dataclass(frozen=True)
class Load:
    """What one position carries [kg]: mass, its own uncertainty, and that of the common scale."""

    position: PositionRecord
    mass: float
    own: float
    shared: float


def total(figures: Figures, *, with_pack: bool) -> Worked:
    """Mass of the fitted parts, with or without the pack [g]."""
    positions = _positions(figures, with_pack=with_pack)
    gaps = _mass_gaps(positions)
    loads = _loads(positions)
    if not loads:
        raise NotKnown(gaps or ["a part with a mass"])
    found = _balance(loads, places=[(0.0, 0.0)] * len(loads))
    return Worked(
        value=found.mass / GRAM,
        uncertainty=found.u_mass / GRAM,
        inputs=_mass_inputs(loads),
        source=SUM_SOURCE,
        note=f"At least this much: left out are {'; '.join(gaps)}." if gaps else "",
        left_out=tuple(gaps),
    )


def centre(figures: Figures, *, axis: Axis, with_pack: bool = True) -> Worked:
    """Centre of gravity along one axis [mm]."""
    positions = _positions(figures, with_pack=with_pack)
    loads = _loads(positions)
    gaps = _mass_gaps(positions) + _place_gaps(loads, axis)
    if gaps or not loads:
        raise NotKnown(gaps or ["a part with a mass"])
    found = _balance(loads, places=[_place(load, axis) for load in loads])
    return Worked(
        value=found.x / MILLIMETRE,
        uncertainty=found.u_x / MILLIMETRE,
        inputs=_mass_inputs(loads) + _place_inputs(loads, axis),
        source=MOMENT_SOURCE,
    )


def limit(figures: Figures, *, name: str) -> Worked:
    """A limit of the centre of gravity [mm]: the build's own, else the airframe's."""
    own = getattr(figures.snapshot, name)
    if own is not None:
        given = Input(f"this build: {words_of(name)}", float(own), "mm", "build")
        return Worked(float(own), 0.0, (given,), "As set for this build.")
    reading = Reading()
    airframes = reading.fitted(figures.snapshot, "airframe")
    reading.check()
    value = reading.take(airframes[0], name, "mm")
    reading.check()
    return Worked(value, 0.0, tuple(reading.inputs), "Data sheet of the airframe.")


def pack_place(figures: Figures) -> Worked:
    """Where the pack's middle must sit for the centre of gravity wanted [mm]."""
    pack, others = _pack_and_others(figures)
    target = figures.need("cg_target_x_mm")
    items = [_item(load, _place(load, "x")) for load in others]
    x = position_for_cg(others=items, movable_mass=pack.mass, cg=target.value * MILLIMETRE)
    balanced = _balance([*others, pack], places=[*(_place(load, "x") for load in others), (x, 0.0)])
    window, limits = _window(figures, items, pack.mass)
    return Worked(
        value=x / MILLIMETRE,
        # A millimetre of pack moves the whole by its share of the mass.
        uncertainty=balanced.u_x * balanced.mass / pack.mass / MILLIMETRE,
        inputs=(
            target.as_input(),
            *limits,
            *_mass_inputs([*others, pack]),
            *_place_inputs(others, "x"),
        ),
        source=PACK_SOURCE,
        note=_tray_note(pack.position, x / MILLIMETRE),
        interval=window,
    )


def _pack_and_others(figures: Figures) -> tuple[Load, Sequence[Load]]:
    positions = _positions(figures, with_pack=True)
    place = next((p for p in positions if p.kind == "pack" and p.part), None)
    gaps = _mass_gaps(positions)
    if place is None:
        raise NotKnown(gaps or ["Pack: nothing fitted"])
    others = _loads(position for position in positions if position is not place)
    gaps += _place_gaps(others, "x")
    if gaps:
        raise NotKnown(gaps)
    return _load(place), others


def _window(
    figures: Figures, others: Sequence[Item], mass: float
) -> tuple[tuple[float | None, float | None], tuple[Input, ...]]:
    forward, aft = figures["cg_min_x_mm"], figures["cg_max_x_mm"]
    if isinstance(forward, Unknown) or isinstance(aft, Unknown):
        return (None, None), ()
    low, high = position_window_for_cg_range(
        others=others,
        movable_mass=mass,
        cg_forward=forward.value * MILLIMETRE,
        cg_aft=aft.value * MILLIMETRE,
    )
    return (low / MILLIMETRE, high / MILLIMETRE), (forward.as_input(), aft.as_input())


def _tray_note(tray: PositionRecord, x_mm: float) -> str:
    if tray.x_min_mm is None or tray.x_max_mm is None:
        return "How far the pack can move is not known."
    reach = f"from {tray.x_min_mm:g} to {tray.x_max_mm:g} mm"
    if tray.x_min_mm <= x_mm <= tray.x_max_mm:
        return f"The tray allows it: the pack can sit {reach}."
    return f"The tray does not allow it: the pack can only sit {reach}."


def _positions(figures: Figures, *, with_pack: bool) -> list[PositionRecord]:
    return [p for p in figures.snapshot.positions if with_pack or p.kind != "pack"]


def _mass_gaps(positions: Iterable[PositionRecord]) -> list[str]:
    gaps = []
    for position in positions:
        if position.part is None and position.is_required:
            gaps.append(f"{position.name}: nothing fitted")
        if position.part is not None and position.part.known("mass_g") is None:
            gaps.append(named(position, "mass_g"))
    return gaps


def _place_gaps(loads: Iterable[Load], axis: Axis) -> list[str]:
    return [
        _place_named(load, axis) for load in loads if getattr(load.position, f"{axis}_mm") is None
    ]


def _loads(positions: Iterable[PositionRecord]) -> list[Load]:
    return [_load(p) for p in positions if p.part is not None and p.part.known("mass_g")]


def _load(position: PositionRecord) -> Load:
    value = _mass_value(position)
    # Pieces of one kind are weighed as one, so their errors add up in full.
    mass = position.quantity * float(value.value) * GRAM
    u_mass = position.quantity * _mass_uncertainty_g(value) * GRAM
    if value.source in WEIGHED:
        return Load(position, mass, own=0.0, shared=u_mass)
    return Load(position, mass, own=u_mass, shared=0.0)


def _mass_value(position: PositionRecord) -> Value:
    value = position.part.known("mass_g") if position.part else None
    if value is None:
        raise NotKnown([named(position, "mass_g")])
    return value


def _mass_uncertainty_g(value: Value) -> float:
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


def _place(load: Load, axis: Axis) -> tuple[float, float]:
    place_mm: float = getattr(load.position, f"{axis}_mm")
    return place_mm * MILLIMETRE, POSITION_UNCERTAINTY_MM * MILLIMETRE


def _place_named(load: Load, axis: Axis) -> str:
    return f"the place “{load.position.name}”: {words_of(f'{axis}_mm')}"


def _item(load: Load, place: tuple[float, float]) -> Item:
    return Item(load.position.title, load.mass, place[0], 0.0, 0.0, u_x=place[1])


def _balance(loads: Sequence[Load], *, places: Sequence[tuple[float, float]]) -> Balance:
    masses = MassCovariance(
        own=tuple(load.own**2 for load in loads),
        shared=tuple(load.shared for load in loads),
        learnt=(0.0,) * len(loads),
    )
    items = [_item(load, place) for load, place in zip(loads, places, strict=True)]
    return balance_with(items, masses)


def _mass_inputs(loads: Iterable[Load]) -> tuple[Input, ...]:
    found = []
    for load in loads:
        value = _mass_value(load.position)
        found.append(
            Input(named(load.position, "mass_g"), float(value.value), "g", value.source, value.at)
        )
        if load.position.quantity > 1:
            found.append(
                Input(named(load.position, "quantity"), float(load.position.quantity), "", "build")
            )
    return tuple(found)


def _place_inputs(loads: Iterable[Load], axis: Axis) -> tuple[Input, ...]:
    return tuple(
        Input(_place_named(load, axis), _place(load, axis)[0] / MILLIMETRE, "mm", "build")
        for load in loads
    )
