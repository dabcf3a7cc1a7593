"""Whose turn it is when a part comes free."""

from __future__ import annotations

from datetime import timedelta

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from inventory.models import Claim, Part, Wait
from inventory.operations.guards import lock_part, note_event
from inventory.operations.pool.standing import states_of
from inventory.operations.telling import tell
from inventory.pool.states import Action, State, refusal


def end_expired_claims(locked: Part) -> None:
    """End the claims that ran out, as the system and not as a person."""
    for claim in locked.claims.expired().select_related("claimant"):
        claim.ended_at = timezone.now()
        claim.save(update_fields=["ended_at"])
        text = f"Claim of {claim.claimant} ended: it was until {claim.until_on}."
        note_event(locked, "released", text, by=None)
        tell(
            claim.claimant,
            "changed",
            f"Your claim on {locked} has ended: it was until {claim.until_on}.",
            part=locked,
            key=f"claim-{claim.pk}-ended",
        )


def end_unseen_waits(part: Part) -> None:
    """End the places of those who may not see the part any more."""
    for wait in part.waits.open().select_related("person"):
        if not Part.objects.visible_to(wait.person).filter(pk=part.pk).exists():
            _end_wait(wait)


def grant_next(locked: Part) -> Claim | None:
    """Put the part aside for who is next, when it is free for them; the part must be locked."""
    end_expired_claims(locked)
    if State.LENT in states_of(locked) or refusal(Action.CLAIM, states_of(locked)):
        return None
    end_unseen_waits(locked)
    wait = locked.waits.in_turn().select_related("person").first()
    if wait is None:
        return None
    _end_wait(wait)
    claim = Claim.objects.create(
        part=locked,
        claimant=wait.person,
        by=wait.by,
        purpose=wait.purpose,
        until_on=timezone.localdate() + timedelta(days=wait.days),
    )
    text = f"Put aside for {wait.person}, next in the queue, until {claim.until_on}."
    note_event(locked, "claimed", text, by=None, person=wait.person_id)
    tell(
        wait.person,
        "granted",
        f"It is your turn: {locked} is put aside for you until {claim.until_on}.",
        part=locked,
        key=f"claim-{claim.pk}-granted",
    )
    return claim


def settle_queues() -> int:
    """End claims that ran out and give each part that came free to who is next; says how many."""
    waited_for = Q(pk__in=Wait.objects.in_turn().order_by().values("part"))
    run_out = Q(pk__in=Claim.objects.expired().order_by().values("part"))
    granted = 0
    for part in Part.objects.filter(waited_for | run_out):
        with transaction.atomic():
            granted += grant_next(lock_part(part)) is not None
    return granted


def _end_wait(wait: Wait) -> None:
    wait.ended_at = timezone.now()
    wait.save(update_fields=["ended_at"])
