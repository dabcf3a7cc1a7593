"""Pages of an import: upload, match columns, preview, import."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from hangar.errors import UserError
from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, sent, show, submit
from inventory.imports import applying
from inventory.imports.forms import MatchingForm, UploadForm
from inventory.imports.matching import Matching
from inventory.imports.models import ImportRun
from inventory.imports.plans import Plan
from inventory.imports.table import ImportProblem

PROBLEMS_SHOWN = 200


@login_required
def import_start(request: PersonRequest) -> HttpResponse:
    """Take in a list, and show the person's earlier ones."""
    files = request.FILES if request.method == "POST" else None
    form = UploadForm(sent(request), files, user=request.user)
    run = submit(form, lambda given: _take_in(request, given))
    if run:
        return redirect("inventory:import_match", pk=run.pk)
    runs = ImportRun.objects.visible_to(request.user).defer("table")
    context = {
        "form": form,
        "page": page_of(request, runs.select_related("person", "club")),
        "query": query_without_page(request),
    }
    return show(request, "inventory/import_start.html", context, form)


def _take_in(request: PersonRequest, given: dict[str, Any]) -> ImportRun:
    file = given["file"]
    run = applying.read_list(
        by=request.user, file_name=file.name, data=file.read(), **given["owner"]
    )
    return applying.keep_list(run)


@login_required
def import_match(request: PersonRequest, pk: int) -> HttpResponse:
    """Decide which column is which field."""
    run = _visible_run(request, pk)
    table = applying.table_of(run)
    matching = Matching.from_json(run.matching)
    form = MatchingForm(sent(request), table=table, matching=matching)
    matched = submit(form, lambda _: applying.match_columns(run, form.matching(), by=request.user))
    if matched:
        return redirect("inventory:import_detail", pk=run.pk)
    context = {"form": form, "run": run, "row_count": len(table.rows)}
    return show(request, "inventory/import_match.html", context, form)


@login_required
def import_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """Show what each row would become, and import them all; afterwards, what became of them."""
    run = _visible_run(request, pk)
    if run.imported_at:
        return show(request, "inventory/import_done.html", {"run": run})
    if request.method == "POST":
        return _import(request, run)
    return _preview(request, run)


def _import(request: PersonRequest, run: ImportRun) -> HttpResponse:
    try:
        done = applying.import_list(run, by=request.user)
    except UserError as error:
        return _preview(request, run, refusal=error)
    messages.success(request, f"Imported: {done.counts['parts']} parts added.")
    return redirect("inventory:import_detail", pk=run.pk)


def _preview(
    request: PersonRequest, run: ImportRun, refusal: UserError | None = None
) -> HttpResponse:
    try:
        plan: Plan = applying.plan_of(run)
    except ImportProblem as error:
        messages.error(request, error.message)
        return redirect("inventory:import_match", pk=run.pk)
    context = {
        "run": run,
        "plan": plan,
        "problems": plan.problems[:PROBLEMS_SHOWN],
        "problems_left_off": max(0, len(plan.problems) - PROBLEMS_SHOWN),
        "page": page_of(request, plan.rows),
        "query": query_without_page(request),
        "refusal": refusal,
    }
    status = refusal.status if refusal else 200
    return render(request, "inventory/import_preview.html", context, status=status)


@login_required
@require_POST
def import_discard(request: PersonRequest, pk: int) -> HttpResponse:
    """Forget a list that is not imported."""
    applying.discard_list(_visible_run(request, pk), by=request.user)
    messages.success(request, "Discarded. Nothing was imported.")
    return redirect("inventory:import_start")


def _visible_run(request: PersonRequest, pk: int) -> ImportRun:
    runs = ImportRun.objects.visible_to(request.user).select_related("by", "person", "club")
    return get_object_or_404(runs, pk=pk)
