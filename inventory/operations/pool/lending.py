"""Parts handed out and taken back."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from hangar.clubs.models import Club, User
from hangar.errors import Conflict, NotAllowed, UserError
from inventory.models import Condition, Loan, Part, Source
from inventory.operations.guards import lock_part, note_event, refuse_unless_editable
from inventory.operations.measuring import record_measurement
from inventory.operations.pool.queues import end_expired_claims, grant_next
from inventory.operations.pool.rules import check_lending
from inventory.operations.pool.standing import (
    SUSPECT,
    end_tenure,
    refuse_in_state,
    refuse_past,
    refuse_sooner,
)
from inventory.operations.telling import tell, tell_owner
from inventory.pool.states import Action


def lend_part(
    part: Part,
    *,
    to: User,
    by: User,
    due_on: date | None = None,
    note: str = "",
    deposit: str = "",
    mass_g: float | None = None,
) -> Loan:
    """Hand a part to a member of one of its clubs until a day; how it is goes down with it."""
    refuse_unless_editable(part, by=by)
    refuse_past(due_on, field="due_on")
    _check_borrower(part, to, by=by)
    try:
        with transaction.atomic():
            locked = lock_part(part)
            end_expired_claims(locked)
            refuse_in_state(Action.LEND, locked, whom=to)
            if locked.fitted_count:
                raise Conflict("The part is in an aircraft: take it out first.")
            check_lending(locked, to, due_on, field="due_on")
            loan = _hand_out(locked, to=to, by=by, due_on=due_on, note=note, deposit=deposit)
            _weigh(locked, loan, "mass_out_g", mass_g, by=by)
            locked.claims.open().filter(claimant=to).update(ended_at=timezone.now())
            locked.waits.open().filter(person=to).update(ended_at=timezone.now())
    except IntegrityError as error:
        raise Conflict("The part is lent out already.") from error
    return loan


def _check_borrower(part: Part, to: User, *, by: User) -> None:
    if part.person_id == to.pk:
        raise UserError("A part is not lent to its owner.", field="borrower")
    clubs = Club.objects.visible_to(by)
    if part.club_id:
        clubs = clubs.filter(pk=part.club_id)
    if not clubs.filter(pk__in=Club.objects.visible_to(to)).exists():
        raise UserError("A part is lent to a member of its owner's club.", field="borrower")


def _hand_out(locked: Part, *, to: User, by: User, due_on: date | None, **words: str) -> Loan:
    loan = Loan(
        part=locked,
        borrower=to,
        by=by,
        due_on=due_on,
        condition_out=locked.condition,
        count_out=locked.count,
        **words,
    )
    loan.clean_fields(exclude=["part", "borrower", "by"])
    loan.save()
    pieces = f", {locked.count} pieces" if locked.is_bag else ""
    due = f" until {due_on}" if due_on else ""
    text = f"Lent to {to}{due}, {locked.get_condition_display()}{pieces}."
    note_event(locked, "lent", text, by=by, person=to.pk)
    if to != by:
        words_out = f"{by} has lent you {locked}{due}."
        tell(to, "granted", words_out, part=locked, key=f"loan-{loan.pk}-granted")
    return loan


def _weigh(part: Part, loan: Loan, column: str, mass_g: float | None, *, by: User) -> None:
    if mass_g is None:
        return
    if part.is_bag:
        raise UserError("A bag is counted, not weighed: its mass is that of one.", field="mass_g")
    try:
        weighed = record_measurement(
            part, name="mass_g", value=mass_g, by=by, source=Source.WEIGHED
        )
    except UserError as error:
        raise UserError(error.message, field="mass_g") from error
    setattr(loan, column, weighed.value)
    loan.save(update_fields=[column])


def extend_loan(loan: Loan, *, due_on: date, by: User) -> Loan:
    """Lend for longer: the owner or keeper may, and the borrower while nobody waits.

    A borrower only extends what is theirs by the club's own rule, which says for how long.
    """
    if not Loan.objects.visible_to(by).filter(pk=loan.pk).exists():
        raise NotAllowed("This loan is not yours to extend.")
    with transaction.atomic():
        locked = lock_part(loan.part)
        current = Loan.objects.select_related("borrower").get(pk=loan.pk)
        if current.ended_at:
            raise Conflict("This loan has ended.")
        refuse_in_state(Action.EXTEND, locked)
        refuse_sooner(due_on, current.due_on, field="due_on")
        since = timezone.localdate(current.started_at)
        limits = check_lending(
            locked, current.borrower, due_on, field="due_on", since=since, more=0
        )
        _check_extension(locked, limits, by=by)
        current.due_on = due_on
        current.save(update_fields=["due_on"])
        text = f"Loan to {current.borrower} extended to {due_on}."
        note_event(locked, "extended", text, by=by, person=current.borrower_id)
        if current.borrower != by:
            words = f"{locked} is yours until {due_on}: {by} has extended the loan."
            key = f"loan-{loan.pk}-until-{due_on}"
            tell(current.borrower, "changed", words, part=locked, key=key)
    return current


def _check_extension(part: Part, days_max: int | None, *, by: User) -> None:
    if Part.objects.editable_by(by).filter(pk=part.pk).exists():
        return
    if days_max is None:
        raise NotAllowed("Ask its owner or keeper for more time.")
    if part.waits.in_turn().exists():
        raise Conflict("Somebody waits for this part: give it back, or ask its keeper.")


def return_loan(
    loan: Loan,
    *,
    by: User,
    condition: str,
    note: str = "",
    damage: str = "",
    count: int | None = None,
    mass_g: float | None = None,
) -> Loan:
    """Take a part back: damage puts it on suspect and is told to its owner."""
    if condition not in Condition.values or condition == Condition.RETIRED:
        raise UserError("Say in what condition it came back.", field="condition")
    if damage and condition not in SUSPECT:
        condition = Condition.SUSPECT
    with transaction.atomic():
        locked = lock_part(loan.part)
        if locked.fitted_count:
            raise Conflict("The part is still in an aircraft: take it out first.")
        count_in = _counted(loan, locked, count)
        loan.condition_in = condition
        loan.count_in = count_in
        loan.damage = damage[:200]
        loan.note = f"{loan.note} {note}".strip()[:300]
        text = _said_on_return(loan, locked)
        loan = end_tenure(loan, by=by, verb="returned", text=text, person=loan.borrower_id)
        locked.condition = condition
        locked.count = count_in
        locked.save()
        _weigh(locked, loan, "mass_in_g", mass_g, by=by)
        _tell_of_return(loan, locked, text, by=by)
        grant_next(lock_part(locked))
    return loan


def _counted(loan: Loan, part: Part, count: int | None) -> int:
    if count is None:
        return part.count
    if not part.is_bag and count != 1:
        raise UserError("It is one part, not a bag of them.", field="count")
    if not 0 <= count <= loan.count_out:
        raise UserError(f"{loan.count_out} went out: count from 0 to that.", field="count")
    return count


def _said_on_return(loan: Loan, part: Part) -> str:
    words = [f"Back from {loan.borrower}, {Condition(loan.condition_in).label}."]
    if part.is_bag:
        words.append(f"{loan.count_in} of {loan.count_out} pieces.")
    if loan.damage:
        words.append(f"Damaged: {loan.damage}.")
    return " ".join(words)


def _tell_of_return(loan: Loan, part: Part, text: str, *, by: User) -> None:
    is_short = loan.count_in is not None and loan.count_in < loan.count_out
    if loan.condition_in in SUSPECT or is_short:
        tell_owner(part, "damaged", f"{part}: {text}", key=f"loan-{loan.pk}-damaged", by=by)


def overdue_loans() -> Any:
    """Open loans whose day has passed."""
    return Loan.objects.open().filter(due_on__lt=timezone.localdate())
