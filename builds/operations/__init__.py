"""Writes to builds: make one, fit and take out parts, change positions and set-up."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from builds.models import Build, Fitting, GroundChoice, Position, Revision
from hangar.clubs.models import Club, User
from hangar.errors import Conflict, Missing, UserError
from inventory.kinds.airframe import PositionShape
from inventory.models import Condition, Part
from inventory.operations import check_owner, lock_part, note_event

POSITIONS_MAX = 400
SHAPE_COLUMNS = tuple(field.name for field in PositionShape._meta.get_fields())


def create_build(
    *,
    name: str,
    by: User,
    airframe: Part | None = None,
    person: User | None = None,
    club: Club | None = None,
    **values: Any,
) -> Build:
    """Make a build; with an airframe its positions come from the airframe's template."""
    if person is None and club is None:
        person = by
    check_owner(by=by, person=person, club=club)
    if airframe is not None and airframe.kind != "airframe":
        raise UserError("A build starts from an airframe.", field="airframe")
    if values.get("pack") is not None:
        _check_pack(values["pack"], by=by)
    build = Build(name=name, person=person, club=club, **values)
    build.full_clean(exclude=["person", "club"])
    with transaction.atomic():
        build.save()
        frame = Position.objects.create(
            build=build, key="airframe", name="Airframe", kind="airframe"
        )
        if airframe is not None:
            fit_part(frame, airframe, by=by)
            _copy_template(build, airframe)
            _check_balance_range(build)
    build.refresh_from_db()
    return build


def _copy_template(build: Build, airframe: Part) -> None:
    template = list(airframe.sheet.typed.template.all())
    own = [shape for shape in template if shape.kind == "airframe"]
    for shape in own[:1]:
        Position.objects.filter(build=build, key="airframe").update(
            **{name: getattr(shape, name) for name in SHAPE_COLUMNS if name not in ("key", "kind")}
        )
    Position.objects.bulk_create(
        Position(build=build, **{name: getattr(shape, name) for name in SHAPE_COLUMNS})
        for shape in template
        if shape.kind != "airframe"
    )


def change_build(build: Build, *, by: User, **values: Any) -> Build:
    """Change a build's name, set-up or limits."""
    with transaction.atomic():
        locked = lock_build(build, by=by)
        pack = values.get("pack")
        if pack is not None:
            _check_pack(pack, by=by)
        changed = [name for name, value in values.items() if getattr(locked, name) != value]
        for name in changed:
            setattr(locked, name, values[name])
        locked.full_clean(exclude=["person", "club", "pack"])
        if {"cg_min_x_mm", "cg_max_x_mm"}.intersection(changed):
            _check_balance_range(locked)
        locked.save()
        if changed:
            words = ", ".join(name.replace("_", " ") for name in changed)
            touched = [f"set_up.{name}" for name in changed]
            revise(locked, by=by, text=f"Changed {words}.", touched=touched)
    return locked


def _check_balance_range(build: Build) -> None:
    """Refuse a limit of the build's own that contradicts the airframe's other one."""
    own_min_mm, own_max_mm = build.cg_min_x_mm, build.cg_max_x_mm
    if (own_min_mm is None) == (own_max_mm is None):
        return
    fitting = build.fittings.open().filter(part__kind="airframe").first()
    if fitting is None:
        return
    sheet = fitting.part.sheet.typed
    if own_min_mm is not None and sheet.cg_max_x_mm is not None and own_min_mm > sheet.cg_max_x_mm:
        text = f"This lies behind the airframe's rearmost place, {sheet.cg_max_x_mm:g} mm."
        raise UserError(text, field="cg_min_x_mm")
    if own_max_mm is not None and sheet.cg_min_x_mm is not None and own_max_mm < sheet.cg_min_x_mm:
        text = f"This lies before the airframe's foremost place, {sheet.cg_min_x_mm:g} mm."
        raise UserError(text, field="cg_max_x_mm")


def _check_pack(pack: Part, *, by: User) -> None:
    if pack.kind != "pack":
        raise UserError("The usual pack is a battery pack.", field="pack")
    if not Part.objects.visible_to(by).filter(pk=pack.pk).exists():
        raise UserError("No such pack.", field="pack")
    if pack.out_of_service:
        raise Conflict(f"This pack is out of service: {pack.out_of_service}.", field="pack")


