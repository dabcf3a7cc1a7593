"""What a person shares with a club, settled when they leave it."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q
from django.utils import timezone

from hangar.clubs.models import Club, Membership, User
from hangar.errors import Conflict
from inventory.models import Claim, Loan, Offer, Part, Wait
from inventory.operations.guards import lock_part, note_event
from inventory.querysets import PartQuerySet

NAMED = 10


def settle_leaver(membership: Membership, by: User) -> None:
    """End the leaver's claims, offers and waits there; refuse while they have parts on loan."""
    leaver = membership.user
    lost = parts_out_of_reach(membership)
    refuse_while_held(
        Part.objects.filter(pk__in=Loan.objects.open().filter(borrower=leaver).values("part")),
        membership,
    )
    claims = Claim.objects.filter(ended_at__isnull=True, claimant=leaver, part__in=lost)
    offers = Offer.objects.open().filter(club=membership.club, part__person=leaver)
    _end_all(claims, "released", f"Claim of {leaver} ended: they left {membership.club}.", by)
    Wait.objects.open().filter(person=leaver, part__in=lost).update(ended_at=timezone.now())
    _end_all(offers, "withdrawn", f"Withdrawn from {membership.club}: its owner left.", by)


def refuse_while_held(held: PartQuerySet[Part], membership: Membership) -> None:
    """Refuse to end a membership while the leaver holds parts that they would not see any more."""
    parts = held.filter(pk__in=parts_out_of_reach(membership).values("pk"))
    names = [str(part) for part in parts.select_related("sheet")[: NAMED + 1]]
    if not names:
        return
    more = ", and more" if len(names) > NAMED else ""
    raise Conflict(f"Give these back first: {', '.join(names[:NAMED])}{more}.")


def parts_out_of_reach(membership: Membership) -> PartQuerySet[Part]:
    """Parts of the club, and of members with whom the leaver shares no other club."""
    leaver = membership.user
    others = Club.objects.visible_to(leaver).exclude(pk=membership.club_id)
    current = Membership.objects.current()
    fellows = current.filter(club=membership.club_id).exclude(user=leaver)
    kept = current.filter(club__in=others.values("pk"))
    return Part.objects.filter(
        Q(club=membership.club_id)
        | Q(person__in=fellows.values("user")) & ~Q(person__in=kept.values("user"))
    )


def _end_all(records: Iterable[Claim | Offer], verb: str, text: str, by: User) -> None:
    for record in records:
        locked = lock_part(record.part)
        record.ended_at = timezone.now()
        record.save(update_fields=["ended_at"])
        note_event(locked, verb, text, by=by)
