"""Reading values of fitted parts: what was read is kept as inputs, what is not there is named."""

from __future__ import annotations

import math
from statistics import fmean

from builds.figures.results import Input, NotKnown
from builds.findings import words_of
from builds.records import BuildSnapshot, PositionRecord

ALIKE = 0.10
"""Parts whose values differ by less than this share count as alike: common practice, no source."""


def named(position: PositionRecord, name: str) -> str:
    """What messages call a value of the part in a position, as the rules do."""
    return f"{position.title}: {words_of(name)}"


class Reading:
    """Collects inputs and gaps, so that one message names everything that is missing."""

    def __init__(self) -> None:
        self.inputs: list[Input] = []
        self.missing: list[str] = []
        self.notes: list[str] = []

    def take(self, position: PositionRecord, name: str, unit: str) -> float:
        """The number of that name of the part in a position; not a number when nobody gave it."""
        value = position.part.known(name) if position.part else None
        if value is None:
            self.missing.append(named(position, name))
            return math.nan
        number = float(value.value)
        self.inputs.append(Input(named(position, name), number, unit, value.source, value.at))
        return number

    def take_or(self, position: PositionRecord, name: str, unit: str, otherwise: float) -> float:
        """The number of that name, or a stated assumption."""
        if position.part and position.part.known(name) is not None:
            return self.take(position, name, unit)
        return self.assume(named(position, name), otherwise, unit)

    def assume(self, name: str, number: float, unit: str) -> float:
        """An assumption, shown among the inputs as one."""
        self.inputs.append(Input(name, number, unit, "assumed"))
        return number

    def take_alike(self, positions: tuple[PositionRecord, ...], name: str, unit: str) -> float:
        """The mean over parts that should be alike; parts that are not are named as a gap."""
        numbers = [self.take(position, name, unit) for position in positions]
        if max(numbers) - min(numbers) > ALIKE * max(numbers):
            self.missing.append(f"parts that are alike: these differ in {words_of(name)}")
        return fmean(numbers)

    def fitted(self, snapshot: BuildSnapshot, kind: str) -> tuple[PositionRecord, ...]:
        """Positions with a part of that kind; none is a gap."""
        found = snapshot.fitted(kind)
        if not found:
            self.missing.append(f"{_empty_name(snapshot, kind)}: nothing fitted")
        return found

    def check(self) -> None:
        """Stop when something is missing.

        Raises
        ------
        NotKnown
            Naming everything that is.
        """
        if self.missing:
            raise NotKnown(dict.fromkeys(self.missing))


def _empty_name(snapshot: BuildSnapshot, kind: str) -> str:
    named = next((position.name for position in snapshot.positions if position.kind == kind), "")
    return named or kind.replace("_", " ").capitalize()
