"""What a rule says: findings, gaps, and the judgement they make together. Plain Python."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import IntEnum
from typing import Any

from builds.records import BuildSnapshot


class Level(IntEnum):
    """How grave a finding is: the three levels of technical manuals."""

    NOTE = 1
    CAUTION = 2
    WARNING = 3

    @property
    def label(self) -> str:
        """The word shown beside it."""
        return self.name.lower()


@dataclass(frozen=True)
class Given:
    """One value that a rule read, in words, and where it comes from.

    `name` is that of its column, figure or limit, which ends in the unit.
    """

    what: str
    value: Any
    source: str
    at: datetime | None = None
    by: str = ""
    name: str = ""


@dataclass(frozen=True)
class Finding:
    """A fault found, with the numbers compared and what to do about it.

    `inputs` are the values it was found from; a final one cannot be answered by a reason.
    """

    rule: str
    level: Level
    message: str
    remedy: str
    numbers: tuple[tuple[str, Any], ...] = ()
    position: str = ""
    source: str = ""
    inputs: tuple[Given, ...] = ()
    is_final: bool = False


@dataclass(frozen=True)
class NotJudged:
    """A check that could not be made, and the figure that would settle it."""

    rule: str
    missing: tuple[str, ...]
    remedy: str
    position: str = ""


@dataclass(frozen=True)
class Outcome:
    """What one rule says of all its subjects in one build."""

    findings: tuple[Finding, ...]
    not_judged: tuple[NotJudged, ...]
    judged: int
    not_applicable: int


@dataclass(frozen=True)
class Trace:
    """What was judged, and what each rule said of it: enough to judge a changed build faster."""

    build: BuildSnapshot
    figures: Any
    outcomes: Mapping[str, Outcome]


@dataclass(frozen=True)
class Judgement:
    """All that the rule book says of one build.

    `judged` counts the checks made, `not_applicable` those that have nothing to look at.
    """

    findings: tuple[Finding, ...]
    not_judged: tuple[NotJudged, ...]
    judged: int
    not_applicable: int = 0
    trace: Trace | None = field(default=None, compare=False, repr=False)

    @property
    def worst(self) -> Level | None:
        """The gravest level found."""
        return max((finding.level for finding in self.findings), default=None)

    def of(self, level: Level) -> tuple[Finding, ...]:
        """Findings of one level."""
        return tuple(finding for finding in self.findings if finding.level == level)
