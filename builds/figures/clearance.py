"""One thing in another: what is to spare between two measures, at worst and most likely."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from builds.engineering.fit import Contributor, Stack, tolerance_stack
from builds.engineering.mass import rectangular_uncertainty
from builds.figures.reading import named
from builds.figures.results import COVERAGE_FACTOR, Input, NotKnown, Worked, propagate
from builds.figures.units import MILLIMETRE
from builds.findings import words_of
from builds.records import GUESSES, PositionRecord

LIMITS_MM: Mapping[str, float] = {
    "measured": 0.1,
    "weighed": 0.1,
    "sheet": 0.2,
    "computed": 0.2,
    "guessed": 1.0,
    "unknown": 1.0,
    "asked": 0.0,
}
"""How far a part's length may be off, by where it comes from: common practice, no source."""
PLACE_LIMIT_MM = 0.3
"""How far a pocket, slot or bay may be off, cut or printed: common practice, no source."""
BORE_LIMIT_MM = 0.05
"""How far a bore may be off, moulded or reamed: common practice, no source."""

SPARE_SOURCE = (
    "Room less part: geometry. Interval: root of the sum of squares, JCGM 100:2008, 5.1.2 equation"
    " (10), limits as rectangular by 4.3.7, k = 2 by 6.3.3."
)
WORST_SOURCE = (
    "Room at its least and part at its most: all limits added up. Limits that nobody stated are"
    " common practice, no source; a stated standard uncertainty counts twice, JCGM 100:2008, 6.3.3."
)
LIKELY_SOURCE = (
    "Lower end of the interval by the root of the sum of squares, JCGM 100:2008, 5.1.2 equation"
    " (10), k = 2 by 6.3.3: independent errors seldom all add up. Never below the worst case."
)
GIVEN_SOURCE = "As given; limits that nobody stated are common practice, no source."
EACH_SIDE_SOURCE = "Half of what is to spare, the part in the middle: geometry."


@dataclass(frozen=True)
class Measure:
    """A length, how far it may be off at most and by its standard uncertainty [mm]."""

    value_mm: float
    limit_mm: float
    uncertainty_mm: float
    given: Input
    is_limit_stated: bool

    @property
    def inputs(self) -> tuple[Input, Input]:
        """The length and its limits as inputs."""
        source = self.given.source if self.is_limit_stated else "assumed"
        return self.given, Input(f"{self.given.name}, limits ±", self.limit_mm, "mm", source)

    @property
    def worked(self) -> Worked:
        """The length as a figure."""
        return Worked(self.value_mm, self.uncertainty_mm, self.inputs, GIVEN_SOURCE)


@dataclass(frozen=True)
class Gap:
    """A room and what goes into it."""

    room: Measure
    body: Measure

    @property
    def spare_mm(self) -> float:
        """Room less body [mm]."""
        return self.room.value_mm - self.body.value_mm

    @property
    def inputs(self) -> tuple[Input, ...]:
        """Both lengths and their limits."""
        return (*self.room.inputs, *self.body.inputs)

    def stack(self) -> Stack:
        """The two dimensions as a chain that ends in the gap [m]."""
        return tolerance_stack(
            contributors=[
                Contributor(self.room.value_mm * MILLIMETRE, self.room.limit_mm * MILLIMETRE),
                Contributor(self.body.value_mm * MILLIMETRE, self.body.limit_mm * MILLIMETRE, -1),
            ]
        )


def part_measure(position: PositionRecord, name: str) -> Measure:
    """A length of the part in a position; raises NotKnown when nobody gave it."""
    value = position.part.known(name) if position.part else None
    if value is None:
        raise NotKnown((named(position, name),))
    length = float(value.value)
    given = Input(named(position, name), length, "mm", value.source, value.at)
    if value.uncertainty is not None:
        limit = COVERAGE_FACTOR * value.uncertainty
        return Measure(length, limit, value.uncertainty, given, is_limit_stated=True)
    return _within(length, LIMITS_MM[value.source], given)


def bore_measure(position: PositionRecord, name: str) -> Measure:
    """A bore of the part in a position, as truly round as bores are."""
    found = part_measure(position, name)
    if found.is_limit_stated or found.given.source in GUESSES:
        return found
    return _within(found.value_mm, BORE_LIMIT_MM, found.given)


def place_measure(position: PositionRecord, name: str) -> Measure:
    """A length of the place itself; raises NotKnown when nobody gave it."""
    length = getattr(position, name)
    words = f"the place “{position.name}”: {words_of(name)}"
    if length is None:
        raise NotKnown((words,))
    return _within(float(length), PLACE_LIMIT_MM, Input(words, float(length), "mm", "build"))


def _within(length: float, limit: float, given: Input) -> Measure:
    uncertainty = rectangular_uncertainty(half_width=limit) if limit else 0.0
    return Measure(length, limit, uncertainty, given, is_limit_stated=False)


def to_spare(gap: Gap) -> Worked:
    """Room less body [mm], with its 95 % interval by the root of the sum of squares."""
    value, uncertainty = propagate(
        lambda n: n[0] - n[1],
        [
            (gap.room.value_mm, gap.room.uncertainty_mm),
            (gap.body.value_mm, gap.body.uncertainty_mm),
        ],
    )
    return Worked(value, uncertainty, gap.inputs, SPARE_SOURCE)


def each_side(gap: Gap) -> Worked:
    """Gap each side of a body in the middle [mm]."""
    spare = to_spare(gap)
    return Worked(spare.value / 2, spare.uncertainty / 2, gap.inputs, EACH_SIDE_SOURCE)


def at_worst(gap: Gap) -> Worked:
    """Least room to spare when every limit adds up [mm]."""
    stack = gap.stack()
    least = (stack.nominal - stack.worst_case) / MILLIMETRE
    return Worked(least, 0.0, gap.inputs, WORST_SOURCE)


def at_likely_worst(gap: Gap) -> Worked:
    """Lower end of the 95 % interval of what is to spare, never below the worst case [mm]."""
    spare = to_spare(gap)
    # Where one limit rules, twice the standard uncertainty reaches beyond that limit.
    least = max(spare.value - COVERAGE_FACTOR * spare.uncertainty, at_worst(gap).value)
    return Worked(least, 0.0, gap.inputs, LIKELY_SOURCE)
