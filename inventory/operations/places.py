"""Writes to places."""

from __future__ import annotations

from django.db import models, transaction

from hangar.clubs.models import User
from hangar.errors import Conflict, Missing, UserError
from inventory.models import Place
from inventory.operations.guards import check_owner

PLACE_DEPTH_MAX = 12


def save_place(place: Place, *, by: User) -> Place:
    """Store a new or moved place and the paths of all that is inside it."""
    check_owner(by=by, person=place.person, club=place.club)
    place.clean_fields(exclude=["person", "club", "parent", "path"])
    with transaction.atomic():
        kept = Place.objects.filter(pk=place.pk).first()
        if kept and (kept.person_id, kept.club_id) != (place.person_id, place.club_id):
            raise UserError("A place keeps its owner: make a new one instead.", field="club")
        parent = place.parent
        if parent and (parent.person_id, parent.club_id) != (place.person_id, place.club_id):
            raise UserError("A place lies in a place of the same owner.", field="parent")
        old_path = place.path
        if place._state.adding:
            place.path = ""
            place.save()
        if parent and old_path and parent.path.startswith(old_path):
            raise UserError("A place cannot lie inside itself.", field="parent")
        place.path = f"{parent.path if parent else '/'}{place.pk}/"
        _check_depth(place)
        place.save()
        if old_path and old_path != place.path:
            _move_below(old_path, place)
    return place


def delete_place(place: Place, *, by: User) -> None:
    """Remove a place in which nothing lies."""
    if not Place.objects.editable_by(by).filter(pk=place.pk).exists():
        raise Missing("No such place, or it is not yours to change.")
    try:
        with transaction.atomic():
            place.delete()
    except models.ProtectedError as error:
        raise Conflict("There is something in this place: empty it first.") from error


def _check_depth(place: Place) -> None:
    if place.path.count("/") > PLACE_DEPTH_MAX + 1:
        raise UserError(f"Places go {PLACE_DEPTH_MAX} deep at most.", field="parent")


def _move_below(old_path: str, place: Place) -> None:
    for inner in Place.objects.filter(path__startswith=old_path).exclude(pk=place.pk):
        inner.path = place.path + inner.path.removeprefix(old_path)
        _check_depth(inner)
        inner.save(update_fields=["path"])
