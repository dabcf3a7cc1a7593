"""How a page gets the build and the position that its address names."""

from __future__ import annotations

from django.shortcuts import get_object_or_404

from builds.models import Build, Position
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
