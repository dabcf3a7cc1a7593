"""Pages of positions: one with what is in it and what would fit, adding and changing."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from builds import operations
from builds.forms import FitForm, PositionForm
from builds.models import Build, Fitting, Position
from builds.pages import cautions
from builds.pages.doors import build_to_change, position_of, visible_position
from builds.pages.rows import candidate_rows, position_facts, rejected_rows
from builds.pages.wording import Reader
from builds.spares import find_spares
from hangar.errors import UserError
from hangar.requests import PersonRequest
from hangar.submissions import show, submit


@login_required
def position_detail(request: PersonRequest, pk: int, position_pk: int) -> HttpResponse:
    """Show a position, what is in it, and the spares that would fit it."""
    position = visible_position(request, pk, position_pk)
    trial_name = position.trial_name  # type: ignore[attr-defined] # annotated
    trial = (request.GET["variant"], trial_name) if trial_name else None
    return _show_position(request, position.build, position, trial=trial)


def _show_position(
    request: PersonRequest,
    build: Build,
    position: Position,
    form: FitForm | None = None,
    trial: tuple[str, str] | None = None,
) -> HttpResponse:
    """The page; `trial` is number and name of the variant in which a spare is tried."""
    search = find_spares(build, position, request.user)
    fitting_id = search.picture.fittings.get(position.pk)
    form = form or FitForm(user=request.user, initial={"instead_of": fitting_id})
    snapshot, reader = search.picture.snapshot, Reader(request.user)
    record = next(one for one in snapshot.positions if one.id == position.pk)
    context = {
        "build": build,
        "position": position,
        "record": record,
        "facts": position_facts(record, snapshot, reader),
        "fitting_id": fitting_id,
        "form": form,
        "trial": trial,
        "candidates": candidate_rows(search.candidates, snapshot, reader),
        "rejected": rejected_rows(search.rejected, snapshot, reader),
        "fallen": search.fallen,
        "fallen_count": sum(one.count for one in search.rejected),
        "has_more": search.has_more,
        "care": (cautions.ESTIMATE, cautions.PROPELLERS),
    }
    return show(request, "builds/position_detail.html", context, form)


@login_required
@require_POST
def position_fit(request: PersonRequest, pk: int, position_pk: int) -> HttpResponse:
    """Fit a part; what is in the position comes out in the same step."""
    build = build_to_change(request, pk)
    position = position_of(build, position_pk)
    form = FitForm(request.POST, user=request.user)
    fitting = submit(form, lambda given: _fit(request, position, given))
    if fitting is None:
        return _show_position(request, build, position, form)
    messages.success(request, f"Fitted {fitting.part} as {position.name}.")
    return redirect("builds:build_detail", pk=build.pk)


def _fit(request: PersonRequest, position: Position, given: dict[str, Any]) -> Fitting:
    part, quantity, replaced = given["part"], given["quantity"], given["instead_of"]
    if replaced is None:
        return operations.fit_part(position, part, by=request.user, quantity=quantity)
    # What comes out is what the person saw, not what somebody else may have put there since.
    fitting = Fitting.objects.filter(position=position, pk=replaced).first()
    if fitting is None:
        raise UserError("That part was never in this position.")
    return operations.swap_part(fitting, part, by=request.user, quantity=quantity)


@login_required
@require_POST
def position_clear(request: PersonRequest, pk: int, position_pk: int) -> HttpResponse:
    """Take the part out of a position."""
    build = build_to_change(request, pk)
    fittings = Fitting.objects.open().filter(build=build, position=position_pk)
    fitting = get_object_or_404(fittings.select_related("part__sheet", "build", "position"))
    try:
        operations.remove_part(fitting, by=request.user)
    except UserError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"Took {fitting.part} out.")
    return redirect("builds:position_detail", pk=build.pk, position_pk=position_pk)


@login_required
def position_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Add a position to a build."""
    build = build_to_change(request, pk)
    form = PositionForm(request.POST or None, build=build)
    if request.method == "POST":
        added = submit(form, lambda given: operations.add_position(build, by=request.user, **given))
        if added:
            messages.success(request, f"Added the position {added.name}.")
            return redirect("builds:build_detail", pk=build.pk)
    context = {
        "build": build,
        "form": form,
        "heading": "New position",
        "button": "Add it",
        "back": reverse("builds:build_detail", args=[build.pk]),
    }
    return show(request, "builds/position_form.html", context, form)


@login_required
def position_change(request: PersonRequest, pk: int, position_pk: int) -> HttpResponse:
    """Change a position."""
    build = build_to_change(request, pk)
    position = position_of(build, position_pk)
    form = PositionForm(request.POST or None, instance=position, build=build)
    if request.method == "POST":
        changed = submit(
            form, lambda given: operations.change_position(position, by=request.user, **given)
        )
        if changed:
            messages.success(request, "Saved.")
            return redirect("builds:position_detail", pk=build.pk, position_pk=position.pk)
    context = {
        "build": build,
        "position": position,
        "form": form,
        "heading": f"Change {position.name}",
        "button": "Save",
        "back": reverse("builds:position_detail", args=[build.pk, position.pk]),
    }
    return show(request, "builds/position_form.html", context, form)


@login_required
@require_POST
def position_remove(request: PersonRequest, pk: int, position_pk: int) -> HttpResponse:
    """Remove a position that never held a part."""
    build = build_to_change(request, pk)
    position = position_of(build, position_pk)
    try:
        operations.remove_position(position, by=request.user)
    except UserError as error:
        messages.error(request, error.message)
        return redirect("builds:position_detail", pk=build.pk, position_pk=position_pk)
    messages.success(request, f"Removed the position {position.name}.")
    return redirect("builds:build_detail", pk=build.pk)
