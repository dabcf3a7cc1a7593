"""Which answers hold for what the rules say of a build now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from builds.findings import Finding, Subject, subjects_of
from builds.models import Answer, Build
from builds.reports import Report


class AnswerState(StrEnum):
    """How an answer stands."""

    HOLDS = "holds"
    ENDED = "ended"
    OF_ANOTHER_PACK = "of another pack"
    WITHDRAWN = "taken back"


@dataclass(frozen=True)
class Answered:
    """What can be answered in a report, by rule and position, and what was answered."""

    subjects: Mapping[tuple[str, str], Subject]
    answers: Mapping[tuple[str, str], Answer]

    def subject_of(self, finding: Finding) -> Subject:
        """All that the finding's rule says of its place."""
        return self.subjects[finding.rule, finding.position]

    def answer_to(self, finding: Finding) -> Answer | None:
        """The answer that holds for the finding; a final one has none."""
        if self.subject_of(finding).is_final:
            return None
        return self.answers.get((finding.rule, finding.position))

    def accepted(self, findings: Iterable[Finding]) -> tuple[Finding, ...]:
        """Those of the findings that somebody has accepted."""
        return tuple(finding for finding in findings if self.answer_to(finding))

    def state_of(self, answer: Answer, pack_id: int | None) -> AnswerState:
        """How an answer stands while the build is judged with that pack."""
        if answer.withdrawn_at is not None:
            return AnswerState.WITHDRAWN
        if self.answers.get((answer.rule, answer.position)) == answer:
            return AnswerState.HOLDS
        if answer.pack_id != pack_id:
            return AnswerState.OF_ANOTHER_PACK
        return AnswerState.ENDED


def answered(build: Build, report: Report) -> Answered:
    """The findings of a report and the answers that hold for them, in one query at most."""
    subjects = subjects_of(report.judgement, report.snapshot)
    if not subjects or not getattr(build, "has_answers", True):
        return Answered(subjects, {})
    rows = Answer.objects.standing().filter(build=build).select_related("by")
    standing = {(row.rule, row.position, row.digest): row for row in rows}
    answers = {
        (rule, position): standing[rule, position, subject.digest]
        for (rule, position), subject in subjects.items()
        if (rule, position, subject.digest) in standing
    }
    return Answered(subjects, answers)
