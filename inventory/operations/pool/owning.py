"""Parts that change their owner, and parts that nobody finds."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from hangar.clubs.models import Club, User
from hangar.errors import NotAllowed, UserError
from inventory.models import Part
from inventory.operations.guards import (
    lock_part,
    note_event,
    refuse_unless_editable,
    refuse_unless_seen,
)
from inventory.operations.pool.queues import end_unseen_waits
from inventory.operations.pool.standing import refuse_in_state
from inventory.operations.telling import tell, tell_keepers, tell_owner
from inventory.pool.states import Action

LOST = "lost"


def transfer_part(
    part: Part, *, by: User, person: User | None = None, club: Club | None = None, note: str = ""
) -> Part:
    """Give a part to a member of a shared club, or to a club of one's own, for good.

    Its place and its offers are the former owner's and end; its records go with it.
    """
    refuse_unless_editable(part, by=by)
    if (person is None) == (club is None):
        raise UserError("The new owner is a person or a club, and one of them.", field="person")
    _check_new_owner(part, person, club, by=by)
    with transaction.atomic():
        locked = lock_part(part)
        refuse_in_state(Action.TRANSFER, locked, whom=person)
        now = timezone.now()
        former = Part.objects.select_related("person", "club").get(pk=part.pk).owner_name
        locked.offers.open().update(ended_at=now)
        if person:
            locked.claims.open().filter(claimant=person).update(ended_at=now)
            locked.loans.open().filter(borrower=person).update(
                ended_at=now, condition_in=locked.condition, count_in=locked.count
            )
        locked.person, locked.club, locked.place = person, club, None
        locked.save()
        text = f"Passed from {former} to {person or club}. {note}".strip()
        note_event(locked, "transferred", text, by=by, person=person.pk if person else None)
        end_unseen_waits(locked)
        _tell_new_owner(locked, by=by)
    part.refresh_from_db()
    return locked


def _check_new_owner(part: Part, person: User | None, club: Club | None, *, by: User) -> None:
    if (person and person.pk == part.person_id) or (club and club.pk == part.club_id):
        raise UserError("It is theirs already.", field="person" if person else "club")
    mine = Club.objects.visible_to(by)
    if part.club_id:
        # What belongs to all is given away by an officer and not by a keeper alone.
        if not Club.objects.editable_by(by).filter(pk=part.club_id).exists():
            raise NotAllowed("Only an officer gives away what is the club's.")
        mine = mine.filter(pk=part.club_id) if person else mine
    if person and not mine.filter(pk__in=Club.objects.visible_to(person)).exists():
        raise UserError("A part is passed on within a club.", field="person")
    if club and not mine.filter(pk=club.pk).exists():
        raise UserError("A part is passed on within a club.", field="club")


def _tell_new_owner(part: Part, *, by: User) -> None:
    event = part.events.filter(verb="transferred").first()
    key = f"transfer-{event.pk if event else part.pk}"
    if part.person:
        if part.person != by:
            tell(part.person, "transferred", f"{part} is yours now, from {by}.", part=part, key=key)
        return
    text = f"{part} belongs to {part.club} now, from {by}."
    tell_keepers(part, "transferred", text, key=key, by=by)


def report_lost(part: Part, *, by: User, note: str = "") -> Part:
    """Record that nobody finds a part: it is out of service, its loan, claim and offers end.

    Its owner, its keeper or who has it now says so. Found again, it is inspected as any other.
    """
    refuse_unless_seen(part, by=by)
    if not Part.objects.loggable_by(by).filter(pk=part.pk).exists():
        raise NotAllowed("Its owner, its keeper or who has it now says that it is lost.")
    with transaction.atomic():
        locked = lock_part(part)
        refuse_in_state(Action.LOSE, locked)
        now = timezone.now()
        ended = list(locked.loans.open().select_related("borrower"))
        locked.loans.open().update(ended_at=now, was_lost=True)
        locked.claims.open().update(ended_at=now)
        locked.offers.open().update(ended_at=now)
        locked.waits.open().update(ended_at=now)
        locked.out_of_service = LOST
        locked.save()
        holder = f" while lent to {ended[0].borrower}" if ended else ""
        text = f"Lost{holder}. {note}".strip()
        event = note_event(locked, "lost", text, by=by, reason=LOST)
        tell_owner(locked, "lost", f"{locked}: {text}", key=f"lost-{event.pk}", by=by)
    part.refresh_from_db()
    return locked
