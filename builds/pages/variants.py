"""Pages of what-ifs: the list, one and its changes, side by side, and applying one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from builds.comparisons import CHANGES, compare_variants
from builds.forms.variants import (
    BESIDE_MOST,
    HoleChangeForm,
    PositionChangeForm,
    TryForm,
    VariantForm,
)
from builds.models import Build, ControlSurface, Position, Variant
from builds.operations import applying
from builds.operations import variants as operations
from builds.pages import cautions
from builds.pages.doors import build_to_change, position_of, visible_build
from builds.pages.throw_rows import surface_lines, throw_origins
from builds.pages.variant_rows import (
    change_words,
    columns_of,
    heading_of,
    lines_of,
    set_up_words,
)
from builds.pages.wording import Reader
from builds.variant_throws import throws_of
from hangar.errors import Missing, UserError
from hangar.requests import PersonRequest
from hangar.submissions import sent, show, submit
from inventory.models import Part


@login_required
def variant_list(request: PersonRequest, pk: int) -> HttpResponse:
    """List the what-ifs of a build, and offer to set them side by side."""
    build = visible_build(request, pk)
    reader = Reader(request.user)
    context = {
        "build": build,
        "rows": [(variant, _words(variant, reader)) for variant in _variants(build)],
        "packs": _packs(request)[: BESIDE_MOST * 10],
        "most": BESIDE_MOST,
    }
    return show(request, "builds/variant_list.html", context)


@login_required
def variant_compare(request: PersonRequest, pk: int) -> HttpResponse:
    """Show the build as it is beside up to three what-ifs or packs."""
    variants = _chosen_variants(request, pk)
    # The variants bring their build along, in the same query.
    build = variants[0].build if variants else visible_build(request, pk)
    packs = list(dict.fromkeys(code for code in request.GET.getlist("pack") if code))
    is_cut = len(variants) + len(packs) > BESIDE_MOST
    variants = variants[:BESIDE_MOST]
    packs = packs[: BESIDE_MOST - len(variants)]
    try:
        options = compare_variants(build, viewer=request.user, variants=variants, packs=packs)
    except Missing as error:
        raise Http404(error.message) from error
    throws = throws_of(options)
    reader = Reader(request.user)
    context = {
        "build": build,
        "heading": heading_of(build, variants),
        "variants": [(variant, _words(variant, reader)) for variant in variants],
        "lines": lines_of(options, reader),
        "surfaces": surface_lines(throws, reader),
        "columns": [
            (column, throw_origins(throws, place, reader))
            for place, column in enumerate(columns_of(options, reader))
        ],
        "is_cut": is_cut,
        "most": BESIDE_MOST,
        "care": (cautions.ESTIMATE, cautions.PROPELLERS),
    }
    return show(request, "builds/variant_compare.html", context)


@login_required
def variant_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Make a what-if."""
    build = build_to_change(request, pk)
    form = VariantForm(sent(request), user=request.user)
    if request.method == "POST":
        made = submit(
            form, lambda given: operations.create_variant(build, by=request.user, **given)
        )
        if made:
            messages.success(request, f"{made} is made. Nothing of the build has changed.")
            return redirect("builds:variant_detail", pk=build.pk, variant_pk=made.pk)
    return _form_page(request, build, form, "New variant", "Make it")


@login_required
def variant_detail(request: PersonRequest, pk: int, variant_pk: int) -> HttpResponse:
    """Show what a what-if changes, and offer every position and surface to be changed."""
    build = visible_build(request, pk)
    variant = _variant_of(build, variant_pk)
    reader = Reader(request.user)
    changes = list(variant.changes.all())
    context = {
        "build": build,
        "variant": variant,
        "set_up": set_up_words(variant, reader),
        "changes": [(change, change_words(change, reader)) for change in changes],
        "positions": Position.objects.filter(build=build),
        "surfaces": ControlSurface.objects.filter(build=build),
        "care": (cautions.ESTIMATE, cautions.PROPELLERS),
    }
    return show(request, "builds/variant_detail.html", context)


@login_required
def variant_change(request: PersonRequest, pk: int, variant_pk: int) -> HttpResponse:
    """Change name, pack and notes of a what-if."""
    build = build_to_change(request, pk)
    variant = _variant_of(build, variant_pk)
    form = VariantForm(sent(request), instance=variant, user=request.user)
    if request.method == "POST":
        changed = submit(
            form,
            lambda _: operations.change_variant(variant, by=request.user, **form.changes()),
        )
        if changed:
            messages.success(request, "Saved.")
            return redirect("builds:variant_detail", pk=build.pk, variant_pk=variant.pk)
    return _form_page(request, build, form, f"Change {variant}", "Save", variant)


@login_required
def variant_position(
    request: PersonRequest, pk: int, variant_pk: int, position_pk: int
) -> HttpResponse:
    """Choose another part, or none, for a position of a what-if."""
    build = build_to_change(request, pk)
    variant = _variant_of(build, variant_pk)
    position = position_of(build, position_pk)
    form = PositionChangeForm(sent(request), position=position, user=request.user)
    return _change_page(request, variant, form, position.name, position=position)


@login_required
def variant_surface(
    request: PersonRequest, pk: int, variant_pk: int, surface_pk: int
) -> HttpResponse:
    """Choose another arm hole for a surface of a what-if."""
    build = build_to_change(request, pk)
    variant = _variant_of(build, variant_pk)
    surface = get_object_or_404(ControlSurface, build=build, pk=surface_pk)
    change = variant.changes.filter(surface=surface).first()
    form = HoleChangeForm(sent(request), surface=surface, change=change)
    return _change_page(request, variant, form, surface.name, surface=surface)


