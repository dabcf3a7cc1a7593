"""What holds a part: holes against holes, and screws against plate and thread."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from builds.engineering.fit import (
    HolePattern,
    ScrewSeat,
    clearance_hole,
    cross_pattern,
    hole_offset,
    screw_seat,
    square_pattern,
)
from builds.figures.reading import Reading, named
from builds.figures.results import Figures, Input, NotKnown, Worked
from builds.figures.units import MILLIMETRE
from builds.findings import words_of
from builds.records import BuildSnapshot, PositionRecord

FASTENED = ("motor", "speed_controller", "flight_controller", "video_unit")
USUAL_SCREW_MM = 3.0
HOLES_SOURCE = (
    "Geometry: patterns laid centre on centre. The figures of a motor are the circles of its two"
    " pairs of holes, those of a board the side of its square. Drilled holes are taken as nominal."
)
PLAY_SOURCE = (
    "Half of clearance hole less screw; hole by ISO 273, medium series (from memory, not verified)."
)
SCREW_SOURCE = (
    "Geometry. One diameter of thread in metal, two in plastic: common practice, no source."
)
TIP_NOTE = "A screw that meets the winding ruins the motor and can short the pack through it."


@dataclass(frozen=True)
class HolePair:
    """One figure of a part's hole pattern [mm], and that of the place nearest to it."""

    position: PositionRecord
    part_mm: float | None
    place_mm: float | None

    @property
    def words(self) -> str:
        """What is compared."""
        return "holes" if self.part_mm is None else f"holes at {self.part_mm:g} mm"

    def patterns(self) -> tuple[HolePattern, HolePattern]:
        """Both patterns [m]; raises NotKnown for the one that nobody gave."""
        missing = []
        if self.part_mm is None:
            missing.append(named(self.position, "hole_pattern_mm"))
        if self.place_mm is None:
            missing.append(f"the place “{self.position.name}”: {words_of('hole_pattern_mm')}")
        if self.part_mm is None or self.place_mm is None:
            raise NotKnown(missing)
        return self._pattern(self.part_mm), self._pattern(self.place_mm)

    def _pattern(self, size_mm: float) -> HolePattern:
        size = size_mm * MILLIMETRE
        if self.position.kind == "motor":
            return cross_pattern(diameter_a=size, diameter_b=size)
        return square_pattern(pitch=size)

    @property
    def inputs(self) -> tuple[Input, ...]:
        """Both patterns as inputs."""
        place = f"the place “{self.position.name}”: {words_of('hole_pattern_mm')}"
        value = self.position.part.known("hole_pattern_mm") if self.position.part else None
        source, at = (value.source, value.at) if value else ("", None)
        return (
            Input(place, self.place_mm or 0.0, "mm", "build"),
            Input(named(self.position, "hole_pattern_mm"), self.part_mm or 0.0, "mm", source, at),
        )


def hole_pairs(position: PositionRecord) -> Iterator[HolePair]:
    """Each figure of the part's pattern with that of the place it goes on."""
    part = [float(one) for one in (position.part.get("hole_pattern_mm") or [])]  # type: ignore[union-attr]
    place = [float(one) for one in position.hole_pattern_mm]
    if not part or not place:
        yield HolePair(position, part[0] if part else None, place[0] if place else None)
        return
    if position.kind == "motor" and len(part) <= 2 and len(place) <= 2:
        # One figure stands for both pairs; the circles pair off by size.
        ours, theirs = ((min(each), max(each)) for each in (part, place))
        pairs = dict.fromkeys(zip(ours, theirs, strict=True))
    else:
        pairs = dict.fromkeys((one, min(place, key=lambda p: abs(p - one))) for one in part)
    for one, other in pairs:
        yield HolePair(position, one, other)


def _miss(pair: HolePair) -> float:
    part, mount = pair.patterns()
    return hole_offset(part=part, mount=mount) / MILLIMETRE


def _holes_apart(_: Figures, *, pair: HolePair) -> Worked:
    return Worked(_miss(pair), 0.0, pair.inputs, HOLES_SOURCE)


def _play(pair: HolePair) -> tuple[float, tuple[Input, ...]]:
    reading = Reading()
    screw = reading.take_or(pair.position, "screw_diameter_mm", "mm", USUAL_SCREW_MM)
    hole = clearance_hole(thread=f"M{screw:g}") / MILLIMETRE
    return (hole - screw) / 2, tuple(reading.inputs)


def _screw_play(_: Figures, *, pair: HolePair) -> Worked:
    value, inputs = _play(pair)
    return Worked(value, 0.0, inputs, PLAY_SOURCE)


