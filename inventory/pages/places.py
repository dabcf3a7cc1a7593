"""Pages of places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from hangar.errors import Conflict
from hangar.requests import PersonRequest
from hangar.submissions import sent, show, submit
from inventory import operations
from inventory.forms.places import PlaceForm
from inventory.models import Place


@login_required
def place_list(request: PersonRequest) -> HttpResponse:
    """Show the tree of places, and add one."""
    form = PlaceForm(sent(request), user=request.user)
    added = submit(form, lambda _: operations.save_place(form.place(), by=request.user))
    if added:
        messages.success(request, f"Added {added}.")
        return redirect("inventory:place_list")
    context = {"form": form, "tree": list(_tree(request)), "editable": _editable(request)}
    return show(request, "inventory/place_list.html", context, form)


def _editable(request: PersonRequest) -> set[int]:
    return set(Place.objects.editable_by(request.user).values_list("pk", flat=True))


def _tree(request: PersonRequest) -> Iterator[str | Place]:
    """Places in the order of a nested list, with "in" and "out" where a level begins and ends."""
    below: dict[int | None, list[Place]] = defaultdict(list)
    lying = Count("parts", filter=~Q(parts__condition="retired"))
    places = Place.objects.visible_to(request.user).select_related("person", "club")
    for place in places.annotate(part_count=lying).order_by("club__name", "name", "pk"):
        below[place.parent_id].append(place)
    yield from _level(below, None)


def _level(below: dict[int | None, list[Place]], parent: int | None) -> Iterator[str | Place]:
    if parent not in below:
        return
    yield "in"
    for place in below[parent]:
        yield place
        yield from _level(below, place.pk)
        yield "end"
    yield "out"


@login_required
def place_change(request: PersonRequest, pk: int) -> HttpResponse:
    """Rename a place or move it, with all that is inside it."""
    place = get_object_or_404(
        Place.objects.editable_by(request.user).select_related("person", "club", "parent"), pk=pk
    )
    name = place.name
    form = PlaceForm(sent(request), instance=place, user=request.user)
    changed = submit(form, lambda _: operations.save_place(form.place(), by=request.user))
    if changed:
        messages.success(request, "Saved.")
        return redirect("inventory:place_list")
    context = {
        "form": form,
        "place": place,
        "heading": f"Change the place {name}",
        "back": reverse("inventory:place_list"),
    }
    return show(request, "inventory/place_change.html", context, form)


@login_required
@require_POST
def place_delete(request: PersonRequest, pk: int) -> HttpResponse:
    """Remove a place in which nothing lies."""
    place = get_object_or_404(Place.objects.editable_by(request.user), pk=pk)
    try:
        operations.delete_place(place, by=request.user)
    except Conflict as error:
        messages.error(request, error.message)
        return redirect("inventory:place_change", pk=pk)
    messages.success(request, f"{place.name} is removed.")
    return redirect("inventory:place_list")
