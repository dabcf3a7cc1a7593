"""How a page gets the build and the position that its address names."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import Http404
from django.shortcuts import get_object_or_404

from builds.models import Build, Position
from builds.records import PartRecord
from builds.snapshot import Picture
from hangar.errors import NotAllowed
from hangar.requests import PersonRequest


def visible_build(request: PersonRequest, pk: int) -> Build:
    """The build with its owner and `may_change`; 404 when the person may not see it."""
    builds = Build.objects.visible_to(request.user).with_may_change(request.user)
    return get_object_or_404(builds.select_related("person", "club"), pk=pk)


def build_to_change(request: PersonRequest, pk: int) -> Build:
    """The build; 403 when the person may see but not change it."""
    build = visible_build(request, pk)
    if not build.may_change:  # type: ignore[attr-defined]
        raise NotAllowed("This build is not yours to change.")
    return build


def position_of(build: Build, pk: int) -> Position:
    """A position of a build that the person may see."""
    return get_object_or_404(Position.objects.filter(build=build), pk=pk)


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