def add_position(build: Build, *, by: User, **values: Any) -> Position:
    """Add a position to a build."""
    with transaction.atomic():
        locked = lock_build(build, by=by)
        if locked.positions.count() >= POSITIONS_MAX:
            raise UserError(f"A build has {POSITIONS_MAX} positions at most.")
        position = Position(build=locked, **values)
        position.full_clean()
        position.save()
        revise(locked, by=by, text=f"Added the position {position.name}.")
    return position


def change_position(position: Position, *, by: User, **values: Any) -> Position:
    """Change a position; its kind stays while a part is in it."""
    with transaction.atomic():
        build = lock_build(position.build, by=by)
        current = Position.objects.get(pk=position.pk)
        changed = [name for name, value in values.items() if getattr(current, name) != value]
        if "kind" in changed and current.fittings.open().exists():
            raise Conflict(
                "Take the part out before the position takes another kind.", field="kind"
            )
        if "kind" in changed and current.surfaces.exists():
            raise Conflict(
                "A control surface names this servo position: change that first.", field="kind"
            )
        for name in changed:
            setattr(current, name, values[name])
        current.full_clean()
        current.save()
        if changed:
            words = ", ".join(name.replace("_", " ") for name in changed)
            touched = [f"place.{current.kind}.{name}" for name in changed]
            revise(build, by=by, text=f"{current.name}: changed {words}.", touched=touched)
    return current


def remove_position(position: Position, *, by: User) -> None:
    """Remove a position that never held a part; one with a history stays."""
    with transaction.atomic():
        build = lock_build(position.build, by=by)
        if position.fittings.exists():
            raise Conflict("This position has a history, so it stays. Mark it as not required.")
        if position.surfaces.exists():
            raise Conflict("A control surface names this servo position: change that first.")
        name = position.name
        position.delete()
        revise(build, by=by, text=f"Removed the position {name}.")


def fit_part(position: Position, part: Part, *, by: User, quantity: int = 1) -> Fitting:
    """Put a part into a position; of two people at once one wins, the other gets a Conflict."""
    if isinstance(quantity, bool) or not 1 <= quantity <= 100_000:
        raise UserError("A quantity is a whole number from 1.", field="quantity")
    try:
        with transaction.atomic():
            build = lock_build(position.build, by=by)
            locked = lock_part(part)
            position = Position.objects.filter(pk=position.pk).first() or position
            check_fit(position, locked, by=by, quantity=quantity)
            revision = revise(build, by=by, text=f"Fitted {locked} as {position.name}.")
            fitting = put_in(position, locked, by=by, quantity=quantity, revision=revision)
    except IntegrityError as error:
        raise Conflict("Somebody was faster: the part or the position is taken.") from error
    return fitting


def put_in(
    position: Position, part: Part, *, by: User, quantity: int, revision: Revision
) -> Fitting:
    """Fit a part that is locked and checked, as part of a revision."""
    build = revision.build
    fitting = Fitting.objects.create(
        build=build,
        position=position,
        part=part,
        quantity=quantity,
        is_whole=not part.is_bag,
        fitted_by=by,
        fitted_revision=revision.number,
    )
    part.fitted_count += quantity
    part.save()
    touch(build, revision.number, [f"part.{part.kind}"])
    note_event(part, "fitted", f"Fitted in {build} as {position.name}.", by=by)
    return fitting


def check_fit(position: Position, part: Part, *, by: User, quantity: int) -> None:
    """Refuse a part that cannot go into the position now; raises UserError or Conflict."""
    if not Part.objects.visible_to(by).filter(pk=part.pk).exists():
        raise UserError("No such part.", field="part")
    if part.kind != position.kind:
        raise UserError(
            f"{position.name} takes a {position.get_kind_display()}, "
            f"this is a {part.get_kind_display()}.",
            field="part",
        )
    if part.out_of_service:
        raise Conflict(f"Out of service: {part.out_of_service}. An inspection comes first.")
    if part.condition in (Condition.BROKEN, Condition.RETIRED):
        raise Conflict(f"This part is {part.condition}.")
    if part.count - part.fitted_count < quantity:
        raise Conflict(_why_not_free(part, by=by))
    if position.fittings.open().exists():
        raise Conflict(f"{position.name} is taken: take out what is there first.")
    if not Part.objects.fittable_by(by).filter(pk=part.pk).exists():
        raise Conflict("This part is not yours to fit now: claim or borrow it first.")


