"""Pages of what was accepted in a build, and why."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from builds.answers import Answered, AnswerState, answered
from builds.findings import book
from builds.forms.answers import AnswerForm
from builds.models import Answer
from builds.operations import answers as operations
from builds.pages.doors import build_to_change, visible_build
from builds.records import BuildSnapshot
from builds.reports import report_on
from hangar.errors import Conflict
from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, sent, show, submit
from inventory.models import Part

STATES = {
    AnswerState.HOLDS: "holds",
    AnswerState.ENDED: "has ended: what it was given for has changed, or is gone",
    AnswerState.OF_ANOTHER_PACK: "given with another pack than the usual one",
    AnswerState.WITHDRAWN: "was taken back",
}


@dataclass(frozen=True)
class AnswerRow:
    """One answer, what it was about, and how it stands."""

    answer: Answer
    question: str
    place: str
    state: str
    is_standing: bool


@login_required
def answer_list(request: PersonRequest, pk: int) -> HttpResponse:
    """Show all that was accepted in a build and how it stands; accept a finding."""
    build = build_to_change(request, pk) if request.method == "POST" else visible_build(request, pk)
    packs = Part.objects.visible_to(request.user)
    form = AnswerForm(sent(request), packs=packs)
    if request.method == "POST":
        done = submit(
            form,
            lambda given: operations.accept_findings(
                build,
                by=request.user,
                rule=given["rule"],
                places=given["place"],
                reason=given["reason"],
                pack=given["pack"],
            ),
        )
        if done:
            messages.success(
                request, "Accepted. It stays listed, and counts until what it rests on changes."
            )
            return redirect("builds:build_detail", pk=build.pk)
    report = report_on(build, viewer=request.user)
    rows = Answer.objects.filter(build=build).select_related("by", "withdrawn_by", "pack__sheet")
    page = page_of(request, rows)
    holding = answered(build, report)
    context = {
        "build": build,
        "page": page,
        "query": query_without_page(request),
        "rows": [_row(answer, holding, report.snapshot) for answer in page],
        "form": form,
    }
    return show(request, "builds/answers.html", context, form)


@login_required
@require_POST
def answer_withdraw(request: PersonRequest, pk: int, answer_pk: int) -> HttpResponse:
    """Take an answer back."""
    build = build_to_change(request, pk)
    answer = get_object_or_404(Answer.objects.filter(build=build), pk=answer_pk)
    answer.build = build
    try:
        operations.withdraw_answer(answer, by=request.user)
    except Conflict as error:
        messages.error(request, error.message)
    else:
        messages.success(request, "Taken back. The finding counts again.")
    return redirect("builds:answer_list", pk=build.pk)


def _row(answer: Answer, holding: Answered, snapshot: BuildSnapshot) -> AnswerRow:
    position = snapshot.at(answer.position) if answer.position else None
    state = holding.state_of(answer, snapshot.pack.id if snapshot.pack else None)
    return AnswerRow(
        answer=answer,
        question=book[answer.rule].question if answer.rule in book else answer.rule,
        place=position.name if position else answer.position,
        state=STATES[state],
        is_standing=state != AnswerState.WITHDRAWN,
    )
