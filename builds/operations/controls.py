"""Writes to the control set-up: surfaces, throws measured, and the outputs of a build."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.db import transaction
from django.utils.text import slugify

from builds.controls import AXES
from builds.engineering.outputs import NoMap
from builds.models import Build, ControlSurface, Position, ThrowRecord
from builds.operations import lock_build, revise
from builds.output_map import Driven, outputs_of
from builds.snapshot import take_snapshot
from hangar.clubs.models import User
from hangar.errors import Conflict, UserError

KEY_LENGTH = 40
SURFACES_MAX = 40
THROWS_MAX = 1000
NOT_OF_THE_LINKAGE = {
    "name",
    "key",
    "play_mm",
    "span_mm",
    "throw_roll_mm",
    "throw_pitch_mm",
    "throw_yaw_mm",
}


def add_surface(build: Build, *, by: User, **values: Any) -> ControlSurface:
    """Add a control surface to a build."""
    with transaction.atomic():
        locked = lock_build(build, by=by)
        if locked.surfaces.count() >= SURFACES_MAX:
            raise UserError(f"A build has {SURFACES_MAX} control surfaces at most.")
        surface = ControlSurface(build=locked, **values)
        surface.key = surface.key or slugify(surface.name)[:KEY_LENGTH]
        if not surface.key:
            raise UserError("Give a name with a letter or a digit in it.", field="name")
        _check(surface)
        text = f"Added the control surface {surface.name}."
        revision = revise(locked, by=by, text=text, touched=["surface.added"])
        surface.since_revision = revision.number
        surface.save()
    return surface


def change_surface(surface: ControlSurface, *, by: User, **values: Any) -> ControlSurface:
    """Change a control surface; throws read before a change of its linkage count no longer."""
    with transaction.atomic():
        build = lock_build(surface.build, by=by)
        current = ControlSurface.objects.get(pk=surface.pk)
        changed = [name for name, value in values.items() if getattr(current, name) != value]
        for name in changed:
            setattr(current, name, values[name])
        _check(current)
        if changed:
            words = ", ".join(name.replace("_", " ") for name in changed)
            of_linkage = set(changed) - NOT_OF_THE_LINKAGE
            touched = [f"surface.{name}" for name in sorted(of_linkage)]
            text = f"{current.name}: changed {words}."
            revision = revise(build, by=by, text=text, touched=touched)
            if of_linkage:
                current.since_revision = revision.number
        current.save()
    return current


def remove_surface(surface: ControlSurface, *, by: User) -> None:
    """Remove a control surface on which nothing was measured; one with records stays."""
    with transaction.atomic():
        build = lock_build(surface.build, by=by)
        if surface.throws.exists():
            raise Conflict("Throws were measured on this surface, so it stays.")
        name = surface.name
        surface.delete()
        revise(build, by=by, text=f"Removed the control surface {name}.")


def record_throw(surface: ControlSurface, *, by: User, **values: Any) -> ThrowRecord:
    """Record a throw as it was read, set or measured; earlier records stay."""
    with transaction.atomic():
        build = lock_build(surface.build, by=by)
        current = ControlSurface.objects.filter(pk=surface.pk).first()
        if current is None:
            raise Conflict("This surface has been removed.")
        if current.throws.count() >= THROWS_MAX:
            raise UserError(f"A surface has {THROWS_MAX} records at most.")
        record = ThrowRecord(build=build, surface=current, revision=build.revision, by=by, **values)
        axes = AXES[current.mixing]
        if axes and record.axis not in axes:
            moves = current.get_mixing_display()
            raise UserError(f"This surface is not for that: {moves}.", field="axis")
        if record.up_mm is None and record.down_mm is None:
            raise UserError("Give the throw up, down, or both.", field="up_mm")
        record.full_clean()
        record.save()
    return record


def accept_outputs(
    build: Build, *, by: User, fixed: Collection[str] = (), revision: int | None = None
) -> Build:
    """Give every motor and servo the output of the proposed map; all of it or none.

    `fixed` are short names of positions that stay where they are; `revision` is that of the build
    on which the map was seen.
    """
    with transaction.atomic():
        locked = lock_build(build, by=by)
        if revision is not None and revision != locked.revision:
            raise Conflict("The build has changed since this map was worked out: look again.")
        found = outputs_of(take_snapshot(locked), fixed)
        strange = set(fixed) - {one.key for one in found.driven}
        if strange:
            raise UserError(f"No motor or servo here: {', '.join(sorted(strange))}.", field="fixed")
        if found.missing:
            raise Conflict(f"No map can be worked out. Missing: {'; '.join(found.missing)}.")
        if isinstance(found.proposal, NoMap):
            raise Conflict(found.proposal.reason)
        moved = found.changes
        if not moved:
            raise Conflict("This is the present map: there is nothing to change.")
        for one in moved:
            _move(one, found.map[one.key])
        words = ", ".join(
            f"{one.name} {'–' if one.output is None else one.output} to {found.map[one.key]}"
            for one in moved
        )
        touched = [f"place.{one.position.kind}.output" for one in moved]
        revise(locked, by=by, text=f"Outputs: {words}.", touched=touched)
    return locked


def _move(driven: Driven, output: int) -> None:
    ids = [driven.position.id, *(twin.id for twin in driven.twins)]
    Position.objects.filter(pk__in=ids).update(output=output)


def _check(surface: ControlSurface) -> None:
    surface.full_clean()
    servo = surface.servo
    if servo is None:
        return
    if servo.build_id != surface.build_id:
        raise UserError("This position is not one of this build.", field="servo")
    if servo.kind != "servo":
        raise UserError("A surface is moved by a servo.", field="servo")
