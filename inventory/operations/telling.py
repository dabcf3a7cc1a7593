"""Notices: who is told what, in the tool and by mail, once each."""

from __future__ import annotations

import logging
from datetime import timedelta
from functools import partial

from django.core.mail import send_mail
from django.db import transaction
from django.utils import timezone

from hangar.clubs.models import Membership, User
from inventory.models import Loan, Notice, NoticeChoice, Part
from inventory.pool.models import NoticeKind
from inventory.pool.querysets import KEEPERS

SOON_DAYS = 3
SUBJECT = "hangar: {about}"
SUBJECTS = {
    NoticeKind.GRANTED: "a part is put aside for you",
    NoticeKind.ASKED: "somebody asks for a part",
    NoticeKind.DUE_SOON: "a part is due soon",
    NoticeKind.OVERDUE: "a part is overdue",
    NoticeKind.DAMAGED: "a part came back damaged",
    NoticeKind.LOST: "a part is lost",
    NoticeKind.TRANSFERRED: "a part has a new owner",
    NoticeKind.CHANGED: "a loan or claim has changed",
}
_log = logging.getLogger(__name__)


def tell(person: User, kind: str, text: str, *, part: Part, key: str) -> None:
    """Tell a person something once, in the ways they chose, when the transaction is done."""
    choice = NoticeChoice.objects.filter(person=person, kind=kind).first()
    in_tool = choice.in_tool if choice else True
    by_mail = choice.by_mail if choice else True
    if not person.is_active or not (in_tool or by_mail):
        return
    notice, is_new = Notice.objects.get_or_create(
        person=person,
        key=key,
        defaults={
            "kind": kind,
            "part": part,
            "text": text[:400],
            "is_shown": in_tool,
            "is_mailed": by_mail,
        },
    )
    if is_new and by_mail:
        transaction.on_commit(partial(mail_notice, notice.pk), robust=True)


def tell_owner(part: Part, kind: str, text: str, *, key: str, by: User) -> None:
    """Tell the owner of a part, or the keepers of the club it belongs to; not who did it."""
    if part.club_id:
        tell_keepers(part, kind, text, key=key, by=by)
    elif part.person and part.person != by:
        tell(part.person, kind, text, part=part, key=key)


def tell_keepers(part: Part, kind: str, text: str, *, key: str, by: User | None) -> None:
    """Tell those who keep the pool of the club that owns the part."""
    keepers = Membership.objects.current().filter(club=part.club_id, role__in=KEEPERS)
    for member in keepers.select_related("user"):
        if member.user != by:
            tell(member.user, kind, text, part=part, key=key)


def mail_notice(pk: int) -> bool:
    """Send one notice unless it has been sent; a failure is logged and tried again later."""
    with transaction.atomic():
        notice = (
            Notice.objects.to_mail()
            .select_for_update(of=("self",))
            .select_related("person")
            .filter(pk=pk)
            .first()
        )
        if notice is None or not notice.person.email:
            return False
        subject = SUBJECT.format(about=SUBJECTS[NoticeKind(notice.kind)])
        try:
            send_mail(subject, notice.text, None, [notice.person.email])
        except OSError as error:
            _log.warning("A notice could not be mailed: %s", error)
            return False
        notice.mailed_at = timezone.now()
        notice.save(update_fields=["mailed_at"])
    return True


def tell_what_is_due() -> int:
    """Make the notices of what is due soon or overdue; says how many loans were looked at."""
    today = timezone.localdate()
    due = Loan.objects.open().filter(due_on__lte=today + timedelta(days=SOON_DAYS))
    loans = list(due.select_related("borrower", "part__sheet", "part__person", "part__club"))
    for loan in loans:
        if loan.due_on is not None and loan.due_on < today:
            _tell_overdue(loan)
            continue
        text = f"Give {loan.part} back by {loan.due_on}."
        key = f"loan-{loan.pk}-soon-{loan.due_on}"
        tell(loan.borrower, NoticeKind.DUE_SOON, text, part=loan.part, key=key)
    return len(loans)


def _tell_overdue(loan: Loan) -> None:
    key = f"loan-{loan.pk}-over-{loan.due_on}"
    text = f"{loan.part} was due back on {loan.due_on}: give it back, or ask for more time."
    tell(loan.borrower, NoticeKind.OVERDUE, text, part=loan.part, key=key)
    words = f"{loan.part} is overdue since {loan.due_on}: {loan.borrower} has it."
    tell_owner(loan.part, NoticeKind.OVERDUE, words, key=f"{key}-owner", by=loan.borrower)


def mail_what_waits() -> int:
    """Send the notices that could not be sent before; says how many went."""
    waiting = Notice.objects.to_mail().exclude(person__email="").filter(person__is_active=True)
    return sum(mail_notice(pk) for pk in waiting.values_list("pk", flat=True))