def _why_not_free(part: Part, *, by: User) -> str:
    if part.is_bag:
        return f"Only {part.count - part.fitted_count} of {part.count} pieces are free."
    fitting = part.fittings.open().select_related("build", "position").first()
    if fitting and Build.objects.visible_to(by).filter(pk=fitting.build_id).exists():
        return f"This part is in {fitting.build} already, as {fitting.position.name}."
    return "This part is in another aircraft already."


def remove_part(fitting: Fitting, *, by: User) -> Fitting:
    """Take a part out of its position; the record of it stays."""
    with transaction.atomic():
        build = lock_build(fitting.build, by=by)
        part = lock_part(fitting.part)
        current = Fitting.objects.select_for_update(of=("self",)).get(pk=fitting.pk)
        if current.removed_at:
            raise Conflict("This part has been taken out already.")
        revision = revise(build, by=by, text=f"Took {part} out of {current.position.name}.")
        take_out(current, part, by=by, revision=revision)
    return current


def take_out(fitting: Fitting, part: Part, *, by: User, revision: Revision) -> None:
    """Close an open fitting whose part is locked, as part of a revision."""
    fitting.removed_at = timezone.now()
    fitting.removed_by = by
    fitting.removed_revision = revision.number
    fitting.save()
    part.fitted_count -= fitting.quantity
    part.save()
    touch(revision.build, revision.number, [f"part.{part.kind}"])
    note_event(part, "removed", f"Taken out of {revision.build}, {fitting.position.name}.", by=by)


def swap_part(fitting: Fitting, part: Part, *, by: User, quantity: int = 1) -> Fitting:
    """Take a part out and put another in its place; either both happen or neither."""
    with transaction.atomic():
        remove_part(fitting, by=by)
        return fit_part(fitting.position, part, by=by, quantity=quantity)


def choose_ground_gear(part: Part, *, by: User, build: Build | None = None) -> GroundChoice:
    """Name the transmitter, video receiver or charger a person uses, for one build or for all."""
    if build and not Build.objects.visible_to(by).filter(pk=build.pk).exists():
        raise UserError("No such build.", field="build")
    if part.kind != "ground_gear":
        raise UserError("This is not ground gear.", field="part")
    if not Part.objects.visible_to(by).filter(pk=part.pk).exists():
        raise UserError("No such part.", field="part")
    role = part.sheet.typed.role
    if not role:
        raise UserError("Its data sheet does not say what it does: set the role.", field="part")
    choice, _ = GroundChoice.objects.update_or_create(
        person=by, role=role, build=build, defaults={"part": part}
    )
    return choice


def forget_ground_gear(choice: GroundChoice, *, by: User) -> None:
    """No longer name a part as the ground gear a person uses."""
    deleted, _ = GroundChoice.objects.editable_by(by).filter(pk=choice.pk).delete()
    if not deleted:
        raise Missing("No such ground gear of yours.")


def lock_build(build: Build, *, by: User) -> Build:
    """The build, held against others until the transaction ends; raises Missing."""
    rows = Build.objects.editable_by(by).filter(pk=build.pk)
    locked = rows.select_for_update(of=("self",)).first()
    if locked is None:
        raise Missing("No such build, or it is not yours to change.")
    return locked


def revise(build: Build, *, by: User, text: str, touched: Iterable[str] = ()) -> Revision:
    """Write down what changed; the build gets its next revision.

    `touched` names kinds of change, as `builds.rechecks` says, so that checks fall due.
    """
    Build.objects.filter(pk=build.pk).update(revision=F("revision") + 1)
    build.refresh_from_db(fields=["revision", "changed_in"])
    touch(build, build.revision, touched)
    return Revision.objects.create(build=build, number=build.revision, by=by, text=text[:300])


def touch(build: Build, revision: int, changes: Iterable[str]) -> None:
    """Remember in which revision of a locked build kinds of change came last."""
    known = dict.fromkeys(changes, revision)
    if not known:
        return
    build.changed_in = {**build.changed_in, **known}
    Build.objects.filter(pk=build.pk).update(changed_in=build.changed_in)
