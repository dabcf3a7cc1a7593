"""The page that chooses parts for all open positions of a build, and claims or fits them."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from builds.forms.kit import ChosenKitForm, KitForm
from builds.kit.choosing import AIMS, KitAnswer, choose_kit
from builds.operations import kit as operations
from builds.pages import cautions
from builds.pages.doors import build_to_change, visible_build
from builds.pages.kit_rows import kit_rows
from builds.pages.wording import Reader
from hangar.requests import PersonRequest
from hangar.submissions import show, submit


@login_required
def kit(request: PersonRequest, pk: int) -> HttpResponse:
    """Ask what is wanted, and when asked show the kit or why there is none."""
    build = visible_build(request, pk)
    is_asked = bool(request.GET)
    look = KitForm(request.GET if is_asked else None)
    answer: KitAnswer | None = None
    if is_asked:
        answer = submit(look, lambda _: choose_kit(build, look.asked(), viewer=request.user))
    reader = Reader(request.user)
    context = {
        "build": build,
        "look": look,
        "answer": answer,
        "first_aim": AIMS[answer.asked.aims[0]] if answer else "",
        "best": kit_rows(answer.kit, reader) if answer and answer.kit else None,
        "others": [kit_rows(one, reader, answer.kit) for one in answer.alternatives]
        if answer and answer.kit
        else [],
        "care": (cautions.ESTIMATE, cautions.PROPELLERS),
    }
    return show(request, "builds/kit.html", context, look)


@login_required
@require_POST
def kit_claim(request: PersonRequest, pk: int) -> HttpResponse:
    """Put aside for this build what is another's, all of it or nothing."""
    build = build_to_change(request, pk)
    form = ChosenKitForm(request.POST)
    count = submit(form, lambda given: operations.claim_kit(build, given["kit"], by=request.user))
    if count:
        messages.success(request, f"{count} part{'s are' if count > 1 else ' is'} put aside.")
        return redirect("builds:kit", pk=build.pk)
    return _refused(request, build, form)


@login_required
@require_POST
def kit_fit(request: PersonRequest, pk: int) -> HttpResponse:
    """Fit what is the person's to fit, all of it or nothing."""
    build = build_to_change(request, pk)
    form = ChosenKitForm(request.POST)
    count = submit(form, lambda given: operations.fit_kit(build, given["kit"], by=request.user))
    if count:
        messages.success(request, f"{count} part{'s are' if count > 1 else ' is'} fitted.")
        return redirect("builds:build_detail", pk=build.pk)
    return _refused(request, build, form)


def _refused(request: PersonRequest, build: object, form: ChosenKitForm) -> HttpResponse:
    context = {"build": build, "look": KitForm(), "refused": form, "answer": None}
    return show(request, "builds/kit.html", context, form)
