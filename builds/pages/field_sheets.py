"""Pages of the sheet for the field: drawn up, signed, and as it was signed."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.http import urlencode

from builds.answers import answered
from builds.field_sheets import Sheet, draw_up
from builds.forms.checks import SignForm
from builds.models import Build, FieldSheet
from builds.operations.checks import sign_field_sheet
from builds.pack_options import packs_in_reach
from builds.pages.doors import build_to_change, pack_of, visible_build
from builds.reports import report_on
from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, sent, show, submit
from inventory.models import Part


@login_required
def field_sheet(request: PersonRequest, pk: int) -> HttpResponse:
    """Show the sheet with one pack; sign it."""
    build = build_to_change(request, pk) if request.method == "POST" else visible_build(request, pk)
    packs = list(packs_in_reach(request.user))
    pack = pack_of(packs, request.GET.get("pack", ""))
    sheet = _draw(request, build, pack)
    form = SignForm(sent(request), sheet=sheet)
    if request.method == "POST":
        signed = submit(
            form, lambda given: sign_field_sheet(build, by=request.user, pack=pack, **given)
        )
        if signed:
            messages.success(request, "Signed. This is what was signed.")
            return redirect("builds:signed_sheet", pk=build.pk, sheet_pk=signed.pk)
    query = f"?{urlencode({'pack': pack.code})}" if pack else ""
    context = {
        "build": build,
        "content": sheet.content(form.is_ticked()),
        "sheet": sheet,
        "form": form,
        "packs": packs,
        "pack": pack.code if pack else "",
        "action": reverse("builds:field_sheet", args=[build.pk]) + query,
    }
    return show(request, "builds/field_sheet.html", context, form)


def _draw(request: PersonRequest, build: Build, pack: Part | None) -> Sheet:
    report = report_on(build, viewer=request.user, pack=pack)
    is_first = not FieldSheet.objects.filter(build=build).exists()
    return draw_up(report, answered(build, report), is_first=is_first)


@login_required
def signed_sheets(request: PersonRequest, pk: int) -> HttpResponse:
    """List the sheets that were signed, newest first."""
    build = visible_build(request, pk)
    rows = FieldSheet.objects.filter(build=build).select_related("by").defer("content")
    context = {
        "build": build,
        "page": page_of(request, rows),
        "query": query_without_page(request),
    }
    return show(request, "builds/signed_sheets.html", context)


@login_required
def signed_sheet(request: PersonRequest, pk: int, sheet_pk: int) -> HttpResponse:
    """Show a sheet exactly as it was signed."""
    build = visible_build(request, pk)
    signed = get_object_or_404(
        FieldSheet.objects.filter(build=build).select_related("by"), pk=sheet_pk
    )
    context: dict[str, Any] = {"build": build, "signed": signed, "content": signed.content}
    return show(request, "builds/signed_sheet.html", context)
