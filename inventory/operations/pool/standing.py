"""In which states a part is, and what stands against doing something with it."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.utils import timezone

from hangar.clubs.models import User
from hangar.errors import Conflict, NotAllowed, UserError
from inventory.models import Condition, Part
from inventory.operations.guards import lock_part, note_event
from inventory.pool.states import Action, State, refusal

SUSPECT = (Condition.SUSPECT, Condition.BROKEN)


def states_of(part: Part) -> frozenset[State]:
    """The states of a part as it is in the database; free when there is no other."""
    found = set()
    if part.condition == Condition.RETIRED:
        found.add(State.RETIRED)
    if part.condition in SUSPECT or part.out_of_service:
        found.add(State.SUSPECT)
    if not part.has_free:
        found.add(State.FITTED)
    if part.loans.open().exists():
        found.add(State.LENT)
    if part.claims.open().exists():
        found.add(State.CLAIMED)
    return frozenset(found or {State.FREE})


def states_for(part: Part, person: User) -> frozenset[State]:
    """The states that concern that person: their own loan, their own claim."""
    found = set()
    if part.loans.open().filter(borrower=person).exists():
        found.add(State.LENT)
    if part.claims.open().filter(claimant=person).exists():
        found.add(State.CLAIMED)
    return frozenset(found)


def refuse_in_state(action: Action, part: Part, *, whom: User | None = None) -> None:
    """Refuse an action that the table does not allow for the part as it is."""
    own = states_for(part, whom) if whom else ()
    # Their own claim is no second claim to be had; their own loan is no second loan.
    if action is Action.CLAIM:
        own = frozenset(own) - {State.CLAIMED}
    if action is Action.LEND:
        own = frozenset(own) - {State.LENT}
    reason = refusal(action, states_of(part), one_of_them=own)
    if not reason:
        return
    if part.out_of_service and action not in (Action.RETIRE, Action.TRANSFER):
        reason = f"The part is out of service: {part.out_of_service}."
    raise Conflict(reason)


def refuse_past(day: date | None, *, field: str) -> None:
    """Refuse a day that lies before today."""
    if day is not None and day < timezone.localdate():
        raise UserError("This day has passed.", field=field)


def refuse_sooner(day: date, now: date | None, *, field: str) -> None:
    """Refuse to call something longer that would not be."""
    refuse_past(day, field=field)
    if now is None:
        raise Conflict("It has no end: there is nothing to extend.")
    if day <= now:
        raise UserError(f"It is until {now} already: name a later day.", field=field)


def for_whom(person: User, by: User) -> str:
    """How the history says who acts for whom."""
    return str(person) if person == by else f"{person}, through {by}"


def end_tenure(record: Any, *, by: User, verb: str, text: str, **data: Any) -> Any:
    """End an offer, a claim or a loan that is the person's to end."""
    if not type(record).objects.editable_by(by).filter(pk=record.pk).exists():
        raise NotAllowed("This is not yours to end.")
    lock_part(record.part)
    current = type(record).objects.get(pk=record.pk)
    if current.ended_at:
        raise Conflict("This has ended already.")
    record.ended_at = timezone.now()
    record.save()
    note_event(record.part, verb, text, by=by, **data)
    return record
