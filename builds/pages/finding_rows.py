"""Lines of what the rules say: faults by their cause, and what could not be judged."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from builds.answers import Answered
from builds.findings import Finding, NotJudged, book, by_cause, settling, words_of
from builds.models import Answer, Build
from builds.pages.entries import entry_page
from builds.pages.wording import InputRow, Reader, plain_name
from builds.records import BuildSnapshot

SETTLED_FIRST = 3
"""How many of the figures that settle most a page shows at once."""


@dataclass(frozen=True)
class FindingRow:
    """A finding with the place it is about, its numbers and what it rests on as text."""

    rule: str
    level: str
    place: str
    position_id: int | None
    message: str
    remedy: str
    numbers: tuple[tuple[str, str], ...]
    inputs: tuple[InputRow, ...]
    source: str

    @property
    def after_place(self) -> str:
        """The message as it goes on after the name of the place, which is not said twice."""
        if self.message.startswith(f"{self.place} "):
            return self.message.removeprefix(self.place)
        return f": {self.message}"


@dataclass(frozen=True)
class CauseRow:
    """A fault: its finding, those of the same cause elsewhere, and the answer to it.

    `places` are what a form sends to accept it: digest and short name of each position.
    """

    finding: FindingRow
    others: tuple[FindingRow, ...]
    answer: Answer | None
    places: tuple[str, ...]
    is_final: bool


@dataclass(frozen=True)
class GapRow:
    """A check that could not be made, what it asks and what would settle it."""

    rule: str
    place: str
    question: str
    remedy: str


@dataclass(frozen=True)
class GapGroup:
    """The checks that the same figures would settle."""

    remedy: str
    checks: tuple[GapRow, ...]


@dataclass(frozen=True)
class SettlingRow:
    """A missing figure, how many checks wait for it, and where it is entered."""

    name: str
    checks: int
    alone: int
    address: str


def finding_rows(
    findings: Iterable[Finding], snapshot: BuildSnapshot, reader: Reader
) -> tuple[FindingRow, ...]:
    """Findings as lines."""
    return tuple(_finding_row(finding, snapshot, reader) for finding in findings)


def _finding_row(finding: Finding, snapshot: BuildSnapshot, reader: Reader) -> FindingRow:
    position = snapshot.at(finding.position)
    return FindingRow(
        rule=finding.rule,
        level=finding.level.label,
        place=position.name if position else "",
        position_id=(position.id or None) if position else None,
        message=finding.message,
        remedy=finding.remedy,
        numbers=tuple(
            (words_of(name).partition(" (")[0], reader.say(value, name))
            for name, value in finding.numbers
        ),
        inputs=reader.givens(finding.inputs),
        source=finding.source,
    )


def cause_rows(
    findings: Iterable[Finding], snapshot: BuildSnapshot, reader: Reader, answered: Answered
) -> tuple[CauseRow, ...]:
    """Faults that nobody accepted as lines, one for each cause."""
    left = [finding for finding in findings if not answered.answer_to(finding)]
    return tuple(_cause_row(group, snapshot, reader, answered) for group in by_cause(left))


def accepted_rows(
    findings: Iterable[Finding], snapshot: BuildSnapshot, reader: Reader, answered: Answered
) -> tuple[CauseRow, ...]:
    """Faults that somebody accepted as lines, each with its own answer."""
    taken = answered.accepted(findings)
    return tuple(_cause_row((finding,), snapshot, reader, answered) for finding in taken)


def _cause_row(
    group: Sequence[Finding], snapshot: BuildSnapshot, reader: Reader, answered: Answered
) -> CauseRow:
    first, *others = finding_rows(group, snapshot, reader)
    subjects = [answered.subject_of(finding) for finding in group]
    return CauseRow(
        finding=first,
        others=tuple(others),
        answer=answered.answer_to(group[0]),
        places=tuple(dict.fromkeys(f"{one.digest} {one.position}" for one in subjects)),
        is_final=any(one.is_final for one in subjects),
    )


def gap_groups(gaps: Iterable[NotJudged], snapshot: BuildSnapshot) -> tuple[GapGroup, ...]:
    """Checks that could not be made, by what would settle them; most checks first."""
    groups: dict[str, list[GapRow]] = {}
    for row in _gap_rows(gaps, snapshot):
        groups.setdefault(row.remedy, []).append(row)
    found = (GapGroup(remedy, tuple(rows)) for remedy, rows in groups.items())
    return tuple(sorted(found, key=lambda group: -len(group.checks)))


def _gap_rows(gaps: Iterable[NotJudged], snapshot: BuildSnapshot) -> tuple[GapRow, ...]:
    rows = []
    for gap in gaps:
        position = snapshot.at(gap.position)
        place = position.name if position else ""
        remedy = gap.remedy
        for name in gap.missing:
            remedy = remedy.replace(name, plain_name(name))
        rows.append(GapRow(gap.rule, place, book[gap.rule].question, remedy))
    return tuple(rows)


def settling_rows(
    gaps: Iterable[NotJudged], snapshot: BuildSnapshot, build: Build, *, may_change: bool
) -> tuple[SettlingRow, ...]:
    """The missing figures that would settle most, best first, each with where it is entered."""
    return tuple(
        SettlingRow(
            name=plain_name(one.missing),
            checks=one.checks,
            alone=one.alone,
            address=entry_page(one.missing, snapshot, build, may_change=may_change),
        )
        for one in settling(gaps)[:SETTLED_FIRST]
    )
