"""Parts put aside for somebody, and the queue behind them."""

from __future__ import annotations

from datetime import date, timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone

from hangar.clubs.models import User
from hangar.errors import Conflict, NotAllowed, UserError
from inventory.models import Claim, Offer, Part, Wait
from inventory.operations.guards import (
    lock_part,
    note_event,
    refuse_unless_editable,
    refuse_unless_seen,
)
from inventory.operations.pool.queues import grant_next
from inventory.operations.pool.rules import check_lending
from inventory.operations.pool.standing import (
    end_tenure,
    for_whom,
    refuse_in_state,
    refuse_past,
    refuse_sooner,
)
from inventory.operations.telling import tell, tell_owner
from inventory.pool.states import Action


def claim_part(
    part: Part,
    *,
    by: User,
    purpose: str = "",
    until_on: date | None = None,
    note: str = "",
    claimant: User | None = None,
) -> Claim:
    """Put a part aside for oneself, or as its owner or keeper for another."""
    refuse_unless_seen(part, by=by)
    refuse_past(until_on, field="until_on")
    person = _acting_for(part, claimant, by=by)
    try:
        with transaction.atomic():
            locked = lock_part(part)
            grant_next(locked)
            refuse_in_state(Action.CLAIM, locked, whom=person)
            if must_ask(locked, person, by=by):
                raise Conflict("Its owner wants to be asked first: ask for it.")
            check_lending(locked, person, until_on, field="until_on")
            claim = Claim(
                part=locked, claimant=person, by=by, purpose=purpose, until_on=until_on, note=note
            )
            claim.clean_fields(exclude=["part", "claimant", "by"])
            claim.save()
            text = f"Claimed by {for_whom(person, by)}. {purpose}".strip()
            note_event(locked, "claimed", text, by=by, person=person.pk)
            _tell_of_claim(claim, by=by)
    except IntegrityError as error:
        raise Conflict("Somebody has claimed this part already.") from error
    return claim


def _acting_for(part: Part, person: User | None, *, by: User) -> User:
    if person is None or person == by:
        return by
    refuse_unless_editable(part, by=by)
    if not Part.objects.visible_to(person).filter(pk=part.pk).exists():
        raise UserError("They do not see this part: it is in no pool of theirs.", field="claimant")
    return person


def must_ask(part: Part, person: User, *, by: User) -> bool:
    """Whether the owner has said that they want to be asked before."""
    if Part.objects.editable_by(by).filter(pk=part.pk).exists() or part.club_id:
        return False
    if part.loans.open().filter(borrower=person).exists():
        return False
    terms = set(part.offers.open().visible_to(person).values_list("terms", flat=True))
    return bool(terms) and terms <= {Offer.Terms.ASK}


def _tell_of_claim(claim: Claim, *, by: User) -> None:
    if claim.claimant == by:
        return
    until = f" until {claim.until_on}" if claim.until_on else ""
    text = f"{by} has put {claim.part} aside for you{until}."
    tell(claim.claimant, "granted", text, part=claim.part, key=f"claim-{claim.pk}-granted")


def release_claim(claim: Claim, *, by: User) -> Claim:
    """End a claim; the part goes to who is next in the queue."""
    with transaction.atomic():
        text = f"Claim of {for_whom(claim.claimant, by)} ended."
        ended: Claim = end_tenure(
            claim, by=by, verb="released", text=text, person=claim.claimant_id
        )
        if claim.claimant != by:
            words = f"{by} has ended your claim on {claim.part}."
            tell(claim.claimant, "changed", words, part=claim.part, key=f"claim-{claim.pk}-ended")
        grant_next(lock_part(claim.part))
    return ended


def extend_claim(claim: Claim, *, until_on: date, by: User) -> Claim:
    """Put a part aside for longer; who claimed it may while nobody waits behind them."""
    if not Claim.objects.editable_by(by).filter(pk=claim.pk).exists():
        raise NotAllowed("This claim is not yours to extend.")
    with transaction.atomic():
        locked = lock_part(claim.part)
        current = Claim.objects.select_related("claimant").get(pk=claim.pk)
        if not Claim.objects.open().filter(pk=claim.pk).exists():
            raise Conflict("This claim has ended.")
        refuse_in_state(Action.EXTEND, locked)
        refuse_sooner(until_on, current.until_on, field="until_on")
        _refuse_before_others(locked, by=by)
        started_on = timezone.localdate(current.started_at)
        check_lending(
            locked, current.claimant, until_on, field="until_on", since=started_on, more=0
        )
        current.until_on = until_on
        current.save(update_fields=["until_on"])
        text = f"Claim of {for_whom(current.claimant, by)} extended to {until_on}."
        note_event(locked, "extended", text, by=by, person=current.claimant_id)
    return current


