"""A build beside what-ifs of it, from the database, in a constant number of queries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.db.models import Prefetch

from builds.models import Build, Variant, VariantChange
from builds.records import PartRecord
from builds.reports import Report
from builds.snapshot import Picture, take_picture
from builds.variants import ArmHole, Change, Option, WhatIf, look_at, options_of, vary
from hangar.clubs.models import User
from inventory.models import Part

CHANGES = Prefetch(
    "changes", VariantChange.objects.select_related("position", "surface", "part__sheet")
)


def compare_variants(
    build: Build, *, viewer: User, variants: Sequence[Variant] = (), packs: Sequence[Part] = ()
) -> tuple[Option, ...]:
    """The build as it is, with each of the variants, and with each of the packs.

    `build` is loaded with its club, `variants` with their changes (`CHANGES`).
    """
    picture = _picture(build, viewer, variants, packs)
    what_ifs = [what_if(variant, picture.others) for variant in variants]
    others = [
        WhatIf(f"With {picture.others[pack.pk].name}", pack=picture.others[pack.pk])
        for pack in packs
    ]
    return options_of(picture.snapshot, (*what_ifs, *others))


def report_on_variant(variant: Variant, *, viewer: User) -> Report:
    """The build as the variant would make it: figures and findings."""
    picture = _picture(variant.build, viewer, [variant], ())
    varied = vary(picture.snapshot, what_if(variant, picture.others))
    option = look_at(variant.name, varied)
    return Report(option.snapshot, option.figures, option.judgement)


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
    build: Build, viewer: User, variants: Sequence[Variant], packs: Sequence[Part]
) -> Picture:
    """The build, and the parts of all what-ifs in the same queries."""
    named = {change.part_id for variant in variants for change in variant.changes.all()}
    named |= {variant.pack_id for variant in variants} | {pack.pk for pack in packs}
    return take_picture(build, viewer=viewer, others=[pk for pk in named if pk])
