"""Writes of answers to findings: accepted, because; and taken back."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import IntegrityError, transaction
from django.utils import timezone

from builds.findings import Subject, book, subjects_of
from builds.models import Answer, Build
from builds.models.answers import REASON_LENGTH
from builds.operations import lock_build
from builds.reports import report_on
from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from hangar.fields import visible
from inventory.models import Part

ANSWERS_MAX = 2000


def accept_findings(
    build: Build,
    *,
    by: User,
    rule: str,
    places: Mapping[str, str],
    reason: str,
    pack: Part | None = None,
) -> list[Answer]:
    """Accept what a rule says of some places, all of them or none.

    Parameters
    ----------
    build : loaded with its club.
    places : short name of each position, empty for the build itself, and the digest of what was
        read there, empty where that does not matter.
    pack : the pack that the build is judged with, None for the usual one.

    Raises
    ------
    Conflict
        If the rule finds nothing there, or something else than was read; if it cannot be answered
        by a reason; if somebody answered first.
    """
    reason = _check_reason(reason)
    if rule not in book:
        raise UserError("There is no such rule.", field="rule")
    with transaction.atomic():
        lock_build(build, by=by)
        if build.answers.count() + len(places) > ANSWERS_MAX:
            raise UserError(f"A build has {ANSWERS_MAX} answers at most.")
        report = report_on(build, viewer=by, pack=pack)
        subjects = subjects_of(report.judgement, report.snapshot)
        pack_id = report.snapshot.pack.id if report.snapshot.pack else None
        found = [_subject(subjects, rule, place, digest) for place, digest in places.items()]
        return [_accept(build, one, by=by, reason=reason, pack_id=pack_id) for one in found]


def withdraw_answer(answer: Answer, *, by: User) -> Answer:
    """Take an answer back; the record of it stays."""
    with transaction.atomic():
        lock_build(answer.build, by=by)
        locked = Answer.objects.select_for_update(of=("self",)).get(pk=answer.pk)
        if locked.withdrawn_at is not None:
            raise Conflict("This answer was taken back already.")
        locked.withdrawn_at, locked.withdrawn_by = timezone.now(), by
        locked.save(update_fields=["withdrawn_at", "withdrawn_by"])
    return locked


def _check_reason(reason: str) -> str:
    reason = visible(reason)
    if not reason:
        raise UserError("Say why it is accepted.", field="reason")
    if len(reason) > REASON_LENGTH:
        raise UserError(f"A reason has {REASON_LENGTH} characters at most.", field="reason")
    return reason


def _subject(
    subjects: Mapping[tuple[str, str], Subject], rule: str, position: str, digest: str
) -> Subject:
    subject = subjects.get((rule, position))
    if subject is None:
        raise Conflict("This rule finds nothing there now.")
    if digest and digest != subject.digest:
        raise Conflict("What was found has changed since you read it. Read it again.")
    if subject.is_final:
        raise Conflict(
            "This warning cannot be accepted by a reason: put right what it says.", field="rule"
        )
    return subject


def _accept(
    build: Build, subject: Subject, *, by: User, reason: str, pack_id: int | None
) -> Answer:
    try:
        with transaction.atomic():
            return Answer.objects.create(
                build=build,
                rule=subject.rule,
                position=subject.position,
                digest=subject.digest,
                level=subject.level.label,
                message=subject.message,
                pack_id=pack_id,
                reason=reason,
                by=by,
            )
    except IntegrityError as error:
        raise Conflict("Somebody has accepted this already.") from error
