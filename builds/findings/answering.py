"""What a builder answers: all that one rule says of one place, with the numbers it rests on.

Plain Python.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from builds.findings.results import Finding, Judgement, Level
from builds.records import BuildSnapshot

DIGITS = 6
"""Significant digits that count: a difference in rounding ends no answer."""


@dataclass(frozen=True)
class Subject:
    """What one rule says of one place of a build, `position` being empty for the build itself.

    `digest` changes with each number, input and part that the findings name.
    """

    rule: str
    position: str
    findings: tuple[Finding, ...]
    digest: str

    @property
    def is_final(self) -> bool:
        """Does it hold a warning that cannot be answered by a reason."""
        return any(finding.is_final for finding in self.findings)

    @property
    def level(self) -> Level:
        """The gravest level of its findings."""
        return max(finding.level for finding in self.findings)

    @property
    def message(self) -> str:
        """What it says, in one text."""
        return " ".join(finding.message for finding in self.findings)


def subjects_of(judgement: Judgement, build: BuildSnapshot) -> dict[tuple[str, str], Subject]:
    """What can be answered in a judgement of the build, by rule and position."""
    found: dict[tuple[str, str], list[Finding]] = {}
    for finding in judgement.findings:
        found.setdefault((finding.rule, finding.position), []).append(finding)
    return {
        (rule, position): Subject(
            rule, position, tuple(findings), _digest(findings, _part_at(build, position))
        )
        for (rule, position), findings in found.items()
    }


def _part_at(build: BuildSnapshot, position: str) -> str:
    place = build.at(position)
    return place.part.code if place and place.part else ""


def _digest(findings: Iterable[Finding], part: str) -> str:
    """A short text that is the same as long as the findings rest on the same."""
    lines = [part, *sorted(repr(_essence(finding)) for finding in findings)]
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:32]


def _essence(finding: Finding) -> tuple[Any, ...]:
    """Level, numbers and inputs; the wording of a message may change without its cause."""
    inputs = sorted((given.what, _plain(given.value)) for given in finding.inputs)
    numbers = [(name, _plain(value)) for name, value in finding.numbers]
    return finding.level.label, numbers, inputs


def _plain(value: Any) -> str:
    if isinstance(value, list | tuple):
        return f"[{', '.join(_plain(one) for one in value)}]"
    if isinstance(value, float | int) and not isinstance(value, bool):
        return f"{value:.{DIGITS}g}"
    return repr(value)
