"""What fits where: bays, slots, holes, screws and bores, each with its figures and a verdict."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from typing import TypeVar

from builds.engineering.fit import Placement, placements_in_bay, shim_each_side
from builds.figures.clearance import (
    Gap,
    Measure,
    at_likely_worst,
    at_worst,
    bore_measure,
    each_side,
    part_measure,
    place_measure,
    to_spare,
)
from builds.figures.fastening import FASTENED, HOLES, SCREW, Screw, hole_pairs, screws_of
from builds.figures.results import Figure, Figures, Maker, NotKnown, Unknown, Worked
from builds.figures.units import MILLIMETRE
from builds.limits import is_above, is_below
from builds.records import BuildSnapshot, PositionRecord

SIDES = ("length", "width", "height")
ALL_SIDES_OF = ("pack", "servo")
LOOSE_BEYOND_MM = 0.2
"""Play of a spar or a propeller beyond which it is loose: common practice, no source."""
THREAD_DIAMETERS = 1.0
"""Thread wanted in metal, in diameters: common practice, no source."""

ROOM, PART = "room_mm", "part_mm"
SPARE, WORST, LIKELY = "room_to_spare_mm", "least_to_spare_mm", "likely_least_to_spare_mm"
SHIM_SOURCE = "Half of slot less camera: geometry."
TURNED_SOURCE = "All six ways to lay a box square to its bay; room less part on the tightest side."
SWELLING = "A pack swells in use, and strap and foam take room; a squeezed pack can burn."


class Verdict(StrEnum):
    """How a thing goes with its place."""

    FITS = "fits"
    TIGHT = "tight"
    LOOSE = "loose"
    SHORT = "too little thread"
    NO = "does not fit"
    GUESSED = "only guessed"
    UNKNOWN = "not known"


@dataclass(frozen=True)
class Fit:
    """One thing held against its place, by what, with its figures; the first one decides."""

    position: PositionRecord
    what: str
    figures: Mapping[str, Figure | Unknown]
    verdict: Verdict


Work = Mapping[str, Callable[[Figures], Worked]]
Take = Callable[[], Measure]
Taken = TypeVar("Taken")


def fits_of(figures: Figures) -> tuple[Fit, ...]:
    """Everything that can be held against its place in a build."""
    return tuple(
        fit for position in figures.snapshot.positions for fit in fits_at(figures, position)
    )


def fits_at(figures: Figures, position: PositionRecord) -> Iterator[Fit]:
    """What can be held against one place: sides, ways round, holes, screws, bores."""
    if position.part is None:
        if sides_asked(position) or position.hole_pattern_mm:
            yield _fit(figures, position, "the part", {SPARE: partial(_nothing, position=position)})
        return
    yield from bay_fits(figures, position)
    yield from _hole_fits(figures, position)
    for screw in screws_of(figures.snapshot, position):
        yield screw_fit(figures, screw)
    yield from _bore_fits(figures, position)


def sides_asked(position: PositionRecord) -> tuple[str, ...]:
    """Sides to hold against each other: those that the place gives, all for a pack or a pocket."""
    given = tuple(side for side in SIDES if getattr(position, f"{side}_mm") is not None)
    if position.kind == "pack" or (position.kind in ALL_SIDES_OF and not given):
        return SIDES
    if position.kind == "camera" and "width" not in given:
        return (*given, "width")
    return given


def bay_fits(figures: Figures, position: PositionRecord) -> Iterator[Fit]:
    """Room and part along each side, and the roomiest way to lay the part."""
    sides = sides_asked(position)
    for side in sides:
        name = f"{side}_mm"
        room = partial(place_measure, position, name)
        work = _gap_work(room, partial(part_measure, position, name))
        if position.kind == "camera" and side == "width":
            gap = partial(_side_gap, position=position, side=side)
            work["shim_each_side_mm"] = partial(_shim, gap=gap)
        yield _fit(figures, position, side, work)
    if sides == SIDES:
        turned = {"turned_to_spare_mm": partial(_turned, position=position)}
        yield _fit(figures, position, "turned the roomiest way", turned)


def screw_fit(figures: Figures, screw: Screw) -> Fit:
    """The screws of one motor, of a known length or of the lengths that would do."""
    work = {name: partial(one, screw=screw) for name, one in SCREW.items()}
    return _fit(figures, screw.motor, screw.words, work)


def _hole_fits(figures: Figures, position: PositionRecord) -> Iterator[Fit]:
    if position.kind not in FASTENED:
        return
    if position.kind != "motor" and not position.hole_pattern_mm:
        # Boards at places without holes are glued or taped.
        return
    for pair in hole_pairs(position):
        work = {name: partial(one, pair=pair) for name, one in HOLES.items()}
        yield _fit(figures, position, pair.words, work)


def _bore_fits(figures: Figures, position: PositionRecord) -> Iterator[Fit]:
    snapshot = figures.snapshot
    if position.kind == "propeller":
        bore = partial(bore_measure, position, "bore_mm")
        shaft = partial(_shaft, snapshot, position)
        yield _fit(figures, position, "bore on the shaft", _gap_work(bore, shaft), is_bore=True)
    if position.kind == "hardware" and _is_spar(position):
        bore = partial(_spar_bore, snapshot)
        rod = partial(bore_measure, position, "diameter_mm")
        yield _fit(figures, position, "spar in its bore", _gap_work(bore, rod), is_bore=True)


def _is_spar(position: PositionRecord) -> bool:
    purpose = str(position.part.get("purpose", "")) if position.part else ""
    return "spar" in purpose.casefold()


def _gap_work(room: Take, body: Take) -> dict[str, Callable[[Figures], Worked]]:
    gap = partial(_both, room, body)
    return {
        SPARE: lambda _: to_spare(gap()),
        ROOM: lambda _: room().worked,
        PART: lambda _: body().worked,
        "gap_each_side_mm": lambda _: each_side(gap()),
        WORST: lambda _: at_worst(gap()),
        LIKELY: lambda _: at_likely_worst(gap()),
    }


def _fit(
    figures: Figures, position: PositionRecord, what: str, work: Work, *, is_bore: bool = False
) -> Fit:
    made = {
        name: figures.beside(position.title, name, Maker(_unit(name), one)).figure
        for name, one in work.items()
    }
    return Fit(position, what, made, verdict_of(made, is_bore=is_bore))


def _unit(name: str) -> str:
    return "mm" if name.endswith("_mm") else ""


def verdict_of(figures: Mapping[str, Figure | Unknown], *, is_bore: bool = False) -> Verdict:
    """What the figures of one thing in its place come to; the first one decides."""
    first = next(iter(figures.values()))
    if isinstance(first, Unknown):
        return Verdict.UNKNOWN
    if is_below(first.value, 0):
        return Verdict.NO
    if first.guesses:
        return Verdict.GUESSED
    thread, worst = figures.get("screw_diameters"), figures.get(WORST)
    if isinstance(thread, Figure) and is_below(thread.value, THREAD_DIAMETERS):
        return Verdict.SHORT
    if is_bore and is_above(first.value, LOOSE_BEYOND_MM):
        return Verdict.LOOSE
    # A spar or a shaft is meant to sit without room to spare.
    if not is_bore and isinstance(worst, Figure) and is_below(worst.value, 0):
        return Verdict.TIGHT
    return Verdict.FITS


def _both(room: Take, body: Take) -> Gap:
    return Gap(*_every((room, body)))


def _side_gap(*, position: PositionRecord, side: str) -> Gap:
    name = f"{side}_mm"
    return _both(partial(place_measure, position, name), partial(part_measure, position, name))


def _spar_bore(snapshot: BuildSnapshot) -> Measure:
    airframe = snapshot.first("airframe")
    if airframe is None:
        raise NotKnown(("Airframe: nothing fitted",))
    return bore_measure(airframe, "spar_diameter_mm")


def _shaft(snapshot: BuildSnapshot, propeller: PositionRecord) -> Measure:
    motors = snapshot.fitted("motor")
    if not motors:
        raise NotKnown(("Motor: nothing fitted",))
    bore = propeller.part.get("bore_mm") if propeller.part else None
    # With unlike motors the nearest shaft counts.
    nearest = min(motors, key=lambda motor: _away(motor, bore))
    return bore_measure(nearest, "shaft_diameter_mm")


def _away(motor: PositionRecord, bore: float | None) -> float:
    shaft = motor.part.get("shaft_diameter_mm") if motor.part else None
    return 0.0 if shaft is None or bore is None else abs(shaft - bore)


def _shim(_: Figures, *, gap: Callable[[], Gap]) -> Worked:
    found = gap()
    spare = to_spare(found)
    shim = shim_each_side(
        mount_width=found.room.value_mm * MILLIMETRE, body_width=found.body.value_mm * MILLIMETRE
    )
    note = "Less than nothing: the camera is too wide." if is_below(shim, 0) else ""
    return Worked(shim / MILLIMETRE, spare.uncertainty / 2, found.inputs, SHIM_SOURCE, note)


def _turned(_: Figures, *, position: PositionRecord) -> Worked:
    gaps = _every(partial(_side_gap, position=position, side=side) for side in SIDES)
    best = placements_in_bay(
        box=_box(gap.body for gap in gaps), bay=_box(gap.room for gap in gaps)
    )[0]
    worst = min(gaps, key=lambda gap: gap.spare_mm)
    return Worked(
        value=2 * best.tightest_gap / MILLIMETRE,
        uncertainty=to_spare(worst).uncertainty,
        inputs=tuple(one for gap in gaps for one in gap.inputs),
        source=TURNED_SOURCE,
        note=_turned_note(best, position),
    )


def _turned_note(best: Placement, position: PositionRecord) -> str:
    sides = " × ".join(f"{round(side / MILLIMETRE, 2):g}" for side in best.size)
    note = f"Laid as {sides} mm along the length, width and height of the place."
    return f"{note} {SWELLING}" if position.kind == "pack" else note


def _every(takes: Iterable[Callable[[], Taken]]) -> list[Taken]:
    """What each gives; raises NotKnown that names all that is missing."""
    found: list[Taken] = []
    missing: list[str] = []
    for take in takes:
        try:
            found.append(take())
        except NotKnown as error:
            missing += error.missing
    if missing:
        raise NotKnown(dict.fromkeys(missing))
    return found


def _box(measures: Iterable[Measure]) -> tuple[float, float, float]:
    x, y, z = (measure.value_mm * MILLIMETRE for measure in measures)
    return x, y, z


def _nothing(_: Figures, *, position: PositionRecord) -> Worked:
    raise NotKnown((f"{position.name}: nothing fitted",))
