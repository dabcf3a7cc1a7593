"""How a page gets the build and the position that its address names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.db.models import Exists, OuterRef, Subquery
from django.http import Http404
from django.shortcuts import get_object_or_404

from builds.models import Build, Position, Variant
from builds.records import PartRecord
from builds.snapshot import Picture
from hangar.errors import NotAllowed
from hangar.requests import PersonRequest
from inventory.models import Part


def visible_build(request: PersonRequest, pk: int) -> Build:
    """The build with its owner, `may_change` and `has_answers`; 404 when it may not be seen."""
    builds = Build.objects.visible_to(request.user).with_may_change(request.user)
    return get_object_or_404(builds.with_has_answers().select_related("person", "club"), pk=pk)


def build_to_change(request: PersonRequest, pk: int) -> Build:
    """The build; 403 when the person may see but not change it."""
    build = visible_build(request, pk)
    if not build.may_change:  # type: ignore[attr-defined]
        raise NotAllowed("This build is not yours to change.")
    return build


def position_of(build: Build, pk: int) -> Position:
    """A position of a build that the person may see."""
    return get_object_or_404(Position.objects.filter(build=build), pk=pk)


def visible_position(request: PersonRequest, pk: int, position_pk: int) -> Position:
    """A position with its build, owner and `may_change`, all in one query; 404 when hidden.

    `trial_name` is the name of the build's variant that the address asks for, None without one.
    """
    text = request.GET.get("variant", "")
    asked = int(text) if text.isascii() and text.isdigit() and len(text) <= 18 else 0
    trial = Variant.objects.filter(build=OuterRef("build"), pk=asked)
    mine = Build.objects.editable_by(request.user).filter(pk=OuterRef("build"))
    positions = Position.objects.visible_to(request.user).filter(build=pk)
    found: Position = get_object_or_404(
        positions.select_related("build__person", "build__club").annotate(
            may_change=Exists(mine), trial_name=Subquery(trial.values("name")[:1])
        ),
        pk=position_pk,
    )
    found.build.may_change = found.may_change  # type: ignore[attr-defined]
    return found


def packs_on_hand(picture: Picture) -> dict[str, PartRecord]:
    """Packs by label code: those that are free, and the build's own."""
    own = picture.snapshot.pack
    free = {record.code: record for record in picture.others.values()}
    return {own.code: own} | free if own else free


def chosen_pack(on_hand: Mapping[str, PartRecord], code: str) -> PartRecord | None:
    """The pack that a page was asked for, None for the usual one; 404 for one not on hand."""
    if not code:
        return None
    if code not in on_hand:
        raise Http404("No such pack, or it is not free.")
    return on_hand[code]


def pack_of(packs: Iterable[Part], code: str) -> Part | None:
    """The pack of that label code; None for the usual one, 404 for one not in reach."""
    if not code:
        return None
    found = next((part for part in packs if part.code == code), None)
    if found is None:
        raise Http404("No such pack, or it is not free.")
    return found
