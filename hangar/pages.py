"""The first page: my aircraft, and what needs attention."""

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from builds.models import Build
from hangar.clubs.models import Club
from hangar.requests import PersonRequest
from inventory.models import Claim, Condition, Loan, Part

SHOWN = 20


@login_required
def home(request: PersonRequest) -> HttpResponse:
    """Show the person's aircraft, parts that are out of service or suspect, loans and claims."""
    user = request.user
    today = timezone.localdate()
    own = Part.objects.editable_by(user).select_related("sheet", "person", "club")
    context = {
        "builds": Build.objects.visible_to(user)
        .filter(is_archived=False)
        .select_related("person", "club")[:SHOWN],
        "stopped": own.exclude(out_of_service="").exclude(condition=Condition.RETIRED)[:SHOWN],
        "doubtful": own.filter(
            condition__in=(Condition.SUSPECT, Condition.BROKEN), out_of_service=""
        )[:SHOWN],
        "loans": Loan.objects.open()
        .visible_to(user)
        .select_related("part__sheet", "part__person", "part__club", "borrower")
        .order_by("due_on")[:SHOWN],
        "claims": Claim.objects.open()
        .filter(claimant=user)
        .select_related("part__sheet", "part__person", "part__club")[:SHOWN],
        "clubs": Club.objects.visible_to(user)[:SHOWN],
        "has_parts": Part.objects.owned_by(user).exists(),
        "today": today,
    }
    return render(request, "home.html", context)
