"""Put a chosen kit aside or into its build: all parts in one transaction, or none."""

from __future__ import annotations

from collections.abc import Mapping

from builds.models import Build, Position
from builds.operations import check_fit, lock_build, put_in, revise
from builds.operations.races import one_wins
from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.models import Part
from inventory.operations import claim_part


def claim_kit(build: Build, kit: Mapping[int, int], *, by: User) -> int:
    """Claim for the build all parts of a kit that are not the person's to fit; gives how many.

    `kit` holds ids of parts by id of position.

    Raises
    ------
    Conflict
        If a part has gone meanwhile; the message names it. Nothing is claimed then.
    """
    with one_wins():
        lock_build(build, by=by)
        _, parts = _things(build, kit, by=by)
        mine = set(Part.objects.fittable_by(by).filter(pk__in=parts).values_list("pk", flat=True))
        wanted = [part for pk, part in parts.items() if pk not in mine]
        if not wanted:
            raise Conflict("Every part of this kit is yours to fit: there is nothing to claim.")
        for part in wanted:
            try:
                claim_part(part, by=by, purpose=build.name[:120])
            except UserError as error:
                raise Conflict(f"{part}: {error.message}") from error
    return len(wanted)


def fit_kit(build: Build, kit: Mapping[int, int], *, by: User) -> int:
    """Fit all parts of a kit that are the person's to fit, as one revision; gives how many.

    `kit` holds ids of parts by id of position.

    Raises
    ------
    Conflict
        If a part or a position has gone meanwhile; the message names it. Nothing is fitted then.
    """
    with one_wins():
        locked = lock_build(build, by=by)
        positions, parts = _things(build, kit, by=by)
        mine = set(Part.objects.fittable_by(by).filter(pk__in=parts).values_list("pk", flat=True))
        wanted = [(positions[place], parts[pk]) for place, pk in kit.items() if pk in mine]
        if not wanted:
            raise Conflict("No part of this kit is yours to fit: claim or borrow them first.")
        words = "; ".join(f"{position.name}: {part}" for position, part in wanted)
        revision = revise(locked, by=by, text=f"Fitted a kit. {words}."[:300])
        for position, part in wanted:
            try:
                check_fit(position, part, by=by, quantity=1)
            except UserError as error:
                raise Conflict(f"{position.name}, {part}: {error.message}") from error
            put_in(position, part, by=by, quantity=1, revision=revision)
    return len(wanted)


def _things(
    build: Build, kit: Mapping[int, int], *, by: User
) -> tuple[dict[int, Position], dict[int, Part]]:
    """Positions and locked parts by id, the parts in the order of their ids against a ring."""
    positions = {one.pk: one for one in Position.objects.filter(build=build, pk__in=kit)}
    seen = Part.objects.visible_to(by).filter(pk__in=set(kit.values())).values("pk")
    locked = Part.objects.select_for_update(of=("self",)).select_related("sheet")
    parts = {one.pk: one for one in locked.filter(pk__in=seen).order_by("pk")}
    if len(positions) < len(kit) or len(parts) < len(set(kit.values())):
        raise Conflict("A part or a position of this kit is no longer there: look for it again.")
    return positions, parts
