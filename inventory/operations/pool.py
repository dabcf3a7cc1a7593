"""Writes to the pool: offers, claims and loans."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from hangar.clubs.models import Club, User
from hangar.errors import Conflict, Missing, NotAllowed, UserError
from inventory.models import Claim, Condition, Loan, Offer, Part
from inventory.operations.guards import (
    lock_part,
    note_event,
    refuse_unless_editable,
    refuse_unless_seen,
    refuse_unusable,
)


def offer_part(part: Part, *, club: Club, by: User, terms: str = Offer.Terms.LOAN) -> Offer:
    """Offer a part to a club's pool."""
    refuse_unless_editable(part, by=by)
    if not Club.objects.visible_to(by).filter(pk=club.pk).exists():
        raise Missing("No such club.")
    try:
        with transaction.atomic():
            locked = lock_part(part)
            refuse_unusable(locked)
            offer = Offer.objects.create(part=locked, club=club, by=by, terms=terms)
            note_event(locked, "offered", f"Offered to {club}.", by=by)
    except IntegrityError as error:
        raise Conflict(f"The part is offered to {club} already.") from error
    return offer


def withdraw_offer(offer: Offer, *, by: User) -> Offer:
    """Take a part out of a club's pool."""
    return _end(offer, by=by, verb="withdrawn", text=f"Withdrawn from {offer.club}.")


def claim_part(
    part: Part, *, by: User, purpose: str = "", until_on: date | None = None, note: str = ""
) -> Claim:
    """Put a part aside for oneself; one open claim per part."""
    refuse_unless_seen(part, by=by)
    _refuse_past(until_on, field="until_on")
    try:
        with transaction.atomic():
            locked = lock_part(part)
            refuse_unusable(locked)
            if not locked.has_free:
                raise Conflict("The part is in an aircraft: it has to come out first.")
            if locked.loans.open().exclude(borrower=by).exists():
                raise Conflict("The part is lent out.")
            _end_expired_claims(locked)
            claim = Claim.objects.create(
                part=locked, claimant=by, by=by, purpose=purpose, until_on=until_on, note=note
            )
            note_event(locked, "claimed", f"Claimed by {by}. {purpose}".strip(), by=by)
    except IntegrityError as error:
        raise Conflict("Somebody has claimed this part already.") from error
    return claim


def _refuse_past(day: date | None, *, field: str) -> None:
    if day is not None and day < timezone.localdate():
        raise UserError("This day has passed.", field=field)


def _end_expired_claims(locked: Part) -> None:
    for claim in locked.claims.expired().select_related("claimant"):
        claim.ended_at = timezone.now()
        claim.save(update_fields=["ended_at"])
        text = f"Claim of {claim.claimant} ended: it was until {claim.until_on}."
        note_event(locked, "released", text, by=None)


def release_claim(claim: Claim, *, by: User) -> Claim:
    """End a claim."""
    return _end(claim, by=by, verb="released", text=f"Claim of {claim.claimant} ended.")


def lend_part(
    part: Part, *, to: User, by: User, due_on: date | None = None, note: str = ""
) -> Loan:
    """Hand a part to a member of one of its clubs until a day."""
    refuse_unless_editable(part, by=by)
    _refuse_past(due_on, field="due_on")
    if part.person_id == to.pk:
        raise UserError("A part is not lent to its owner.", field="borrower")
    clubs = Club.objects.visible_to(by)
    if part.club_id:
        clubs = clubs.filter(pk=part.club_id)
    if not clubs.filter(pk__in=Club.objects.visible_to(to)).exists():
        raise UserError("A part is lent to a member of its owner's club.", field="borrower")
    try:
        with transaction.atomic():
            locked = lock_part(part)
            refuse_unusable(locked)
            if locked.fitted_count:
                raise Conflict("The part is in an aircraft: take it out first.")
            if locked.claims.open().exclude(claimant=to).exists():
                raise Conflict("The part is claimed by somebody else.")
            loan = Loan.objects.create(
                part=locked,
                borrower=to,
                by=by,
                due_on=due_on,
                note=note,
                condition_out=locked.condition,
            )
            locked.claims.open().filter(claimant=to).update(ended_at=timezone.now())
            note_event(locked, "lent", f"Lent to {to}.", by=by)
    except IntegrityError as error:
        raise Conflict("The part is lent out already.") from error
    return loan


def return_loan(loan: Loan, *, by: User, condition: str, note: str = "") -> Loan:
    """Take a part back; damage puts it on suspect."""
    if condition not in Condition.values:
        raise UserError("Say in what condition it came back.", field="condition")
    with transaction.atomic():
        locked = lock_part(loan.part)
        if locked.fitted_count:
            raise Conflict("The part is still in an aircraft: take it out first.")
        loan.condition_in = condition
        loan.note = f"{loan.note} {note}".strip()[:300]
        loan = _end(loan, by=by, verb="returned", text=f"Back from {loan.borrower}, {condition}.")
        locked.condition = condition
        locked.save()
    return loan


def _end(record: Any, *, by: User, verb: str, text: str) -> Any:
    if not type(record).objects.editable_by(by).filter(pk=record.pk).exists():
        raise NotAllowed("This is not yours to end.")
    with transaction.atomic():
        lock_part(record.part)
        current = type(record).objects.get(pk=record.pk)
        if current.ended_at:
            raise Conflict("This has ended already.")
        record.ended_at = timezone.now()
        record.save()
        note_event(record.part, verb, text, by=by)
    return record
