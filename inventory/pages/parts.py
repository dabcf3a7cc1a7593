"""Pages of parts: the list, one part, adding and changing."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, sent, show, submit
from inventory import operations
from inventory.codes import CodeError, check_code
from inventory.forms.parts import (
    MeasurementForm,
    NewPartForm,
    PartFilterForm,
    PartForm,
    kind_labels,
)
from inventory.forms.sheets import SheetOfPartForm, sheet_of_part_form
from inventory.health import cautions
from inventory.kinds import DataSheet
from inventory.models import Claim, Loan, Offer, Part, PartEvent, Wait
from inventory.pages.doors import may_change, part_to_change, visible_part
from inventory.rows import part_rows

HISTORY_SHOWN = 60


@login_required
def part_list(request: PersonRequest) -> HttpResponse:
    """List the parts that fit what is asked for."""
    form = PartFilterForm(
        request.GET, user=request.user, kind=request.GET.get("kind", ""), auto_id="filter_%s"
    )
    parts = Part.objects.visible_to(request.user)
    found = form.narrow(parts).select_related("sheet", "place", "person", "club")
    context = {
        "form": form,
        "page": page_of(request, found.order_by("kind", "sheet__name", "pk")),
        "query": query_without_page(request),
    }
    return show(request, "inventory/part_list.html", context, form)


@login_required
def part_find(request: PersonRequest) -> HttpResponse:
    """Go straight to the part of a label code, else to a search for what was typed."""
    text = request.GET.get("code", "")[:100]
    try:
        code = check_code(text)
    except CodeError as error:
        messages.error(request, str(error))
        return redirect("inventory:part_list")
    return redirect("inventory:part_detail", code=code)


@login_required
def part_detail(request: PersonRequest, code: str) -> HttpResponse:
    """Show a part: its figures and where they come from, who has it, what happened to it."""
    part = visible_part(request, code)
    return show_part(request, part)


def show_part(
    request: PersonRequest, part: Part, measurement_form: MeasurementForm | None = None
) -> HttpResponse:
    """Answer the page of a part, with the form by which a figure was sent."""
    user = request.user
    is_mine = may_change(request, part)
    form = measurement_form or MeasurementForm(kind=part.kind, auto_id="measure_%s")
    measurements = part.measurements.select_related("by")
    context = {
        "part": part,
        "is_mine": is_mine,
        "rows": part_rows(part, measurements),
        "measurement_form": form,
        "events": PartEvent.objects.visible_to(user)
        .filter(part=part)
        .select_related("by")[:HISTORY_SHOWN],
        "offers": Offer.objects.open().visible_to(user).filter(part=part).select_related("club"),
        "has_claim": Claim.objects.open().filter(part=part).exists(),
        "claim": Claim.objects.open()
        .visible_to(user)
        .filter(part=part)
        .select_related("claimant")
        .first(),
        "waits": Wait.objects.open().visible_to(user).filter(part=part).select_related("person"),
        "cautions": cautions,
        "has_loan": Loan.objects.open().filter(part=part).exists(),
        "loan": Loan.objects.open()
        .visible_to(user)
        .filter(part=part)
        .select_related("borrower")
        .first(),
    }
    return show(request, "inventory/part_detail.html", context, form)


@login_required
def part_add(request: PersonRequest) -> HttpResponse:
    """Add a part: first its kind, then the part and, where it is new, its data sheet."""
    kind = request.GET.get("kind", "")
    if kind not in DataSheet.registry:
        return show(request, "inventory/part_add_kind.html", {"kinds": kind_labels()})
    given = sent(request)
    form = NewPartForm(
        given, user=request.user, kind=kind, initial={"sheet": request.GET.get("sheet")}
    )
    new_sheet = sheet_of_part_form(kind)(
        given, user=request.user, prefix="sheet", use_required_attribute=False
    )
    part = _add(request, form, new_sheet)
    if part:
        messages.success(request, f"Added. Its label code is {part.code}.")
        return redirect("inventory:part_detail", code=part.code)
    context = {
        "form": form,
        "sheet_form": new_sheet,
        "kind": DataSheet.registry[kind],
    }
    return show(request, "inventory/part_add.html", context, form, new_sheet)


def _add(request: PersonRequest, form: NewPartForm, new_sheet: SheetOfPartForm) -> Part | None:
    if not form.is_valid():
        return None
    if form.cleaned_data["sheet"]:
        new_sheet.is_bound = False
        return submit(form, lambda given: operations.add_part(by=request.user, **_values(given)))
    if not new_sheet.is_valid():
        return None
    sheet = new_sheet.with_owner(form.cleaned_data["owner"])
    return submit(
        form,
        lambda given: operations.add_part_with_sheet(
            by=request.user, **(_values(given) | {"sheet": sheet})
        ),
    )


def _values(given: dict[str, Any]) -> dict[str, Any]:
    values = {name: value for name, value in given.items() if name != "owner"}
    if values["mass_g"] is None:
        values |= {"mass_source": "", "mass_uncertainty_g": None}
    return values | given["owner"]


@login_required
def part_change(request: PersonRequest, code: str) -> HttpResponse:
    """Change what a part is called, how it is, where it lies."""
    part = part_to_change(request, code)
    form = PartForm(sent(request), instance=part, user=request.user)
    changed = submit(form, lambda given: operations.change_part(part, by=request.user, **given))
    if changed:
        messages.success(request, "Saved.")
        return redirect("inventory:part_detail", code=part.code)
    context = {
        "form": form,
        "part": part,
        "heading": f"Change {part.display_name}",
        "back": reverse("inventory:part_detail", args=[part.code]),
    }
    return show(request, "inventory/part_form.html", context, form)
