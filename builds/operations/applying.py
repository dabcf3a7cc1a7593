"""Make a build what a variant says, and put it back: all of it in one transaction, or nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from builds.models import Build, ControlSurface, Fitting, Position, Revision, Variant
from builds.operations import check_fit, put_in, revise, take_out
from builds.operations.races import one_wins
from builds.operations.variants import lock_variant
from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.models import Condition, Part

SET_UP = ("pack_x_mm", "packs_wiring")
WORDS = {
    "pack": "The usual pack",
    "pack_x_mm": "The place of the pack",
    "packs_wiring": "The wiring of the packs",
}
CHANGED_SINCE = "has been changed since: put it back by hand"


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
        return ids | {self.pack.pk} if self.pack else ids

    @property
    def pack(self) -> Part | None:
        """The usual pack that the build gets, where it gets another one."""
        pack: Part | None = self.set_up.get("pack")
        return pack


def apply_variant(variant: Variant, *, by: User) -> Build:
    """Make the build what the variant says: all of it, as one revision, or nothing.

    Raises
    ------
    Conflict
        If a part has gone elsewhere, is out of service or not the person's to fit; the message
        names the position and the reason. Or if the build is like that already.
    """
    with one_wins():
        current = lock_variant(variant, by=by)
        build = current.build
        plan = _plan(build, current)
        if plan.is_empty:
            raise Conflict("The build is like this already.")
        current.before = _remembered(build, plan)
        text = f"Applied the variant “{current.name}”: {_words(plan)}."
        current.applied_revision = _do(build, plan, text, by=by)
        current.applied_at, current.applied_by = timezone.now(), by
        current.save()
    return build


def undo_variant(variant: Variant, *, by: User) -> Build:
    """Put the build back as it was before the variant was applied; the history keeps both.

    Raises
    ------
    Conflict
        If it is not applied, or what it changed has been changed again since, or a part that was
        taken out has gone elsewhere; the message names it. Nothing is changed then.
    """
    with one_wins():
        current = lock_variant(variant, by=by)
        if current.applied_revision is None:
            raise Conflict("This variant is not applied.")
        build = current.build
        plan = _plan_back(build, current.applied_revision, current.before)
        _do(build, plan, f"Took back the variant “{current.name}”: {_words(plan)}.", by=by)
        current.before, current.applied_revision = {}, None
        current.applied_at = current.applied_by = None
        current.save()
    return build


def _do(build: Build, plan: _Plan, text: str, *, by: User) -> int:
    """Carry out a plan as one revision; gives its number."""
    parts = _lock_parts(plan.part_ids())
    touched = [f"set_up.{name}" for name in plan.set_up]
    touched += ["surface.arm_radius_mm"] if plan.holes else []
    revision = revise(build, by=by, text=text, touched=touched)
    _carry_out(plan, parts, by=by, revision=revision)
    for name, value in plan.set_up.items():
        setattr(build, name, value)
    build.save()
    return revision.number


def _remembered(build: Build, plan: _Plan) -> dict[str, dict[str, Any]]:
    """Set-up and arm holes as they are and as the plan makes them; the fittings tell of parts."""
    was = {name: getattr(build, name) for name in plan.set_up}
    return {
        "set_up": {name: [_plain(was[name]), _plain(value)] for name, value in plan.set_up.items()},
        "holes": {
            str(surface.pk): [surface.arm_radius_mm, radius_mm] for surface, radius_mm in plan.holes
        },
    }


def _plain(value: Any) -> Any:
    return value.pk if isinstance(value, Part) else value


def _plan_back(build: Build, number: int, before: Mapping[str, Any]) -> _Plan:
    """What takes a revision back; raises Conflict where something has changed since.

    `before` tells of set-up and arm holes as `_remembered` wrote them down.
    """
    touched = Fitting.objects.filter(build=build).select_related("position", "part__sheet")
    out = tuple(touched.filter(fitted_revision=number).order_by("position"))
    gone = next((fitting for fitting in out if fitting.removed_at), None)
    if gone is not None:
        raise Conflict(f"{gone.position.name}: {gone.part} has been taken out since.")
    back = touched.filter(removed_revision=number).order_by("position")
    return _Plan(
        out=out,
        into=tuple((fitting.position, fitting.part, fitting.quantity) for fitting in back),
        holes=_holes_back(build, before["holes"]),
        set_up=_set_up_back(build, before["set_up"]),
    )


def _holes_back(
    build: Build, holes: Mapping[str, Any]
) -> tuple[tuple[ControlSurface, float | None], ...]:
    surfaces = {str(one.pk): one for one in ControlSurface.objects.filter(build=build)}
    back = []
    for key, (was_mm, became_mm) in holes.items():
        surface = surfaces.get(key)
        if surface is None:
            raise Conflict("A control surface that it changed is no longer there.")
        if surface.arm_radius_mm != became_mm:
            raise Conflict(f"{surface.name}: the arm hole {CHANGED_SINCE}.")
        back.append((surface, was_mm))
    return tuple(back)


def _set_up_back(build: Build, set_up: Mapping[str, Any]) -> dict[str, Any]:
    back = {}
    for name, (was, became) in set_up.items():
        if _plain(getattr(build, name)) != became:
            raise Conflict(f"{WORDS[name]} {CHANGED_SINCE}.")
        is_pack = name == "pack" and was is not None
        back[name] = Part.objects.select_related("sheet").get(pk=was) if is_pack else was
    return back


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
    if plan.pack:
        _check_usual(parts[plan.pack.pk], build=revision.build, by=by)


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


def _words(plan: _Plan) -> str:
    words = [f"{position.name}: {part}" for position, part, _ in plan.into]
    filled = {position.pk for position, _, _ in plan.into}
    words += [f"{one.position.name}: nothing" for one in plan.out if one.position_id not in filled]
    words += [f"{surface.name}: arm hole {_hole(radius)}" for surface, radius in plan.holes]
    if "pack" in plan.set_up:
        words.append(f"usual pack {plan.pack or 'none'}")
    words += [WORDS[name].lower() for name in SET_UP if name in plan.set_up]
    return "; ".join(words)


def _hole(radius_mm: float | None) -> str:
    return "not given" if radius_mm is None else f"{radius_mm:g} mm"
