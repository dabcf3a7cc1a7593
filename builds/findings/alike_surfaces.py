"""Findings about control surfaces: two surfaces with the same fault are one finding."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from builds.findings import Case, Finding, Level, MissingValue
from builds.records import SurfaceRecord


@dataclass(frozen=True)
class Fault:
    """A fault of one surface: what is said of it, and the numbers compared."""

    surface: SurfaceRecord
    level: Level
    message: str
    remedy: str
    numbers: tuple[tuple[str, Any], ...]


def fault(surface: SurfaceRecord, level: Level, message: str, remedy: str, **numbers: Any) -> Fault:
    """A fault of one surface."""
    return Fault(surface, level, message, remedy, tuple(numbers.items()))


def together(case: Case, faults: Iterable[Fault]) -> Iterator[Finding]:
    """One finding for each fault, naming all surfaces that show it, at the first one's servo.

    Raises
    ------
    MissingValue
        After the findings, if the faults could not be found out for every surface.
    """
    alike: dict[tuple[Any, ...], list[SurfaceRecord]] = {}
    gap: MissingValue | None = None
    try:
        for one in faults:
            key = (one.level, one.message, one.remedy, one.numbers)
            alike.setdefault(key, []).append(one.surface)
    except MissingValue as error:
        gap = error
    for (level, message, remedy, numbers), surfaces in alike.items():
        names = " and ".join(surface.name for surface in surfaces)
        found = case.finding(level, f"{names}: {message}", remedy, **dict(numbers))
        yield replace(found, position=surfaces[0].servo_key)
    if gap is not None:
        raise gap
