"""Writes to variants: make, change and delete what-ifs, and try a part in one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction

from builds.models import Build, Fitting, Position, Variant, VariantChange
from builds.operations import POSITIONS_MAX, lock_build
from hangar.clubs.models import User
from hangar.errors import Missing, UserError
from inventory.models import Part

VARIANTS_MAX = 50
NAME_MOST = Variant._meta.get_field("name").max_length or 60
Given = Mapping[str, Any]
"""One change as given: position, part and quantity, or surface and arm_radius_mm."""


def create_variant(
    build: Build, *, by: User, changes: Iterable[Given] = (), **values: Any
) -> Variant:
    """Make a what-if for a build; nothing of the build changes."""
    with transaction.atomic():
        locked = lock_build(build, by=by)
        if locked.variants.count() >= VARIANTS_MAX:
            raise UserError(f"A build has {VARIANTS_MAX} variants at most.")
        variant = Variant(build=locked, by=by, **values)
        _save(variant, by=by)
        _replace_changes(variant, list(changes), by=by)
    return variant


def change_variant(
    variant: Variant, *, by: User, changes: Iterable[Given] | None = None, **values: Any
) -> Variant:
    """Change a what-if; `changes` take the place of all those it had."""
    with transaction.atomic():
        current = lock_variant(variant, by=by)
        for name, value in values.items():
            setattr(current, name, value)
        _save(current, by=by)
        if changes is not None:
            _replace_changes(current, list(changes), by=by)
    return current


def put_change(variant: Variant, *, by: User, **given: Any) -> VariantChange:
    """Put one change into a what-if, in place of what it said of that position or surface."""
    with transaction.atomic():
        current = lock_variant(variant, by=by)
        same = {name: given[name] for name in ("position", "surface") if given.get(name)}
        if not same:
            raise UserError("Say which position or surface it changes.")
        current.changes.filter(**same).delete()
        return _add_changes(current, [given], by=by)[0]


def drop_change(change: VariantChange, *, by: User) -> None:
    """Leave a position or a surface as it is after all."""
    with transaction.atomic():
        lock_variant(change.variant, by=by)
        change.delete()


def delete_variant(variant: Variant, *, by: User) -> None:
    """Forget a what-if; the build stays as it is."""
    with transaction.atomic():
        lock_variant(variant, by=by).delete()


def try_part(
    build: Build,
    part: Part,
    *,
    by: User,
    position: Position | None = None,
    quantity: int = 1,
    variant: Variant | None = None,
) -> Variant:
    """Note a part for a position, or without one a pack to fly with, in a what-if.

    Without a `variant` it is noted in one of its own, named after the part; asked again, in the
    same one.
    """
    with transaction.atomic():
        locked = lock_build(build, by=by)
        name = _name_of_trial(part, position)
        found = variant or locked.variants.filter(name=name).first()
        found = found or create_variant(locked, by=by, name=name)
        if position is None:
            return change_variant(found, by=by, pack=part)
        put_change(found, by=by, position=position, part=part, quantity=quantity)
    return found


def _name_of_trial(part: Part, position: Position | None) -> str:
    start = f"{position.name}: {part.display_name}" if position else f"With {part.display_name}"
    return f"{start[: NAME_MOST - len(part.code) - 1].rstrip()} {part.code}"


def lock_variant(variant: Variant, *, by: User) -> Variant:
    """The what-if and its build, held against others until the transaction ends."""
    build = lock_build(variant.build, by=by)
    current = Variant.objects.filter(pk=variant.pk).select_related("pack").first()
    if current is None:
        raise Missing("There is no such variant any more.")
    current.build = build
    return current


def _save(variant: Variant, *, by: User) -> None:
    if variant.pack is not None:
        _check_seen(variant.pack, "pack", "pack", by=by)
    variant.full_clean(exclude=["by", "pack", "applied_by"])
    variant.save()


def _check_seen(part: Part, kind: str, field: str, *, by: User) -> None:
    if not Part.objects.visible_to(by).filter(pk=part.pk).exists():
        raise UserError("No such part.", field=field)
    if part.kind != kind:
        raise UserError(f"This is a {part.get_kind_display()}.", field=field)


def _replace_changes(variant: Variant, given: list[Given], *, by: User) -> None:
    variant.changes.all().delete()
    _add_changes(variant, given, by=by)


def _add_changes(variant: Variant, given: list[Given], *, by: User) -> list[VariantChange]:
    if variant.changes.count() + len(given) > POSITIONS_MAX:
        raise UserError(f"A variant has {POSITIONS_MAX} changes at most.")
    things = [one.get("position") or one.get("surface") for one in given]
    if len(set(things)) < len(things):
        raise UserError("A variant changes a position or a surface once.", field="changes")
    made = [_add_change(variant, one, by=by) for one in given]
    _refuse_twice(variant)
    return made


def _add_change(variant: Variant, given: Given, *, by: User) -> VariantChange:
    change = VariantChange(variant=variant, **given)
    thing = change.position or change.surface
    if thing is None or (change.position and change.surface):
        raise UserError("A change is of a position or of a surface.", field="changes")
    if thing.build_id != variant.build_id:
        raise UserError(f"{thing.name} is not one of this build.", field="changes")
    if change.position and change.part:
        _check_seen(change.part, change.position.kind, "part", by=by)
    if not 1 <= change.quantity <= 100_000:
        raise UserError("A quantity is a whole number from 1.", field="quantity")
    if change.quantity > 1 and change.part and not change.part.is_bag:
        raise UserError("More than one piece comes only from a bag.", field="quantity")
    if change.surface and (change.part or change.arm_radius_mm is None):
        raise UserError("A surface is changed by its arm's hole.", field="arm_radius_mm")
    change.full_clean(exclude=["variant", "part"])
    change.save()
    return change


def _refuse_twice(variant: Variant) -> None:
    """A part that is no bag can be in one position only."""
    changes = list(variant.changes.filter(part__isnull=False).select_related("part"))
    whole = [change.part_id for change in changes if change.part and not change.part.is_bag]
    twice = next((one for one in whole if whole.count(one) > 1), None)
    changed = variant.changes.filter(position__isnull=False).values("position")
    elsewhere = Fitting.objects.open().filter(build=variant.build_id, part__in=whole)
    stays = elsewhere.exclude(position__in=changed).select_related("position").first()
    if twice is not None:
        raise UserError("One part cannot be in two positions.", field="part")
    if stays is not None:
        raise UserError(
            f"This part is in this build, as {stays.position.name}: change that position too.",
            field="part",
        )
