"""A build beside what-ifs of it, from the database, in a constant number of queries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.db.models import Prefetch, Q

from builds.models import Build, Variant, VariantChange
from builds.records import PartRecord
from builds.snapshot import Picture, take_picture
from builds.variants import ArmHole, Change, Option, WhatIf, options_of
from hangar.clubs.models import User
from hangar.errors import Missing
from inventory.models import Part

CHANGES = Prefetch(
    "changes", VariantChange.objects.select_related("position", "surface", "part__sheet")
)


def compare_variants(
    build: Build, *, viewer: User, variants: Sequence[Variant] = (), packs: Sequence[str] = ()
) -> tuple[Option, ...]:
    """The build as it is, with each of the variants, and with each of the packs.

    Parameters
    ----------
    build : loaded with its club.
    viewer : whose packs, and whose clubs' packs, may be looked at.
    variants : loaded with their changes (`CHANGES`).
    packs : label codes.

    Raises
    ------
    Missing
        If there is no such pack, or it is not to be used.
    """
    picture = _picture(build, viewer, variants, packs)
    what_ifs = [what_if(variant, picture.others) for variant in variants]
    by_code = {record.code: record for record in picture.others.values()}
    if not by_code.keys() >= set(packs):
        raise Missing("No such pack, or it is not to be used.")
    others = [WhatIf(f"With {by_code[code].name}", pack=by_code[code]) for code in packs]
    return options_of(picture.snapshot, (*what_ifs, *others))


def what_if(variant: Variant, records: Mapping[int, PartRecord]) -> WhatIf:
    """A variant as a plain record; `records` holds the parts that it names, by id."""
    changes = variant.changes.all()
    return WhatIf(
        title=variant.name,
        changes=tuple(
            Change(
                change.position_id,
                records[change.part_id] if change.part_id else None,
                change.quantity,
            )
            for change in changes
            if change.position_id
        ),
        holes=tuple(
            ArmHole(change.surface_id, change.arm_radius_mm)
            for change in changes
            if change.surface_id
        ),
        pack=records[variant.pack_id] if variant.pack_id else None,
        pack_x_mm=variant.pack_x_mm,
        packs_wiring=variant.packs_wiring,
    )


def _picture(
    build: Build, viewer: User, variants: Sequence[Variant], packs: Sequence[str] = ()
) -> Picture:
    """The build, and the parts of all what-ifs in the same queries."""
    named = {change.part_id for variant in variants for change in variant.changes.all()}
    named |= {variant.pack_id for variant in variants}
    others = Q(pk__in=[pk for pk in named if pk])
    if packs:
        usable = Part.objects.candidates_for(viewer).in_service().filter(kind="pack")
        others |= Q(pk__in=usable.filter(code__in=packs).values("pk"))
    return take_picture(build, viewer=viewer, others=Part.objects.filter(others))
