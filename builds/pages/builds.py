"""Pages of builds: the list, one build, adding one, its set-up and its history."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from builds import operations
from builds.answers import answered
from builds.drawing import draw_balance, draw_plan
from builds.findings import GROUND_WORDS, Level
from builds.forms import BuildForm, NewBuildForm
from builds.forms.balance import AirForm
from builds.models import Build, Revision
from builds.pack_options import compare_packs, packs_in_reach
from builds.pages import cautions
from builds.pages.doors import build_to_change, chosen_pack, packs_on_hand, visible_build
from builds.pages.finding_rows import accepted_rows, cause_rows, gap_groups, settling_rows
from builds.pages.rows import pack_rows, position_rows
from builds.pages.wording import Reader
from builds.rechecks import due_checks
from builds.reports import Report, report_of
from builds.snapshot import take_picture
from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, show, submit

REVISIONS_SHOWN = 8
LEAD = (
    "auw_g",
    "cg_x_mm",
    "cg_min_x_mm",
    "cg_max_x_mm",
    "cg_target_x_mm",
    "pack_x_wanted_mm",
    "static_margin_percent",
)


@login_required
def build_list(request: PersonRequest) -> HttpResponse:
    """List the aircraft that the person may see."""
    is_laid_up = request.GET.get("laid-up") == "1"
    fitted = Count("fittings", filter=Q(fittings__removed_at__isnull=True))
    builds = (
        Build.objects.visible_to(request.user)
        .filter(is_archived=is_laid_up)
        .select_related("person", "club")
        .annotate(fitted=fitted)
        .order_by("name", "pk")
    )
    context = {
        "page": page_of(request, builds),
        "query": query_without_page(request),
        "is_laid_up": is_laid_up,
    }
    return show(request, "builds/build_list.html", context)


@login_required
def build_add(request: PersonRequest) -> HttpResponse:
    """Make a build, with the positions of its airframe."""
    form = NewBuildForm(request.POST or None, user=request.user)
    if request.method == "POST":
        build = submit(form, lambda given: _create(request, given))
        if build:
            messages.success(request, f"{build} is made. Next: fit its parts.")
            return redirect("builds:build_detail", pk=build.pk)
    context = {"form": form, "heading": "New build", "button": "Make it"}
    return show(request, "builds/build_add.html", context, form)


def _create(request: PersonRequest, given: dict[str, Any]) -> Build:
    return operations.create_build(
        by=request.user, name=given["name"], airframe=given["airframe"], **given["owner"]
    )


@login_required
def build_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """Show a build: drawing, weight and balance with a pack, findings, positions, figures."""
    build = visible_build(request, pk)
    packs = packs_in_reach(request.user)
    picture = take_picture(build, viewer=request.user, others=packs)
    on_hand = packs_on_hand(picture)
    pack = chosen_pack(on_hand, request.GET.get("pack", ""))
    snapshot = picture.snapshot
    if pack is not None:
        snapshot = snapshot.with_pack(pack, build.pack_x_mm)
    air = AirForm(request.GET)
    report = report_of(air.in_air(snapshot))
    options = compare_packs(report, on_hand.values(), build.pack_x_mm)
    reader = Reader(request.user)
    shown = snapshot.pack.code if snapshot.pack else ""
    rows = pack_rows(options, reader)
    context = {
        "build": build,
        "packs": rows,
        "fitting_packs": [row for row in rows if not row.warnings or row.record.code == shown],
        "warned_packs": [row for row in rows if row.warnings and row.record.code != shown],
        "revisions": build.revisions.select_related("by")[:REVISIONS_SHOWN],
        "care": cautions.ALL,
        "due": due_checks(snapshot),
        "air": air,
        "pack_asked": request.GET.get("pack", ""),
        "may_answer": build.may_change and not air.is_asked(),  # type: ignore[attr-defined]
        **_report(report, picture.fittings, reader),
        **_findings(report, build, reader),
    }
    return show(request, "builds/build_detail.html", context, air)


def _report(report: Report, fittings: Mapping[int, int], reader: Reader) -> dict[str, Any]:
    snapshot = report.snapshot
    plan = draw_plan(snapshot, report.figures)
    return {
        "snapshot": snapshot,
        "plan": plan,
        "balance": draw_balance(report.figures, reader.length),
        "lead": {name: reader.figure(report.figures[name]) for name in LEAD},
        "groups": reader.groups(report.figures),
        "positions": position_rows(plan.parts, snapshot, fittings, reader),
        "ground": [(words, snapshot.ground.get(role)) for role, words in GROUND_WORDS.items()],
    }


def _findings(report: Report, build: Build, reader: Reader) -> dict[str, Any]:
    """What the rules say, what somebody accepted of it, and what is missing to say more."""
    snapshot, judgement = report.snapshot, report.judgement
    holding = answered(build, report)
    accepted = accepted_rows(judgement.findings, snapshot, reader, holding)
    found = {
        level.label: cause_rows(judgement.of(level), snapshot, reader, holding) for level in Level
    }
    accepted_of = Counter(row.finding.level for row in accepted)
    return {
        "found": found,
        "accepted": accepted,
        "counts": [
            (level, len(rows) + accepted_of[level], accepted_of[level])
            for level, rows in reversed(found.items())
        ],
        "gaps": gap_groups(judgement.not_judged, snapshot),
        "settles": settling_rows(
            judgement.not_judged,
            snapshot,
            build,
            may_change=build.may_change,  # type: ignore[attr-defined]
        ),
        "not_judged": len(judgement.not_judged),
        "judged": judgement.judged,
        "checks": judgement.judged + len(judgement.not_judged),
        "not_applicable": judgement.not_applicable,
    }


@login_required
def build_change(request: PersonRequest, pk: int) -> HttpResponse:
    """Change name, set-up and limits."""
    build = build_to_change(request, pk)
    form = BuildForm(request.POST or None, instance=build, user=request.user)
    if request.method == "POST":
        done = submit(
            form, lambda _: operations.change_build(build, by=request.user, **form.changes())
        )
        if done:
            messages.success(request, "Saved.")
            return redirect("builds:build_detail", pk=build.pk)
    context = {
        "build": build,
        "form": form,
        "heading": f"Set-up of {build}",
        "back": reverse("builds:build_detail", args=[build.pk]),
    }
    return show(request, "builds/build_form.html", context, form)


@login_required
def build_history(request: PersonRequest, pk: int) -> HttpResponse:
    """List all revisions of a build."""
    build = visible_build(request, pk)
    revisions = Revision.objects.filter(build=build).select_related("by")
    context = {
        "build": build,
        "page": page_of(request, revisions),
        "query": query_without_page(request),
    }
    return show(request, "builds/build_history.html", context)
