"""The page of the limits that a club has set for rules."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect

import builds.rules  # noqa: F401 - registers the rules
from builds.findings import Limit, Rule, book
from builds.forms.answers import RuleLimitForm
from builds.models import RuleLimit
from builds.operations.rule_limits import limit_of, set_rule_limit
from builds.pages.wording import Reader
from hangar.clubs.models import Club
from hangar.errors import Missing, NotAllowed, UserError
from hangar.requests import PersonRequest
from hangar.submissions import show, submit

HISTORY_SHOWN = 50


@dataclass(frozen=True)
class ClubLimitRow:
    """One limit of one rule: what counts for the club, and the form to set it."""

    rule: Rule
    limit: Limit
    usual: str
    newest: RuleLimit | None
    value: str
    form: RuleLimitForm


@login_required
def rule_limit_list(request: PersonRequest, slug: str) -> HttpResponse:
    """Show what counts for a club's builds and its members; an officer sets it."""
    club = get_object_or_404(Club.objects.visible_to(request.user), slug=slug)
    is_officer = Club.objects.editable_by(request.user).filter(pk=club.pk).exists()
    tried = _set(request, club, is_officer=is_officer) if request.method == "POST" else None
    if tried is not None and not tried.errors:
        messages.success(request, "The limit is set. Builds are judged by it from now on.")
        return redirect("builds:rule_limits", slug=slug)
    rows = RuleLimit.objects.filter(club=club).select_related("by")
    context = {
        "club": club,
        "is_officer": is_officer,
        "rows": _rows(rows, Reader(request.user), tried),
        "history": _history(rows, Reader(request.user)),
        "tried": tried,
    }
    return show(request, "builds/rule_limits.html", context, *([tried] if tried else []))


def _set(request: PersonRequest, club: Club, *, is_officer: bool) -> RuleLimitForm:
    """The form as sent; without errors the limit is set."""
    if not is_officer:
        raise NotAllowed("Only an officer of the club does this.")
    try:
        limit = limit_of(request.POST.get("rule", ""), request.POST.get("name", ""))
    except UserError as error:
        raise Missing(error.message) from error
    form = RuleLimitForm(request.POST, limit=limit, auto_id="tried_%s")
    submit(form, lambda given: set_rule_limit(club=club, by=request.user, **given))
    return form


def _rows(rows: object, reader: Reader, tried: RuleLimitForm | None) -> list[ClubLimitRow]:
    newest = {(row.rule, row.name): row for row in rows.newest()}  # type: ignore[attr-defined]
    return [
        _row(rule, limit, newest.get((rule.id, limit.name)), reader, tried)
        for rule in book
        for limit in rule.limits
    ]


def _row(
    rule: Rule,
    limit: Limit,
    newest: RuleLimit | None,
    reader: Reader,
    tried: RuleLimitForm | None,
) -> ClubLimitRow:
    value = newest.value if newest else None
    initial = {
        "rule": rule.id,
        "name": limit.name,
        "instead_of": newest.pk if newest else 0,
        "value": value,
    }
    form = RuleLimitForm(limit=limit, initial=initial, auto_id=f"{rule.id}.{limit.name}.%s")
    if tried and (tried.data.get("rule"), tried.data.get("name")) == (rule.id, limit.name):
        form = tried
    return ClubLimitRow(
        rule=rule,
        limit=limit,
        usual=reader.say(limit.value, limit.name),
        newest=newest if value is not None else None,
        value=reader.say(limit.value if value is None else value, limit.name),
        form=form,
    )


def _history(rows: object, reader: Reader) -> list[tuple[RuleLimit, str, str]]:
    """What was set when and by whom, newest first, with the rule's question."""
    return [
        (
            row,
            book[row.rule].question if row.rule in book else row.rule,
            "common practice" if row.value is None else reader.say(row.value, row.name),
        )
        for row in rows[:HISTORY_SHOWN]  # type: ignore[index]
    ]
