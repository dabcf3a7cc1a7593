"""Pages of what must be checked again, and of a crash."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import redirect

from builds.forms.checks import ChecksForm, CrashForm
from builds.models import CheckDone, Crash, Revision
from builds.operations.checks import record_checks, record_crash
from builds.pack_options import packs_in_reach
from builds.pages import cautions
from builds.pages.doors import build_to_change, packs_on_hand, visible_build
from builds.rechecks import CHECKS, due_checks
from builds.snapshot import take_picture, take_snapshot
from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, sent, show, submit

CRASHES_SHOWN = 20


@login_required
def checks(request: PersonRequest, pk: int) -> HttpResponse:
    """Show what is due and what was checked; write down checks made."""
    build = build_to_change(request, pk) if request.method == "POST" else visible_build(request, pk)
    form = ChecksForm(sent(request))
    if request.method == "POST":
        done = submit(form, lambda given: record_checks(build, by=request.user, **given))
        if done:
            messages.success(request, "Written down.")
            return redirect("builds:checks", pk=build.pk)
    snapshot = take_snapshot(build)
    due = due_checks(snapshot)
    texts = _texts(build.pk, {one.since_revision for one in due})
    asked = {one.check.key for one in due}
    page = page_of(request, _made(build.pk))
    context = {
        "build": build,
        "due": [(one, texts.get(one.since_revision, "")) for one in due],
        "revision": snapshot.revision,
        "not_due": [check for check in CHECKS if check.key not in asked],
        "form": form,
        "ticked": set(request.POST.getlist("kinds")),
        "page": page,
        "query": query_without_page(request),
        "crashes": Crash.objects.filter(build=build).select_related("by")[:CRASHES_SHOWN],
        "care": (cautions.PROPELLERS, cautions.CONTROLS, cautions.ESTIMATE),
    }
    return show(request, "builds/checks.html", context, form)


def _made(build_pk: int) -> QuerySet[CheckDone]:
    return CheckDone.objects.filter(build=build_pk).select_related("by")


def _texts(build_pk: int, numbers: set[int]) -> dict[int, str]:
    """What changed in some revisions."""
    rows = Revision.objects.filter(build=build_pk, number__in=numbers)
    return dict(rows.values_list("number", "text"))


@login_required
def crash_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Write down a crash."""
    build = build_to_change(request, pk)
    picture = take_picture(build, others=packs_in_reach(request.user))
    form = CrashForm(sent(request), snapshot=picture.snapshot, packs=packs_on_hand(picture))
    if request.method == "POST":
        done = submit(form, lambda given: record_crash(build, by=request.user, **given))
        if done:
            messages.success(
                request, "Written down. What was in it is suspect, and checks are due."
            )
            return redirect("builds:checks", pk=build.pk)
    context = {"build": build, "form": form, "care": (cautions.OUT_OF_SERVICE, cautions.PROPELLERS)}
    return show(request, "builds/crash.html", context, form)
