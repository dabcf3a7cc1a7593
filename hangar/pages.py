"""The first page: my aircraft, and what needs attention."""

from django.contrib.auth.decorators import login_required
from django.db.models import Q, QuerySet
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from builds.models import Build
from hangar.clubs.models import Club, User
from hangar.requests import PersonRequest
from inventory.health import Verdict
from inventory.models import Claim, Condition, Loan, Part
from inventory.pack_health import PackReport
from inventory.stored_health import health_of_all

SHOWN = 20


@login_required
def home(request: PersonRequest) -> HttpResponse:
    """Show the person's aircraft, and parts, packs, loans and claims that need attention."""
    user = request.user
    builds = list(
        Build.objects.visible_to(user)
        .filter(is_archived=False)
        .select_related("person", "club")[:SHOWN]
    )
    context = {
        "builds": builds,
        "doubtful": _doubtful_parts(user),
        "worn_packs": _worn_packs(user),
        "loans": Loan.objects.open()
        .visible_to(user)
        .select_related("part__sheet", "part__person", "part__club", "borrower")
        .order_by("due_on")[:SHOWN],
        "claims": Claim.objects.open()
        .filter(claimant=user)
        .select_related("part__sheet", "part__person", "part__club")[:SHOWN],
        "clubs": Club.objects.visible_to(user)[:SHOWN],
        "has_begun": bool(builds) or Part.objects.owned_by(user).exists(),
        "today": timezone.localdate(),
    }
    return render(request, "home.html", context)


def _doubtful_parts(user: User) -> QuerySet[Part]:
    doubtful = ~Q(out_of_service="") | Q(condition__in=(Condition.SUSPECT, Condition.BROKEN))
    parts = Part.objects.editable_by(user).filter(doubtful).exclude(condition=Condition.RETIRED)
    return parts.select_related("sheet")[:SHOWN]


def _worn_packs(user: User) -> list[tuple[Part, PackReport]]:
    packs = Part.objects.editable_by(user).in_service().filter(kind="pack")
    shown = list(packs.select_related("sheet__pack")[:SHOWN])
    reports = health_of_all(shown)
    return [
        (pack, reports[pack.pk])
        for pack in shown
        if reports[pack.pk].verdict in (Verdict.OUT_OF_SERVICE, Verdict.RETIRE, Verdict.WATCH)
    ]