def _holes_to_spare(_: Figures, *, pair: HolePair) -> Worked:
    miss = _miss(pair)
    play, inputs = _play(pair)
    source = f"Play of the screw less what the holes miss by. {HOLES_SOURCE} {PLAY_SOURCE}"
    return Worked(play - miss, 0.0, (*pair.inputs, *inputs), source)


HOLES: dict[str, Callable[..., Worked]] = {
    "holes_to_spare_mm": _holes_to_spare,
    "holes_apart_mm": _holes_apart,
    "screw_play_mm": _screw_play,
}


@dataclass(frozen=True)
class Screw:
    """The screws of one motor: a fitted part, or a length asked for; neither when not known."""

    motor: PositionRecord
    fitted: PositionRecord | None = None
    length_mm: float | None = None

    @property
    def words(self) -> str:
        """What is compared."""
        if self.length_mm is not None:
            return f"screws of {self.length_mm:g} mm, as asked"
        return f"screws: {self.fitted.title}" if self.fitted else "screws"


def screws_of(snapshot: BuildSnapshot, motor: PositionRecord) -> tuple[Screw, ...]:
    """The screws fitted for motors, one unknown screw where none is."""
    if motor.kind != "motor":
        return ()
    found = [p for p in snapshot.fitted("hardware") if _is_motor_screw(p)]
    return tuple(Screw(motor, one) for one in found) or (Screw(motor),)


def _is_motor_screw(position: PositionRecord) -> bool:
    purpose = str(position.part.get("purpose", "")).casefold() if position.part else ""
    return "screw" in purpose and "motor" in purpose


def _plate(motor: PositionRecord, reading: Reading) -> float:
    words = f"the place “{motor.name}”: {words_of('plate_mm')}"
    if motor.plate_mm is None:
        reading.missing.append(words)
        return 0.0
    reading.inputs.append(Input(words, motor.plate_mm, "mm", "build"))
    return motor.plate_mm


def _length(screw: Screw, reading: Reading) -> float:
    if screw.length_mm is not None:
        reading.inputs.append(Input("screw: length (mm)", screw.length_mm, "mm", "asked"))
        return screw.length_mm
    if screw.fitted is not None:
        return reading.take(screw.fitted, "length_mm", "mm")
    reading.missing.append("the motor screws, as a fitted part with its length")
    return 0.0


def _seat(screw: Screw) -> tuple[ScrewSeat, tuple[Input, ...]]:
    reading = Reading()
    length = _length(screw, reading)
    plate = _plate(screw.motor, reading)
    depth = reading.take(screw.motor, "screw_depth_max_mm", "mm")
    diameter = reading.take(screw.motor, "screw_diameter_mm", "mm")
    reading.check()
    seat = screw_seat(
        screw_length=length * MILLIMETRE,
        clamped=plate * MILLIMETRE,
        thread_depth=depth * MILLIMETRE,
        screw_diameter=diameter * MILLIMETRE,
    )
    return seat, tuple(reading.inputs)


def _tip_gap(_: Figures, *, screw: Screw) -> Worked:
    seat, inputs = _seat(screw)
    return Worked(seat.tip_gap / MILLIMETRE, 0.0, inputs, SCREW_SOURCE, TIP_NOTE)


def _engagement(_: Figures, *, screw: Screw) -> Worked:
    seat, inputs = _seat(screw)
    return Worked(seat.engagement / MILLIMETRE, 0.0, inputs, SCREW_SOURCE)


def _diameters(_: Figures, *, screw: Screw) -> Worked:
    seat, inputs = _seat(screw)
    return Worked(seat.engaged_diameters, 0.0, inputs, SCREW_SOURCE)


def _with_plate(screw: Screw, name: str) -> Worked:
    """Plate and one length of the motor together [mm]."""
    reading = Reading()
    total = _plate(screw.motor, reading) + reading.take(screw.motor, name, "mm")
    reading.check()
    return Worked(total, 0.0, tuple(reading.inputs), SCREW_SOURCE)


def _longest(_: Figures, *, screw: Screw) -> Worked:
    return _with_plate(screw, "screw_depth_max_mm")


def _shortest(_: Figures, *, screw: Screw) -> Worked:
    return _with_plate(screw, "screw_diameter_mm")


SCREW: dict[str, Callable[..., Worked]] = {
    "screw_tip_gap_mm": _tip_gap,
    "screw_engagement_mm": _engagement,
    "screw_diameters": _diameters,
    "screw_shortest_mm": _shortest,
    "screw_longest_mm": _longest,
}
