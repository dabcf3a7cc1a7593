"""Writes to parts: add, change, retire."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.codes import new_code
from inventory.kinds import DataSheet
from inventory.models import Condition, Measurement, Part, PartEvent, Source
from inventory.operations.guards import (
    check_owner,
    lock_part,
    note_event,
    refuse_unless_editable,
)
from inventory.operations.measuring import record_measurement
from inventory.operations.sheets import save_sheet

AT_ONCE = 500


def add_part(*, by: User, **values: Any) -> Part:
    """Add a part; a mass given with it is recorded as a measurement."""
    part = Part(**{"code": "", **values})
    check_owner(by=by, person=part.person, club=part.club)
    if not DataSheet.objects.visible_to(by).filter(pk=part.sheet_id).exists():
        raise UserError("No such data sheet.", field="sheet")
    mass_g, part.mass_g = part.mass_g, None
    source, part.mass_source = part.mass_source or Source.WEIGHED, ""
    uncertainty_g, part.mass_uncertainty_g = part.mass_uncertainty_g, None
    part.has_free = part.fitted_count < part.count
    part.kind = part.sheet.kind
    part.full_clean(exclude=["sheet", "person", "club", "code"])
    with transaction.atomic():
        _give_codes([part])
        part.save()
        note_event(part, "added", f"Added to the inventory of {part.owner_name}.", by=by)
        if mass_g is not None:
            record_measurement(
                part,
                name="mass_g",
                value=mass_g,
                by=by,
                source=source,
                uncertainty=uncertainty_g,
            )
    return part


def add_part_with_sheet(*, by: User, sheet: DataSheet, **values: Any) -> Part:
    """Add a part together with its new data sheet: both or neither."""
    with transaction.atomic():
        return add_part(by=by, sheet=save_sheet(sheet, by=by), **values)


def add_parts(parts: Sequence[Part], *, by: User, origins: Sequence[str]) -> list[Part]:
    """Add many new parts, all or none, written in batches and not one by one.

    `origins` says of each where it comes from; a mass is recorded as a measurement; a part with a
    blank label code gets one.
    """
    for person, club in {(part.person, part.club) for part in parts}:
        check_owner(by=by, person=person, club=club)
    wanted = {part.sheet_id for part in parts}
    if DataSheet.objects.visible_to(by).filter(pk__in=wanted).count() < len(wanted):
        raise UserError("No such data sheet.", field="sheet")
    for part in parts:
        part.kind = part.sheet.kind
        part.has_free = part.fitted_count < part.count
        if part.mass_g is not None:
            part.mass_source = part.mass_source or Source.WEIGHED
        part.clean_fields(exclude=["sheet", "person", "club", "place", "code"])
        part.clean()
    with transaction.atomic():
        _give_codes(parts)
        Part.objects.bulk_create(parts, batch_size=AT_ONCE)
        Measurement.objects.bulk_create(_first_weighings(parts, by), batch_size=AT_ONCE)
        PartEvent.objects.bulk_create(_first_events(parts, by, origins), batch_size=AT_ONCE)
    return list(parts)


def _give_codes(parts: Sequence[Part]) -> None:
    """Draw unused label codes: among thousands, two of the same would be likely."""
    given = {part.code for part in parts if part.code}
    blank = [part for part in parts if not part.code]
    while blank:
        batch = blank[-AT_ONCE:]
        codes = list({new_code() for _ in batch} - given)
        used = set(Part.objects.filter(code__in=codes).values_list("code", flat=True))
        for code in codes:
            if code not in used:
                blank.pop().code = code
                given.add(code)


def _first_weighings(parts: Iterable[Part], by: User) -> Iterator[Measurement]:
    for part in parts:
        if part.mass_g is not None:
            yield Measurement(
                part=part,
                name="mass_g",
                value=part.mass_g,
                uncertainty=part.mass_uncertainty_g,
                source=part.mass_source,
                by=by,
            )


def _first_events(parts: Sequence[Part], by: User, origins: Sequence[str]) -> Iterator[PartEvent]:
    for part, origin in zip(parts, origins, strict=True):
        text = f"Added to the inventory of {part.owner_name}, from {origin}."
        yield PartEvent(part=part, verb="added", text=text[:300], by=by)
        if part.mass_g is not None:
            text = f"Mass (g) is {part.mass_g} ({Source(part.mass_source).label})."
            data = {"name": "mass_g", "value": part.mass_g}
            yield PartEvent(part=part, verb="measured", text=text, by=by, data=data)


def change_part(part: Part, *, by: User, **values: Any) -> Part:
    """Change a part's own columns; what changed from what is kept in its history."""
    refuse_unless_editable(part, by=by)
    sheet = values.get("sheet")
    if sheet is not None:
        _check_new_sheet(part, sheet, by=by)
    with transaction.atomic():
        locked = lock_part(part)
        if locked.condition == Condition.RETIRED:
            raise Conflict("A retired part is changed no more, and cannot be brought back.")
        changes = {
            name: [_plain(getattr(locked, name)), _plain(value)]
            for name, value in values.items()
            if getattr(locked, name) != value
        }
        if not changes:
            return locked
        for name, value in values.items():
            setattr(locked, name, value)
        if locked.fitted_count > locked.count:
            raise Conflict(
                f"{locked.fitted_count} pieces are fitted: the count cannot be less.",
                field="count",
            )
        locked.has_free = locked.fitted_count < locked.count
        locked.full_clean(exclude=["sheet", "person", "club", "code"])
        locked.save()
        note_event(locked, "changed", _describe(changes), by=by, changes=changes)
    return locked


def _check_new_sheet(part: Part, sheet: DataSheet, *, by: User) -> None:
    if not DataSheet.objects.visible_to(by).filter(pk=sheet.pk).exists():
        raise UserError("No such data sheet.", field="sheet")
    if sheet.kind != part.kind:
        raise UserError("A part stays of its kind: choose a sheet of the same.", field="sheet")


def _plain(value: Any) -> Any:
    if isinstance(value, models.Model):
        return str(value)
    if isinstance(value, date | datetime):
        return value.isoformat()
    return value


def _describe(changes: dict[str, list[Any]]) -> str:
    parts = (
        f"{name.replace('_', ' ')} from {_said(old)} to {_said(new)}"
        for name, (old, new) in changes.items()
    )
    return "Changed " + "; ".join(parts) + "."


def _said(value: Any) -> Any:
    return "nothing" if value in (None, "") else value


def retire_part(part: Part, *, by: User, reason: str = "") -> Part:
    """Retire a part: it stays in the records and can no longer be used."""
    refuse_unless_editable(part, by=by)
    with transaction.atomic():
        locked = lock_part(part)
        if locked.condition == Condition.RETIRED:
            raise Conflict("This part is retired already.")
        if locked.fitted_count:
            raise Conflict("Take the part out of its aircraft first.")
        if locked.loans.open().exists():
            raise Conflict("The part is lent out: take it back first.")
        locked.condition = Condition.RETIRED
        locked.save()
        locked.offers.open().update(ended_at=timezone.now())
        locked.claims.open().update(ended_at=timezone.now())
        locked.waits.open().update(ended_at=timezone.now())
        note_event(locked, "retired", f"Retired. {reason}".strip(), by=by)
    part.refresh_from_db()
    return locked
