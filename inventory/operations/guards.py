"""Who may do what, the lock on a part, and the line in its history."""

from __future__ import annotations

from typing import Any

from hangar.clubs.models import Club, User
from hangar.errors import Conflict, Missing, NotAllowed, UserError
from inventory.models import Condition, Part, PartEvent


def note_event(part: Part, verb: str, text: str, *, by: User | None, **data: Any) -> PartEvent:
    """Add a line to the part's history."""
    return PartEvent.objects.create(part=part, verb=verb, text=text[:300], by=by, data=data)


def check_owner(*, by: User, person: User | None, club: Club | None) -> None:
    """Refuse to make a thing for an owner the person does not act for."""
    if (person is None) == (club is None):
        raise UserError("The owner is a person or a club, and one of them.", field="club")
    if person is not None and person != by:
        raise NotAllowed("You can add things for yourself or for a club you keep.", field="person")
    if club is not None and not Club.objects.kept_by(by).filter(pk=club.pk).exists():
        raise NotAllowed("Only a keeper or officer of the club adds to its pool.", field="club")


def lock_part(part: Part) -> Part:
    """The part as it is in the database now, locked until the transaction ends."""
    return Part.objects.select_for_update(of=("self",)).select_related("sheet").get(pk=part.pk)


def refuse_unless_seen(part: Part, *, by: User) -> None:
    """Refuse, as if there were none, a part the person may not see."""
    if not Part.objects.visible_to(by).filter(pk=part.pk).exists():
        raise Missing("No such part.")


def refuse_unless_editable(part: Part, *, by: User) -> None:
    """Refuse a part that is not the person's to change."""
    refuse_unless_seen(part, by=by)
    if not Part.objects.editable_by(by).filter(pk=part.pk).exists():
        raise NotAllowed("This part is not yours to change.")


def refuse_unless_loggable(pack: Part, *, by: User) -> None:
    """Refuse a pack whose log the person does not keep."""
    refuse_unless_seen(pack, by=by)
    if not Part.objects.loggable_by(by).filter(pk=pack.pk).exists():
        raise NotAllowed("The log is kept by the pack's owner or keeper, and by who has it now.")


def refuse_unusable(part: Part) -> None:
    """Refuse a part that is out of service, broken or retired."""
    if part.out_of_service:
        raise Conflict(f"The part is out of service: {part.out_of_service}.")
    if part.condition in (Condition.BROKEN, Condition.RETIRED):
        raise Conflict(f"The part is {part.condition}.")
