"""Parts offered to a club's pool, and taken out of it."""

from __future__ import annotations

from django.db import IntegrityError, transaction

from hangar.clubs.models import Club, User
from hangar.errors import Conflict, Missing, UserError
from inventory.models import Offer, Part
from inventory.operations.guards import lock_part, note_event, refuse_unless_editable
from inventory.operations.pool.queues import end_unseen_waits
from inventory.operations.pool.standing import end_tenure, refuse_in_state
from inventory.pool.states import Action


def offer_part(
    part: Part,
    *,
    club: Club,
    by: User,
    terms: str = Offer.Terms.LOAN,
    deposit: str = "",
    note: str = "",
) -> Offer:
    """Offer a part to a club's pool, on terms; a part may be offered to several clubs."""
    refuse_unless_editable(part, by=by)
    if not Club.objects.visible_to(by).filter(pk=club.pk).exists():
        raise Missing("No such club.")
    if terms not in Offer.Terms.values:
        raise UserError(f"The terms are one of {', '.join(Offer.Terms.values)}.", field="terms")
    try:
        with transaction.atomic():
            locked = lock_part(part)
            refuse_in_state(Action.OFFER, locked)
            offer = Offer(part=locked, club=club, by=by, terms=terms, deposit=deposit, note=note)
            offer.clean_fields(exclude=["part", "club", "by"])
            offer.save()
            note_event(locked, "offered", f"Offered to {club}: {offer.get_terms_display()}.", by=by)
    except IntegrityError as error:
        raise Conflict(f"The part is offered to {club} already.") from error
    return offer


def withdraw_offer(offer: Offer, *, by: User) -> Offer:
    """Take a part out of a club's pool; who sees it no more waits for it no more."""
    with transaction.atomic():
        text = f"Withdrawn from {offer.club}."
        ended: Offer = end_tenure(offer, by=by, verb="withdrawn", text=text)
        end_unseen_waits(offer.part)
    return ended
