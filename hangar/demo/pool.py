"""What the members share: loans, a claim and offers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from django.utils import timezone

from hangar.demo.people import ClubLife
from inventory.models import Condition, Offer, Part
from inventory.operations import claim_part, lend_part, offer_part, return_loan

TRAINER = ("AF-05", "HA-05", "WR-05", "LK-05", "SP-05")
TRAINER_DAYS, CLAIM_DAYS = 120, 60
DUE_MONTH, DUE_DAY = 6, 14


def lend_and_claim(life: ClubLife, parts: Mapping[str, Part]) -> None:
    """Hand out what is lent, take back what came back, and put aside what is claimed."""
    builder, newcomer, keeper = (life.users[name] for name in ("builder", "newcomer", "keeper"))
    today = timezone.localdate()
    for name in TRAINER:
        due_on = today + timedelta(days=TRAINER_DAYS)
        lend_part(parts[name], to=builder, by=keeper, due_on=due_on, note="to finish the trainer")
    lend_part(parts["VT-41"], to=newcomer, by=keeper, due_on=next_due_day(today))
    damaged = lend_part(parts["SV-42"], to=newcomer, by=keeper, due_on=today)
    return_loan(damaged, by=keeper, condition=Condition.BROKEN, note="Stripped gear.")
    until_on = today + timedelta(days=CLAIM_DAYS)
    claim_part(parts["PK-11"], by=builder, purpose="A2 Tarrow 900", until_on=until_on)
    offer_part(parts["GG-03"], club=life.club, by=builder, terms=Offer.Terms.ASK)
    offer_part(parts["HW-21"], club=life.club, by=newcomer)


def next_due_day(today: date) -> date:
    """The next 14 June."""
    this_year = today.replace(month=DUE_MONTH, day=DUE_DAY)
    return this_year if this_year > today else this_year.replace(year=today.year + 1)
