"""The secret address of a person's due days."""

from __future__ import annotations

import hashlib
import hmac
import secrets

from hangar.clubs.models import User
from inventory.models import CalendarFeed, Claim, Loan
from inventory.pool.calendar import Day

TOKEN_BYTES = 32


def renew_feed(person: User) -> str:
    """Make a new secret of 256 random bits, told once; the former one ends."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    CalendarFeed.objects.update_or_create(person=person, defaults={"digest": _digest(token)})
    return token


def end_feed(person: User) -> None:
    """End the secret address."""
    CalendarFeed.objects.filter(person=person).delete()


def person_of_feed(token: str) -> User | None:
    """Whose secret this is; nobody's for a guess. Only digests are looked up and compared."""
    digest = _digest(token)
    feed = CalendarFeed.objects.select_related("person").filter(digest=digest).first()
    kept = feed.digest if feed else "0" * len(digest)
    if not hmac.compare_digest(kept, digest) or feed is None or not feed.person.is_active:
        return None
    return feed.person


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def days_of(person: User) -> list[Day]:
    """The days by which the person gives back, gets back, or loses a claim."""
    loans = Loan.objects.open().exclude(due_on=None).select_related("part__sheet", "borrower")
    claims = Claim.objects.open().exclude(until_on=None).select_related("part__sheet")
    days = [
        Day(f"loan-{loan.pk}-in", loan.due_on, f"Give back: {loan.part}", loan.started_at)
        for loan in loans.filter(borrower=person)
    ]
    days += [
        Day(f"loan-{loan.pk}-out", loan.due_on, f"Due from {loan.borrower}: {loan.part}",
            loan.started_at)
        for loan in loans.editable_by(person).exclude(borrower=person)
    ]  # fmt: skip
    days += [
        Day(f"claim-{claim.pk}", claim.until_on, f"Claim ends: {claim.part}", claim.started_at)
        for claim in claims.filter(claimant=person)
    ]
    return days
