"""Pages of what a person has of others and has elsewhere, of notices and of the table of states."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from hangar.clubs.models import Club
from hangar.requests import PersonRequest
from hangar.submissions import page_of, sent, show, submit
from inventory import operations
from inventory.forms.sharing import LendingRuleForm, NoticeForm
from inventory.models import CalendarFeed, Claim, LendingRule, Loan, Notice, Offer, Part, Wait
from inventory.operations import feeds
from inventory.operations.notices import choices_of, mark_read, save_choices
from inventory.pool import calendar
from inventory.pool.states import ALL_STATES, rows

SHOWN = 100
NEW_FEED = "new_feed"


@login_required
def mine(request: PersonRequest) -> HttpResponse:
    """Show what the person has of others, what of theirs is elsewhere, and what is overdue."""
    user = request.user
    loans = Loan.objects.open().select_related("part__sheet", "borrower").order_by("due_on", "pk")
    claims = Claim.objects.open().select_related("part__sheet", "claimant")
    waits = Wait.objects.open().select_related("part__sheet", "person")
    kept = Part.objects.editable_by(user).values("pk")
    token = request.session.pop(NEW_FEED, "")
    context: dict[str, Any] = {
        "held": loans.filter(borrower=user)[:SHOWN],
        "my_claims": claims.filter(claimant=user)[:SHOWN],
        "my_waits": waits.filter(person=user)[:SHOWN],
        "away": loans.editable_by(user).exclude(borrower=user)[:SHOWN],
        "put_aside": claims.filter(part__in=kept).exclude(claimant=user)[:SHOWN],
        "asked": waits.filter(part__in=kept).exclude(person=user)[:SHOWN],
        "offered": Offer.objects.open()
        .filter(Q(part__person=user))
        .select_related("part__sheet", "club")[:SHOWN],
        "today": timezone.localdate(),
        "has_feed": CalendarFeed.objects.filter(person=user).exists(),
        "new_feed": request.build_absolute_uri(reverse("inventory:calendar", args=[token]))
        if token
        else "",
    }
    return show(request, "inventory/pool_mine.html", context)


@login_required
@require_POST
def renew_feed(request: PersonRequest) -> HttpResponse:
    """Make a new secret address of the calendar; the old one ends."""
    request.session[NEW_FEED] = feeds.renew_feed(request.user)
    return redirect("inventory:pool_mine")


@login_required
@require_POST
def end_feed(request: PersonRequest) -> HttpResponse:
    """End the calendar's address."""
    feeds.end_feed(request.user)
    messages.success(request, "The calendar's address has ended.")
    return redirect("inventory:pool_mine")


@require_GET
def calendar_feed(_request: HttpRequest, token: str) -> HttpResponse:
    """Answer the due days of whom the secret address belongs to; it asks for no sign-in."""
    person = feeds.person_of_feed(token)
    if person is None:
        raise Http404
    body = calendar.due_days(feeds.days_of(person))
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    response["Cache-Control"] = "private, no-store"
    response["X-Robots-Tag"] = "noindex"
    return response


@login_required
def notices(request: PersonRequest) -> HttpResponse:
    """Show what the person was told, and let them choose what they are told."""
    user = request.user
    form = NoticeForm(sent(request), email=user.email, choices=choices_of(user))
    if form.is_valid():
        save_choices(user, email=form.cleaned_data["email"], choices=form.chosen())
        messages.success(request, "Your choices are saved.")
        return redirect("inventory:notices")
    told = Notice.objects.visible_to(user).select_related("part")
    visible = set(
        Part.objects.visible_to(user)
        .filter(pk__in=told.values("part"))
        .values_list("pk", flat=True)
    )
    context = {"form": form, "page": page_of(request, told), "visible": visible}
    return show(request, "inventory/notices.html", context, form)


@login_required
@require_POST
def notices_read(request: PersonRequest) -> HttpResponse:
    """Mark all notices as read."""
    mark_read(request.user)
    return redirect("inventory:notices")


@login_required
def state_table(request: PersonRequest) -> HttpResponse:
    """Show what may be done with a part in which state."""
    return show(request, "inventory/state_table.html", {"states": ALL_STATES, "rows": rows()})


@login_required
def lending_rules(request: PersonRequest, slug: str) -> HttpResponse:
    """Show a club's rules for lending; its officers lay them down here."""
    club = get_object_or_404(Club.objects.visible_to(request.user), slug=slug)
    is_officer = Club.objects.editable_by(request.user).filter(pk=club.pk).exists()
    if request.method == "POST" and not is_officer:
        raise Http404
    form = LendingRuleForm(sent(request))
    done = submit(
        form, lambda given: operations.save_lending_rule(club=club, by=request.user, **given)
    )
    if done:
        messages.success(request, "The rule holds from now on.")
        return redirect("inventory:lending_rules", slug=slug)
    context = {
        "form": form,
        "club": club,
        "is_officer": is_officer,
        "rules": LendingRule.objects.visible_to(request.user).filter(club=club),
    }
    return show(request, "inventory/lending_rules.html", context, form)


@login_required
@require_POST
def lending_rule_delete(request: PersonRequest, pk: int) -> HttpResponse:
    """Take a rule away."""
    mine = LendingRule.objects.editable_by(request.user).select_related("club")
    rule = get_object_or_404(mine, pk=pk)
    operations.delete_lending_rule(rule, by=request.user)
    messages.success(request, "The rule is gone.")
    return redirect("inventory:lending_rules", slug=rule.club.slug)
