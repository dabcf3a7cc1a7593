"""What the tests of what-ifs share: parts in positions, and all that a what-if may touch."""

import dataclasses

from builds.comparisons import CHANGES, compare_variants
from builds.models import Build, Fitting, Revision, Variant
from builds.operations import change_build, fit_part
from builds.operations.variants import create_variant
from builds.snapshot import take_snapshot
from inventory.models import Part, PartEvent
from tests.factories import BuildFactory, part_of


def small_wing(user):
    """A wing with a motor and a usual pack."""
    build = BuildFactory(person=user)
    fit_part(build.positions.get(key="motor"), part_of("motor", user, mass_g=30.0), by=user)
    pack = part_of("pack", user, mass_g=155.0)
    change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    return Build.objects.select_related("club").get(pk=build.pk)


def at(build, key):
    return build.positions.get(key=key)


def fitted(build, key):
    fitting = at(build, key).fittings.open().first()
    return fitting and fitting.part


# What a build flies with as recorded differs from what is tried, whatever is compared.
AS_RECORDED = {"usual_cell_count": None, "usual_drive": ()}


def frozen(build):
    fresh = Build.objects.select_related("club").get(pk=build.pk)
    return dataclasses.replace(take_snapshot(fresh), revision=0, changed_in={}, **AS_RECORDED)


def as_compared(build, variant, user):
    variants = list(Variant.objects.filter(pk=variant.pk).prefetch_related(CHANGES))
    _, option = compare_variants(build, viewer=user, variants=variants)
    return dataclasses.replace(option.snapshot, revision=0, changed_in={}, ground={}, **AS_RECORDED)


def state(build):
    """All that applying may touch."""
    return (
        list(Fitting.objects.order_by("pk").values()),
        list(Part.objects.order_by("pk").values()),
        list(Revision.objects.order_by("pk").values()),
        list(PartEvent.objects.order_by("pk").values()),
        list(Build.objects.filter(pk=build.pk).values()),
    )


def with_motor(build, user, motor=None, **values):
    motor = motor or part_of("motor", user, mass_g=50.0)
    changes = [{"position": at(build, "motor"), "part": motor}]
    return create_variant(build, by=user, name="other motor", changes=changes, **values)