def _refuse_before_others(part: Part, *, by: User) -> None:
    if Part.objects.editable_by(by).filter(pk=part.pk).exists():
        return
    if part.waits.in_turn().exists():
        raise Conflict("Somebody waits for this part: ask its owner or keeper.")


def join_queue(
    part: Part, *, by: User, purpose: str = "", days: int = 7, person: User | None = None
) -> Wait:
    """Wait for a part that another has, or ask its owner for one that is lent on request only.

    Who is next gets it, for so many days, when it comes free.
    """
    refuse_unless_seen(part, by=by)
    waiting = _acting_for(part, person, by=by)
    try:
        with transaction.atomic():
            locked = lock_part(part)
            grant_next(locked)
            asks = must_ask(locked, waiting, by=by)
            if not asks:
                refuse_in_state(Action.QUEUE, locked)
            until_on = timezone.localdate() + timedelta(days=days) if days < 1000 else None
            check_lending(locked, waiting, until_on, field="days")
            wait = Wait(
                part=locked,
                person=waiting,
                by=by,
                purpose=purpose,
                days=days,
                is_granted=not asks,
            )
            wait.clean_fields(exclude=["part", "person", "by"])
            _refuse_who_has_it(locked, waiting)
            wait.save()
            verb = "asks for it" if asks else "waits for it"
            note_event(
                locked, "waited", f"{for_whom(waiting, by)} {verb}.", by=by, person=waiting.pk
            )
            if asks:
                text = f"{waiting} asks for {locked} for {days} days. {purpose}".strip()
                tell_owner(locked, "asked", text, key=f"wait-{wait.pk}", by=by)
    except IntegrityError as error:
        raise Conflict("They wait for this part already.") from error
    return wait


def _refuse_who_has_it(part: Part, person: User) -> None:
    has = part.claims.open().filter(claimant=person) or part.loans.open().filter(borrower=person)
    if has:
        raise Conflict("Who has the part need not wait for it.")


def grant_wait(wait: Wait, *, by: User) -> Wait:
    """Agree to a request: it takes its turn, at once when the part is free."""
    refuse_unless_editable(wait.part, by=by)
    with transaction.atomic():
        locked = lock_part(wait.part)
        current = _open_wait(wait)
        if current.is_granted:
            raise Conflict("This has been agreed to already.")
        current.is_granted = True
        current.save(update_fields=["is_granted"])
        text = f"{by} agreed that {current.person} has it next."
        note_event(locked, "agreed", text, by=by, person=current.person_id)
        grant_next(locked)
        current.refresh_from_db()
    return current


def decline_wait(wait: Wait, *, by: User) -> Wait:
    """Say no to somebody who waits or asks."""
    refuse_unless_editable(wait.part, by=by)
    ended = _leave_queue(wait, by=by, text=f"{wait.person} does not get it.")
    words = f"You do not get {wait.part}: {by} said no."
    tell(wait.person, "changed", words, part=wait.part, key=f"wait-{wait.pk}-declined")
    return ended


def give_up_wait(wait: Wait, *, by: User) -> Wait:
    """Leave the queue; the owner or keeper who ends another's place declines it."""
    if wait.person != by:
        return decline_wait(wait, by=by)
    return _leave_queue(wait, by=by, text=f"{wait.person} waits no more.")


def _leave_queue(wait: Wait, *, by: User, text: str) -> Wait:
    with transaction.atomic():
        locked = lock_part(wait.part)
        current = _open_wait(wait)
        current.ended_at = timezone.now()
        current.save(update_fields=["ended_at"])
        note_event(locked, "waited", text, by=by, person=current.person_id)
    return current


def _open_wait(wait: Wait) -> Wait:
    current = Wait.objects.open().select_related("person").filter(pk=wait.pk).first()
    if current is None:
        raise Conflict("This place in the queue has ended.")
    return current
