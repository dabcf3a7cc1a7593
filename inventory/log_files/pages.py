"""Pages of a log file: upload, match its columns, preview, import with its progress."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from hangar.errors import NotAllowed, UserError
from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, sent, show, submit
from inventory.log_files import importing, receiving
from inventory.log_files.faults import Problem
from inventory.log_files.forms import LogFileForm, RecipeForm
from inventory.log_files.models import LogFile
from inventory.models import Part
from inventory.pages.doors import visible_part

FILES_SHOWN = 20
ENTRIES_SHOWN = 50
PROBLEMS_SHOWN = 100


@login_required
def log_import(request: PersonRequest, code: str) -> HttpResponse:
    """Take in a file for a pack, and show the earlier ones."""
    pack = _pack_to_log(request, code)
    form = LogFileForm(sent(request), request.FILES if request.method == "POST" else None)
    file = submit(form, lambda given: _take_in(request, pack, given["file"]))
    if file:
        return _go_on(request, file)
    files = LogFile.objects.visible_to(request.user).filter(pack=pack).defer("state", "problems")
    context = {
        "pack": pack,
        "form": form,
        "page": page_of(request, files, FILES_SHOWN),
        "query": query_without_page(request),
    }
    return show(request, "inventory/log_import.html", context, form)


def _take_in(request: PersonRequest, pack: Part, file: Any) -> LogFile:
    return receiving.receive_file(pack, by=request.user, file_name=file.name, stream=file)


def _go_on(request: PersonRequest, file: LogFile) -> HttpResponse:
    if file.finished_at:
        messages.success(request, "This file was imported before: there is nothing to add.")
    name = "log_file" if file.recipe else "log_file_columns"
    return redirect(f"inventory:{name}", code=file.pack.code, pk=file.pk)


@login_required
def log_file_columns(request: PersonRequest, code: str, pk: int) -> HttpResponse:
    """Decide how the rows are read."""
    file = _visible_file(request, code, pk)
    if file.is_started:
        return redirect("inventory:log_file", code=file.pack.code, pk=file.pk)
    form = RecipeForm(
        sent(request),
        table=receiving.table_of(file),
        recipe=importing.recipe_of(file, by=request.user),
        cells=importing.cells_of(file),
    )
    done = submit(
        form,
        lambda given: importing.choose_recipe(
            file, form.recipe(), by=request.user, name=given["name"]
        ),
    )
    if done:
        return redirect("inventory:log_file", code=file.pack.code, pk=file.pk)
    return show(request, "inventory/log_columns.html", {"file": file, "form": form}, form)


@login_required
def log_file(request: PersonRequest, code: str, pk: int) -> HttpResponse:
    """Show what the rows become, import them step by step, and what became of them."""
    file = _visible_file(request, code, pk)
    if not file.recipe:
        return redirect("inventory:log_file_columns", code=file.pack.code, pk=file.pk)
    refusal = None
    if request.method == "POST":
        try:
            file = importing.import_some(file, by=request.user)
        except UserError as error:
            refusal = error
        if refusal is None and not request.headers.get("HX-Request"):
            return redirect("inventory:log_file", code=file.pack.code, pk=file.pk)
    context = {
        "file": file,
        "refusal": refusal,
        "problems": [Problem(*one) for one in file.problems[:PROBLEMS_SHOWN]],
        "preview": None if file.is_started else importing.preview(file, by=request.user),
        "shown": ENTRIES_SHOWN,
    }
    return render(
        request, "inventory/log_file.html", context, status=refusal.status if refusal else 200
    )


@login_required
@require_POST
def log_file_discard(request: PersonRequest, code: str, pk: int) -> HttpResponse:
    """Forget a file of which nothing is in the log."""
    file = _visible_file(request, code, pk)
    importing.discard_file(file, by=request.user)
    messages.success(request, "Discarded. Nothing was logged.")
    return redirect("inventory:log_import", code=file.pack.code)


def _pack_to_log(request: PersonRequest, code: str) -> Part:
    pack = visible_part(request, code)
    if pack.kind != "pack":
        raise Http404
    if not Part.objects.loggable_by(request.user).filter(pk=pack.pk).exists():
        raise NotAllowed("The log is kept by the pack's owner or keeper, and by who has it now.")
    return pack


def _visible_file(request: PersonRequest, code: str, pk: int) -> LogFile:
    pack = _pack_to_log(request, code)
    files = LogFile.objects.visible_to(request.user).select_related("pack__sheet__pack", "by")
    return get_object_or_404(files, pk=pk, pack=pack)
