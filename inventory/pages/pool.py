"""The page of what clubs share: whose parts, who has them, until when."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.db.models import Exists, OuterRef, Prefetch, QuerySet
from django.http import HttpResponse
from django.utils import timezone

from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, show
from inventory.forms.parts import PartFilterForm
from inventory.models import Claim, Loan, Offer, Part

SHOWN = 30


@login_required
def pool(request: PersonRequest) -> HttpResponse:
    """Show the pool of the person's clubs, and what they borrowed and claimed."""
    user = request.user
    form = PartFilterForm(
        request.GET, user=user, kind=request.GET.get("kind", ""), auto_id="filter_%s"
    )
    today = timezone.localdate()
    mine = Loan.objects.open().filter(borrower=user).select_related("part__sheet")
    context = {
        "form": form,
        "page": page_of(request, _pooled(request, form)),
        "query": query_without_page(request),
        "loans": mine.order_by("due_on")[:SHOWN],
        "claims": Claim.objects.open().filter(claimant=user).select_related("part__sheet")[:SHOWN],
        "today": today,
        "has_club": bool(form.clubs),
    }
    return show(request, "inventory/pool.html", context, form)


def _pooled(request: PersonRequest, form: PartFilterForm) -> QuerySet[Part]:
    user = request.user
    offers = Offer.objects.open().visible_to(user).select_related("club")
    claims = Claim.objects.open().visible_to(user).select_related("claimant")
    loans = Loan.objects.open().visible_to(user).select_related("borrower")
    open_loans = Loan.objects.open().filter(part=OuterRef("pk"))
    open_claims = Claim.objects.open().filter(part=OuterRef("pk"))
    return (
        form.narrow(Part.objects.in_pool_of(user))
        .annotate(is_lent=Exists(open_loans), is_claimed=Exists(open_claims))
        .select_related("sheet", "place", "person", "club")
        .prefetch_related(
            Prefetch("offers", offers, to_attr="open_offers"),
            Prefetch("claims", claims, to_attr="open_claims"),
            Prefetch("loans", loans, to_attr="open_loans"),
        )
        .order_by("kind", "sheet__name", "pk")
    )
