"""Which missing figures would settle most of what could not be judged. Plain Python."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from builds.findings.results import NotJudged
from builds.records import BuildSnapshot, PartRecord, PositionRecord

ON_THE_BENCH = ("(g)", "(mm)")
"""Units of what scale and calipers tell, without a maker's sheet: common practice, no source."""


@dataclass(frozen=True)
class Settling:
    """A missing figure, the checks that it is part of, and those that lack nothing else."""

    missing: str
    checks: int
    alone: int


def settling(gaps: Iterable[NotJudged]) -> tuple[Settling, ...]:
    """Missing figures, best first: those that alone settle most, then the easiest to find out."""
    checks: Counter[str] = Counter()
    alone: Counter[str] = Counter()
    for gap in gaps:
        checks.update(gap.missing)
        if len(gap.missing) == 1:
            alone.update(gap.missing)
    found = (Settling(name, checks[name], alone[name]) for name in checks)
    return tuple(sorted(found, key=_worth))


def _worth(one: Settling) -> tuple[int, int, int, str]:
    return (-one.alone, -one.checks, _effort(one.missing), one.missing)


def _effort(name: str) -> int:
    """What only needs writing down, before what needs a scale, before what needs a sheet."""
    if name.startswith(("this build:", "the place ")):
        return 0
    return 1 if name.endswith(ON_THE_BENCH) else 2


def owner_of(missing: str, build: BuildSnapshot) -> BuildSnapshot | PositionRecord | PartRecord:
    """Whose figure is missing: a position with its part, a part on the ground, else the build."""
    for position in build.positions:
        if missing.startswith((f"{position.title}: ", f"the place “{position.name}”: ")):
            return position
        if missing == f"{position.name}: nothing fitted":
            return position
    for part in build.ground.values():
        if missing.startswith(f"{part.name}: "):
            return part
    return build