def _change_page(
    request: PersonRequest, variant: Variant, form: Any, name: str, **thing: Any
) -> HttpResponse:
    build = variant.build
    if request.method == "POST":
        done = submit(
            form,
            lambda given: operations.put_change(variant, by=request.user, **thing, **given),
        )
        if done:
            messages.success(request, f"{name}: noted in {variant}. Nothing has moved.")
            return redirect("builds:variant_detail", pk=build.pk, variant_pk=variant.pk)
    spares_of = thing.get("position")
    return _form_page(
        request, build, form, f"{name} in {variant}", "Note it", variant, spares_of=spares_of
    )


@login_required
@require_POST
def variant_drop(request: PersonRequest, pk: int, variant_pk: int, change_pk: int) -> HttpResponse:
    """Leave a position or a surface as it is after all."""
    build = build_to_change(request, pk)
    variant = _variant_of(build, variant_pk)
    change = get_object_or_404(variant.changes.all(), pk=change_pk)
    operations.drop_change(change, by=request.user)
    messages.success(request, "It stays as it is.")
    return redirect("builds:variant_detail", pk=build.pk, variant_pk=variant.pk)


@login_required
@require_POST
def variant_apply(request: PersonRequest, pk: int, variant_pk: int) -> HttpResponse:
    """Make the build what the what-if says, or say why not."""
    build = build_to_change(request, pk)
    variant = _variant_of(build, variant_pk)
    try:
        applying.apply_variant(variant, by=request.user)
    except UserError as error:
        messages.error(request, f"Nothing was changed. {error.message}")
        return redirect("builds:variant_detail", pk=build.pk, variant_pk=variant.pk)
    messages.success(request, f"{variant} is applied. Check the build before it flies.")
    return redirect("builds:variant_detail", pk=build.pk, variant_pk=variant.pk)


@login_required
@require_POST
def variant_undo(request: PersonRequest, pk: int, variant_pk: int) -> HttpResponse:
    """Put the build back as it was before the what-if was applied, or say why not."""
    build = build_to_change(request, pk)
    variant = _variant_of(build, variant_pk)
    try:
        applying.undo_variant(variant, by=request.user)
    except UserError as error:
        messages.error(request, f"Nothing was changed. {error.message}")
    else:
        messages.success(request, f"{variant} is taken back: the build is as it was before.")
    return redirect("builds:variant_detail", pk=build.pk, variant_pk=variant.pk)


@login_required
@require_POST
def variant_try(request: PersonRequest, pk: int) -> HttpResponse:
    """Note a part, for a position or as the pack to fly with, in a what-if."""
    build = build_to_change(request, pk)
    form = TryForm(request.POST, build=build, user=request.user)
    variant = submit(form, lambda given: operations.try_part(build, by=request.user, **given))
    if variant is None:
        return _form_page(request, build, form, "Try it in a variant", "Note it")
    messages.success(request, f"Noted in {variant}. Nothing has moved.")
    return redirect("builds:variant_detail", pk=build.pk, variant_pk=variant.pk)


@login_required
@require_POST
def variant_delete(request: PersonRequest, pk: int, variant_pk: int) -> HttpResponse:
    """Forget a what-if."""
    build = build_to_change(request, pk)
    variant = _variant_of(build, variant_pk)
    operations.delete_variant(variant, by=request.user)
    messages.success(request, f"{variant} is forgotten. The build stays as it is.")
    return redirect("builds:variant_list", pk=build.pk)


def _form_page(
    request: PersonRequest,
    build: Build,
    form: Any,
    heading: str,
    button: str,
    variant: Variant | None = None,
    **more: Any,
) -> HttpResponse:
    back = reverse("builds:variant_list", args=[build.pk])
    if variant:
        back = reverse("builds:variant_detail", args=[build.pk, variant.pk])
    context = {
        "build": build,
        "variant": variant,
        "form": form,
        "heading": heading,
        "button": button,
        "back": back,
        **more,
    }
    return show(request, "builds/variant_form.html", context, form)


def _variants(build: Build) -> Any:
    variants = Variant.objects.filter(build=build).select_related("pack__sheet", "applied_by")
    return variants.prefetch_related(CHANGES)


def _variant_of(build: Build, pk: int) -> Variant:
    found: Variant = get_object_or_404(_variants(build), pk=pk)
    found.build = build
    return found


def _words(variant: Variant, reader: Reader) -> tuple[str, ...]:
    changes = variant.changes.all()
    return (
        *set_up_words(variant, reader),
        *(change_words(change, reader) for change in changes),
    )


def _packs(request: PersonRequest) -> Any:
    packs = Part.objects.candidates_for(request.user).in_service().filter(kind="pack")
    return packs.select_related("sheet").order_by("pk")


def _chosen_variants(request: PersonRequest, build_pk: int) -> list[Variant]:
    """The variants of a build that the person may see, in the order they were asked for."""
    wanted = [text for text in request.GET.getlist("variant") if text]
    if not wanted:
        return []
    if not all(text.isascii() and text.isdigit() and len(text) <= 18 for text in wanted):
        raise Http404("A variant is named by its number.")
    ids = list(dict.fromkeys(int(text) for text in wanted))
    seen = Variant.objects.visible_to(request.user).filter(build=build_pk, pk__in=ids)
    loaded = seen.select_related("build__club", "pack__sheet").prefetch_related(CHANGES)
    found = {variant.pk: variant for variant in loaded}
    if len(found) < len(ids):
        raise Http404("No such variant of this build.")
    return [found[pk] for pk in ids]
