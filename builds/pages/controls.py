"""Pages of the control set-up: all surfaces, adding and changing one, a throw measured."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from builds.controls import set_ups_of
from builds.figures import figures_of
from builds.figures.surfaces import surface_figures
from builds.forms.controls import SurfaceForm, ThrowForm
from builds.models import Build, ControlSurface
from builds.operations import controls as operations
from builds.pages import cautions
from builds.pages.control_rows import name_of_like, surface_row
from builds.pages.doors import build_to_change, visible_build
from builds.pages.wording import Reader
from builds.snapshot import take_snapshot
from hangar.errors import UserError
from hangar.requests import PersonRequest
from hangar.submissions import sent, show, submit


@login_required
def controls(request: PersonRequest, pk: int) -> HttpResponse:
    """Show each surface: holes, travel, torque, both sticks together, and what was measured."""
    build = visible_build(request, pk)
    snapshot = take_snapshot(build)
    whole, reader = figures_of(snapshot), Reader(request.user)
    mixings = dict(ControlSurface.Mixing.choices)
    set_ups = set_ups_of(snapshot)
    rows = [
        surface_row(
            found,
            surface_figures(snapshot, found.surface, whole),
            snapshot,
            reader,
            mixing=mixings[found.surface.mixing],
            like=name_of_like(found, set_ups[:place]),
        )
        for place, found in enumerate(set_ups)
    ]
    context = {
        "build": build,
        "rows": rows,
        "care": (cautions.ESTIMATE, cautions.CONTROLS, cautions.PROPELLERS),
    }
    return show(request, "builds/controls.html", context)


@login_required
def surface_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Add a control surface."""
    build = build_to_change(request, pk)
    form = SurfaceForm(sent(request), build=build)
    if request.method == "POST":
        added = submit(form, lambda given: operations.add_surface(build, by=request.user, **given))
        if added:
            messages.success(request, f"Added {added.name}.")
            return redirect("builds:controls", pk=build.pk)
    return _show_form(request, build, form, "New control surface", "Add it")


@login_required
def surface_change(request: PersonRequest, pk: int, surface_pk: int) -> HttpResponse:
    """Change a control surface."""
    build = build_to_change(request, pk)
    surface = _surface_of(build, surface_pk)
    form = SurfaceForm(sent(request), instance=surface, build=build)
    if request.method == "POST":
        changed = submit(
            form,
            lambda _: operations.change_surface(surface, by=request.user, **form.changes()),
        )
        if changed:
            messages.success(request, "Saved.")
            return redirect("builds:controls", pk=build.pk)
    return _show_form(request, build, form, f"Change {surface.name}", "Save", surface=surface)


@login_required
@require_POST
def surface_remove(request: PersonRequest, pk: int, surface_pk: int) -> HttpResponse:
    """Remove a control surface on which nothing was measured."""
    build = build_to_change(request, pk)
    surface = _surface_of(build, surface_pk)
    try:
        operations.remove_surface(surface, by=request.user)
    except UserError as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"Removed {surface.name}.")
    return redirect("builds:controls", pk=build.pk)


@login_required
def throw_add(request: PersonRequest, pk: int, surface_pk: int) -> HttpResponse:
    """Record a throw that was measured."""
    build = build_to_change(request, pk)
    surface = _surface_of(build, surface_pk)
    form = ThrowForm(sent(request), surface=surface)
    if request.method == "POST":
        added = submit(
            form, lambda given: operations.record_throw(surface, by=request.user, **given)
        )
        if added:
            messages.success(request, "Recorded.")
            return redirect("builds:controls", pk=build.pk)
    return _show_form(request, build, form, f"Throw of {surface.name}", "Record it")


def _surface_of(build: Build, pk: int) -> ControlSurface:
    surfaces = ControlSurface.objects.filter(build=build).select_related("build")
    return get_object_or_404(surfaces, pk=pk)


def _show_form(
    request: PersonRequest, build: Build, form: Any, heading: str, button: str, **more: Any
) -> HttpResponse:
    context = {
        "build": build,
        "form": form,
        "heading": heading,
        "button": button,
        "back": reverse("builds:controls", args=[build.pk]),
        **more,
    }
    return show(request, "builds/control_form.html", context, form)
