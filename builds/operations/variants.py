"""Writes to variants: make, change and delete what-ifs, and make a build what one says."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from builds.models import Build, ControlSurface, Fitting, Position, Revision, Variant, VariantChange
from builds.operations import POSITIONS_MAX, check_fit, lock_build, put_in, revise, take_out
from hangar.clubs.models import User
from hangar.errors import Conflict, Missing, UserError
from inventory.models import Condition, Part

VARIANTS_MAX = 50
SET_UP = ("pack_x_mm", "packs_wiring")
Given = Mapping[str, Any]
"""One change as given: position, part and quantity, or surface and arm_radius_mm."""


@dataclass(frozen=True)
class _Plan:
    """What applying a variant does: fittings to close, parts to fit, arm holes, set-up."""

    out: tuple[Fitting, ...]
    into: tuple[tuple[Position, Part, int], ...]
    holes: tuple[tuple[ControlSurface, float | None], ...]
    set_up: dict[str, Any]

    @property
    def is_empty(self) -> bool:
        return not (self.out or self.into or self.holes or self.set_up)

    def part_ids(self) -> set[int]:
        ids = {fitting.part_id for fitting in self.out} | {part.pk for _, part, _ in self.into}
        return ids | {self.set_up["pack"].pk} if "pack" in self.set_up else ids


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
        current = _lock_variant(variant, by=by)
        for name, value in values.items():
            setattr(current, name, value)
        _save(current, by=by)
        if changes is not None:
            _replace_changes(current, list(changes), by=by)
    return current


def put_change(variant: Variant, *, by: User, **given: Any) -> VariantChange:
    """Put one change into a what-if, in place of what it said of that position or surface."""
    with transaction.atomic():
        current = _lock_variant(variant, by=by)
        same = {name: given[name] for name in ("position", "surface") if given.get(name)}
        if not same:
            raise UserError("Say which position or surface it changes.")
        current.changes.filter(**same).delete()
        return _add_changes(current, [given], by=by)[0]


def drop_change(change: VariantChange, *, by: User) -> None:
    """Leave a position or a surface as it is after all."""
    with transaction.atomic():
        _lock_variant(change.variant, by=by)
        change.delete()


def delete_variant(variant: Variant, *, by: User) -> None:
    """Forget a what-if; the build stays as it is."""
    with transaction.atomic():
        _lock_variant(variant, by=by).delete()


def apply_variant(variant: Variant, *, by: User) -> Build:
    """Make the build what the variant says: all of it, as one revision, or nothing.

    Raises
    ------
    Conflict
        If a part has gone elsewhere, is out of service or not the person's to fit; the message
        names the position and the reason. Or if the build is like that already.
    """
    try:
        with transaction.atomic():
            current = _lock_variant(variant, by=by)
            build = current.build
            plan = _plan(build, current)
            if plan.is_empty:
                raise Conflict("The build is like this already.")
            parts = _lock_parts(plan.part_ids())
            text = f"Applied the variant “{current.name}”: {_words(plan)}."
            _carry_out(plan, parts, by=by, revision=revise(build, by=by, text=text))
            _set_up(build, plan.set_up)
            current.applied_at, current.applied_by = timezone.now(), by
            current.save()
    except IntegrityError as error:
        raise Conflict("Somebody was faster: a part or a position is taken.") from error
    return build


def _lock_variant(variant: Variant, *, by: User) -> Variant:
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


def _plan(build: Build, variant: Variant) -> _Plan:
    fittings = {
        fitting.position_id: fitting
        for fitting in Fitting.objects.open()
        .filter(build=build)
        .select_related("position", "part__sheet")
        .order_by("position")
    }
    wanted = _wanted(build, variant, fittings)
    out, into = [], []
    for position, part, quantity in wanted:
        fitting = fittings.get(position.pk)
        if fitting and part and (fitting.part_id, fitting.quantity) == (part.pk, quantity):
            continue
        out += [fitting] if fitting else []
        into += [(position, part, quantity)] if part else []
    given = {name: getattr(variant, name) for name in ("pack", *SET_UP)}
    set_up = {
        name: value
        for name, value in given.items()
        if value not in (None, "") and getattr(build, name) != value
    }
    holes = tuple(
        (change.surface, change.arm_radius_mm)
        for change in variant.changes.select_related("surface").filter(surface__isnull=False)
        if change.surface and change.surface.arm_radius_mm != change.arm_radius_mm
    )
    return _Plan(tuple(out), tuple(into), holes, set_up)


def _wanted(
    build: Build, variant: Variant, fittings: Mapping[int, Fitting]
) -> list[tuple[Position, Part | None, int]]:
    """Which part each position is to hold.

    The pack a variant flies with takes the tray in which a pack is fitted; where none is fitted it
    is only the usual one, unless a second one is fitted: then both are.
    """
    changes = variant.changes.select_related("position", "part__sheet")
    wanted = [
        (change.position, change.part, change.quantity) for change in changes if change.position
    ]
    named = {position.pk for position, _, _ in wanted}
    fitted = next((one for one in fittings.values() if one.part.kind == "pack"), None)
    if fitted:
        if variant.pack and fitted.position_id not in named:
            wanted.append((fitted.position, variant.pack, 1))
        return wanted
    usual = variant.pack or build.pack
    tray = build.positions.filter(kind="pack").order_by("pk").first()
    has_second = any(part and position.kind == "pack" for position, part, _ in wanted)
    if usual and tray and has_second and tray.pk not in named:
        wanted.append((tray, usual, 1))
    return wanted


def _lock_parts(ids: Iterable[int]) -> dict[int, Part]:
    """All parts at once, in the order of their ids, so that two people never wait in a ring."""
    locked = Part.objects.select_for_update(of=("self",)).select_related("sheet")
    return {part.pk: part for part in locked.filter(pk__in=ids).order_by("pk")}


def _carry_out(plan: _Plan, parts: Mapping[int, Part], *, by: User, revision: Revision) -> None:
    for fitting in plan.out:
        take_out(fitting, parts[fitting.part_id], by=by, revision=revision)
    for position, part, quantity in plan.into:
        locked = parts[part.pk]
        try:
            check_fit(position, locked, by=by, quantity=quantity)
        except UserError as error:
            raise Conflict(f"{position.name}, {locked}: {error.message}") from error
        put_in(position, locked, by=by, quantity=quantity, revision=revision)
    for surface, radius_mm in plan.holes:
        surface.arm_radius_mm, surface.since_revision = radius_mm, revision.number
        surface.save()
    if "pack" in plan.set_up:
        _check_usual(parts[plan.set_up["pack"].pk], build=revision.build, by=by)


def _check_usual(pack: Part, *, build: Build, by: User) -> None:
    """Refuse a pack that has gone elsewhere meanwhile, even where it is not to be fitted."""
    reason = ""
    elsewhere = pack.fittings.open().exclude(build=build).exists()
    if pack.out_of_service:
        reason = f"Out of service: {pack.out_of_service}."
    elif pack.condition in (Condition.BROKEN, Condition.RETIRED):
        reason = f"This part is {pack.condition}."
    elif elsewhere:
        reason = "This part is in another aircraft already."
    elif not Part.objects.candidates_for(by).filter(pk=pack.pk).exists():
        reason = "Somebody else has borrowed or claimed it."
    if reason:
        raise Conflict(f"Pack, {pack}: {reason}")


def _set_up(build: Build, set_up: dict[str, Any]) -> None:
    for name, value in set_up.items():
        setattr(build, name, value)
    build.save()


def _words(plan: _Plan) -> str:
    words = [f"{position.name}: {part}" for position, part, _ in plan.into]
    filled = {position.pk for position, _, _ in plan.into}
    words += [f"{one.position.name}: nothing" for one in plan.out if one.position_id not in filled]
    words += [f"{surface.name}: arm hole {radius} mm" for surface, radius in plan.holes]
    if "pack" in plan.set_up:
        words.append(f"usual pack {plan.set_up['pack']}")
    words += [name.replace("_", " ") for name in SET_UP if name in plan.set_up]
    return "; ".join(words)
