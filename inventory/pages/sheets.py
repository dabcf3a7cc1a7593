"""Pages of data sheets."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Count, Q, QuerySet
from django.forms import model_to_dict
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from hangar.errors import Conflict, NotAllowed, UserError
from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, sent, show, submit
from inventory import operations
from inventory.forms.parts import kind_labels
from inventory.forms.sheets import (
    SheetSearchForm,
    TemplateFormSet,
    TemplatePositionForm,
    sheet_form,
    template_rows,
)
from inventory.kinds import Airframe, DataSheet
from inventory.models import Part
from inventory.rows import sheet_rows

PARTS_SHOWN = 50


@login_required
def sheet_list(request: PersonRequest) -> HttpResponse:
    """List data sheets, of one kind where one is chosen."""
    form = SheetSearchForm(request.GET, auto_id="filter_%s")
    sheets = DataSheet.objects.visible_to(request.user).select_related("person", "club")
    page = page_of(request, _in_order(form.narrow(sheets), request))
    context = {"form": form, "page": page, "query": query_without_page(request)}
    return show(request, "inventory/sheet_list.html", context | {"kinds": kind_labels()}, form)


def _in_order(sheets: QuerySet[DataSheet], request: PersonRequest) -> QuerySet[DataSheet]:
    seen = Part.objects.visible_to(request.user).values("pk")
    counted = sheets.annotate(part_count=Count("parts", filter=Q(parts__in=seen)))
    return counted.order_by("kind", "maker", "name", "pk")


def _sheet_to_change(request: PersonRequest, pk: int) -> DataSheet:
    sheet = get_object_or_404(DataSheet.objects.visible_to(request.user).typed(), pk=pk).typed
    if not _may_change(request, sheet):
        raise NotAllowed("This data sheet is not yours to change.")
    return sheet


def _may_change(request: PersonRequest, sheet: DataSheet) -> bool:
    return DataSheet.objects.editable_by(request.user).filter(pk=sheet.pk).exists()


@login_required
def sheet_detail(request: PersonRequest, pk: int) -> HttpResponse:
    """Show what a data sheet says and which parts there are of it."""
    sheets = DataSheet.objects.visible_to(request.user).typed().select_related("person", "club")
    sheet = get_object_or_404(sheets, pk=pk).typed
    parts = Part.objects.visible_to(request.user).filter(sheet=sheet.pk)
    context = {
        "sheet": sheet,
        "rows": sheet_rows(sheet),
        "is_mine": _may_change(request, sheet),
        "template": sheet.template.all() if isinstance(sheet, Airframe) else None,
        "parts": parts.select_related("sheet", "place", "person", "club")[:PARTS_SHOWN],
    }
    return show(request, "inventory/sheet_detail.html", context)


@login_required
def sheet_add(request: PersonRequest, kind: str) -> HttpResponse:
    """Write a new data sheet."""
    if kind not in DataSheet.registry:
        raise Http404
    form = sheet_form(kind)(sent(request), user=request.user)
    sheet = submit(form, lambda _: operations.save_sheet(form.with_owner(), by=request.user))
    if sheet:
        messages.success(request, "The data sheet is saved.")
        return redirect("inventory:sheet_detail", pk=sheet.pk)
    context = {
        "form": form,
        "heading": f"New data sheet: {DataSheet.registry[kind].label}",
        "back": reverse("inventory:sheet_list"),
    }
    return show(request, "inventory/sheet_form.html", context, form)


@login_required
def sheet_change(request: PersonRequest, pk: int) -> HttpResponse:
    """Change a data sheet."""
    sheet = _sheet_to_change(request, pk)
    form = sheet_form(sheet.kind)(sent(request), instance=sheet, user=request.user)
    changed = submit(form, lambda _: operations.save_sheet(sheet, by=request.user))
    if changed:
        messages.success(request, "The data sheet is saved.")
        return redirect("inventory:sheet_detail", pk=pk)
    context = {
        "form": form,
        "heading": f"Change the data sheet {DataSheet.objects.get(pk=pk)}",
        "back": reverse("inventory:sheet_detail", args=[pk]),
    }
    return show(request, "inventory/sheet_form.html", context, form)


@login_required
def sheet_positions(request: PersonRequest, pk: int) -> HttpResponse:
    """Change the positions that every new build of an airframe starts with."""
    sheet = _sheet_to_change(request, pk)
    if not isinstance(sheet, Airframe):
        raise Http404
    rows = [
        model_to_dict(position, TemplatePositionForm.Meta.fields)
        for position in sheet.template.all()
    ]
    formset = TemplateFormSet(sent(request), initial=rows, prefix="position")
    refusal = ""
    if request.method == "POST" and formset.is_valid():
        try:
            operations.save_sheet(sheet, by=request.user, template=template_rows(formset))
        except UserError as error:
            refusal = error.message
        else:
            messages.success(request, "The positions are saved. Builds that exist keep theirs.")
            return redirect("inventory:sheet_detail", pk=pk)
    context = {"formset": formset, "sheet": sheet, "refusal": refusal}
    return show(request, "inventory/sheet_positions.html", context, *formset)


@login_required
@require_POST
def sheet_delete(request: PersonRequest, pk: int) -> HttpResponse:
    """Delete a data sheet of which there is no part."""
    sheet = _sheet_to_change(request, pk)
    try:
        operations.delete_sheet(sheet, by=request.user)
    except Conflict as error:
        messages.error(request, error.message)
        return redirect("inventory:sheet_detail", pk=pk)
    messages.success(request, f"The data sheet {sheet} is deleted.")
    return redirect("inventory:sheet_list")
