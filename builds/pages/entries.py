"""The page on which a missing figure is entered."""

from __future__ import annotations

from django.urls import reverse

from builds.findings import owner_of
from builds.models import Build
from builds.records import BuildSnapshot, PartRecord, PositionRecord

OF_PLACE = ("where it gets its power", "pieces sits")
"""Ends of what a position lacks, though it is told of the part in it."""
IN_LOG = ("log", "rest voltage", "resistance", "capacity left", "its cells", "its capacity, from")
"""Beginnings, after an article, of what a pack's log tells."""
TO_FIT = {
    "the motor screws": "hardware",
    "the lead to the pack": "lead",
    "the gain of the aerial": "antenna",
}
"""Kind of the part that is missing altogether."""


def entry_page(missing: str, snapshot: BuildSnapshot, build: Build, *, may_change: bool) -> str:
    """The page where a missing figure is entered; empty where it is not known."""
    owner = owner_of(missing, snapshot)
    if isinstance(owner, PartRecord):
        return reverse("inventory:part_detail", args=[owner.code])
    if missing.endswith("among your ground gear"):
        return reverse("builds:ground_gear")
    if missing.startswith("what your club allows"):
        return _club_page(build)
    if isinstance(owner, PositionRecord):
        return _of_position(missing, owner, build, may_change=may_change)
    return _of_build(missing, snapshot, build) if may_change else ""


def _club_page(build: Build) -> str:
    if build.club is None:
        return reverse("clubs:club_list")
    return reverse("clubs:club_detail", args=[build.club.slug])


def _of_position(missing: str, owner: PositionRecord, build: Build, *, may_change: bool) -> str:
    part = owner.part
    if part is not None and missing.startswith(f"{owner.title}: "):
        lacks = missing.removeprefix(f"{owner.title}: ").removeprefix("a ").removeprefix("the ")
        if part.kind == "pack" and lacks.startswith(IN_LOG):
            return reverse("inventory:pack_log", args=[part.code])
        if not missing.endswith(OF_PLACE):
            return reverse("inventory:part_detail", args=[part.code])
    if not owner.id or (part is not None and not may_change):
        return ""
    name = "position_detail" if part is None else "position_change"
    return reverse(f"builds:{name}", args=[build.pk, owner.id])


def _of_build(missing: str, snapshot: BuildSnapshot, build: Build) -> str:
    if missing.startswith("this build: ") or missing == "how the packs are joined":
        return reverse("builds:build_change", args=[build.pk])
    if any(missing.startswith(f"{surface.name}: ") for surface in snapshot.surfaces):
        return reverse("builds:controls", args=[build.pk])
    if missing == "which outputs drive the motors":
        return reverse("builds:outputs", args=[build.pk])
    kind = next((kind for words, kind in TO_FIT.items() if missing.startswith(words)), None)
    return _place_for(kind, snapshot, build) if kind else ""


def _place_for(kind: str, snapshot: BuildSnapshot, build: Build) -> str:
    """The empty place for a part of that kind, or where one is added."""
    empty = (one for one in snapshot.positions if one.kind == kind and one.part is None and one.id)
    place = next(empty, None)
    if place is None:
        return reverse("builds:position_add", args=[build.pk])
    return reverse("builds:position_detail", args=[build.pk, place.id])
