"""To whom parts are promised or lent, as columns of a query for parts."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from inventory.models import Claim, Loan


def of_pool() -> dict[str, Any]:
    """Columns that tell of the claim and the loan of a part that are open today."""
    claims = Claim.objects.open().filter(part=OuterRef("pk"))
    loans = Loan.objects.open().filter(part=OuterRef("pk"))
    return {
        "claimed_by_id": Subquery(claims.values("claimant")[:1]),
        "claimed_by": Subquery(claims.values("claimant__username")[:1]),
        "lent_to_id": Subquery(loans.values("borrower")[:1]),
        "lent_to": Subquery(loans.values("borrower__username")[:1]),
        "due_back_on": Subquery(loans.values("due_on")[:1]),
    }


def overdue_days(due_on: date | None) -> int | None:
    """Days since a part should have come back; None while it is not overdue."""
    if due_on is None:
        return None
    days = (timezone.localdate() - due_on).days
    return days if days > 0 else None
