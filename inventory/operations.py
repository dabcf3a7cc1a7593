"""Writes to the inventory: each is one transaction and leaves a line in the part's history."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Any, cast

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.utils import timezone

from hangar.clubs.models import Club, User
from hangar.errors import Conflict, Missing, NotAllowed, UserError
from hangar.fields import MeasureField, NumberListField
from hangar.form_fields import label_with_unit, label_without_unit
from hangar.units import unit_of
from inventory.codes import new_code
from inventory.kinds import Airframe, DataSheet, TemplatePosition
from inventory.models import (
    Claim,
    Condition,
    Incident,
    Loan,
    LogEntry,
    Measurement,
    Offer,
    Part,
    PartEvent,
    Place,
    Source,
)

PLACE_DEPTH_MAX = 12
COUNTER_MAX = 100_000
AT_ONCE = 500
MASS_SOURCES = (Source.WEIGHED, Source.MEASURED)
GUESSES = (Source.GUESSED, Source.UNKNOWN)


def note_event(part: Part, verb: str, text: str, *, by: User | None, **data: Any) -> PartEvent:
    """Add a line to the part's history."""
    return PartEvent.objects.create(part=part, verb=verb, text=text[:300], by=by, data=data)


def check_owner(*, by: User, person: User | None, club: Club | None) -> None:
    """Refuse to make a thing for an owner the person does not act for."""
    if (person is None) == (club is None):
        raise UserError("The owner is a person or a club, and one of them.", field="club")
    if person is not None and person != by:
        raise NotAllowed("You can add things for yourself or for a club you keep.", field="person")
    if club is not None and not Club.objects.kept_by(by).filter(pk=club.pk).exists():
        raise NotAllowed("Only a keeper or officer of the club adds to its pool.", field="club")


def _refuse_unless_seen(part: Part, *, by: User) -> None:
    if not Part.objects.visible_to(by).filter(pk=part.pk).exists():
        raise Missing("No such part.")


def _refuse_unless_editable(part: Part, *, by: User) -> None:
    _refuse_unless_seen(part, by=by)
    if not Part.objects.editable_by(by).filter(pk=part.pk).exists():
        raise NotAllowed("This part is not yours to change.")


def _refuse_unless_loggable(pack: Part, *, by: User) -> None:
    _refuse_unless_seen(pack, by=by)
    if not Part.objects.loggable_by(by).filter(pk=pack.pk).exists():
        raise NotAllowed("The log is kept by the pack's owner or keeper, and by who has it now.")


def save_place(place: Place, *, by: User) -> Place:
    """Store a new or moved place and the paths of all that is inside it."""
    check_owner(by=by, person=place.person, club=place.club)
    with transaction.atomic():
        kept = Place.objects.filter(pk=place.pk).first()
        if kept and (kept.person_id, kept.club_id) != (place.person_id, place.club_id):
            raise UserError("A place keeps its owner: make a new one instead.", field="club")
        parent = place.parent
        if parent and (parent.person_id, parent.club_id) != (place.person_id, place.club_id):
            raise UserError("A place lies in a place of the same owner.", field="parent")
        old_path = place.path
        if place._state.adding:
            place.path = ""
            place.save()
        if parent and old_path and parent.path.startswith(old_path):
            raise UserError("A place cannot lie inside itself.", field="parent")
        place.path = f"{parent.path if parent else '/'}{place.pk}/"
        _check_depth(place)
        place.save()
        if old_path and old_path != place.path:
            _move_below(old_path, place)
    return place


def delete_place(place: Place, *, by: User) -> None:
    """Remove a place in which nothing lies."""
    if not Place.objects.editable_by(by).filter(pk=place.pk).exists():
        raise Missing("No such place, or it is not yours to change.")
    try:
        with transaction.atomic():
            place.delete()
    except models.ProtectedError as error:
        raise Conflict("There is something in this place: empty it first.") from error


def _check_depth(place: Place) -> None:
    if place.path.count("/") > PLACE_DEPTH_MAX + 1:
        raise UserError(f"Places go {PLACE_DEPTH_MAX} deep at most.", field="parent")


def _move_below(old_path: str, place: Place) -> None:
    for inner in Place.objects.filter(path__startswith=old_path).exclude(pk=place.pk):
        inner.path = place.path + inner.path.removeprefix(old_path)
        _check_depth(inner)
        inner.save(update_fields=["path"])


def save_sheet(
    sheet: DataSheet, *, by: User, template: Iterable[dict[str, Any]] | None = None
) -> DataSheet:
    """Store a new or changed data sheet; an airframe's `template` replaces its positions."""
    if sheet.pk and not DataSheet.objects.editable_by(by).filter(pk=sheet.pk).exists():
        raise Missing("No such data sheet, or it is not yours to change.")
    check_owner(by=by, person=sheet.person, club=sheet.club)
    sheet.full_clean(exclude=["person", "club"])
    with transaction.atomic():
        sheet.save()
        if template is not None:
            _replace_template(cast(Airframe, sheet), template)
    return sheet


def _replace_template(airframe: Airframe, template: Iterable[dict[str, Any]]) -> None:
    shapes = [TemplatePosition(airframe=airframe, **values) for values in template]
    keys = [shape.key for shape in shapes]
    twice = next((key for key in keys if keys.count(key) > 1), None)
    if twice:
        raise UserError(f"Two positions have the short name {twice}.", field="template")
    TemplatePosition.objects.filter(airframe=airframe).delete()
    for shape in shapes:
        shape.full_clean(exclude=["airframe"])
    TemplatePosition.objects.bulk_create(shapes)


def delete_sheet(sheet: DataSheet, *, by: User) -> None:
    """Delete a data sheet of which there is no part."""
    if not DataSheet.objects.editable_by(by).filter(pk=sheet.pk).exists():
        raise Missing("No such data sheet, or it is not yours to change.")
    try:
        with transaction.atomic():
            sheet.typed.delete()
    except models.ProtectedError as error:
        raise Conflict("There are parts of this data sheet, so it stays.") from error


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
    _refuse_unless_editable(part, by=by)
    sheet = values.get("sheet")
    if sheet is not None:
        _check_new_sheet(part, sheet, by=by)
    with transaction.atomic():
        locked = lock_part(part)
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


def measurable_names(kind: str) -> dict[str, Any]:
    """Columns of a kind that can be measured on one part, with their model fields."""
    sheet = DataSheet.registry[kind]
    columns = {
        field.name: field
        for field in sheet._meta.fields
        if isinstance(field, MeasureField | NumberListField)
    }
    return columns | dict.fromkeys(sheet.measured_only)


def record_measurement(
    part: Part,
    *,
    name: str,
    value: Any,
    by: User,
    source: str = Source.MEASURED,
    uncertainty: float | None = None,
    measured_at: datetime | None = None,
    note: str = "",
) -> Measurement:
    """Record a figure found on a part; the mass is repeated on the part itself."""
    _refuse_unless_editable(part, by=by)
    columns = measurable_names(part.kind)
    if name not in columns:
        raise UserError(
            f"A {part.kind.replace('_', ' ')} has no figure {name}. It has: "
            f"{', '.join(sorted(columns))}.",
            field="name",
        )
    value = _checked_value(columns[name], name, value)
    if uncertainty is not None and not math.isfinite(uncertainty):
        raise UserError("An uncertainty is a number, zero or more.", field="uncertainty")
    if measured_at and measured_at > timezone.now():
        raise UserError("A measurement cannot lie in the future.", field="measured_at")
    with transaction.atomic():
        locked = lock_part(part)
        measurement = Measurement(
            part=locked,
            name=name,
            value=value,
            by=by,
            source=source,
            uncertainty=uncertainty,
            measured_at=measured_at or timezone.now(),
            note=note,
        )
        measurement.full_clean(exclude=["part", "by"])
        measurement.save()
        if name == "mass_g":
            _repeat_mass(locked)
        note_event(
            locked,
            "measured",
            f"{_title(name)} is {value} ({Source(source).label}).",
            by=by,
            name=name,
            value=value,
        )
    part.refresh_from_db()
    return measurement


def _title(name: str) -> str:
    return label_with_unit(label_without_unit(name), unit_of(name)).capitalize()


def _repeat_mass(part: Part) -> None:
    rows = part.measurements.filter(name="mass_g").order_by("measured_at", "pk")
    latest = rows.exclude(source__in=GUESSES).last() or rows.last()
    if latest is None:
        return
    part.mass_g = latest.value
    part.mass_source = latest.source
    part.mass_uncertainty_g = latest.uncertainty
    part.save()


def _checked_value(field: models.Field | None, name: str, value: Any) -> Any:
    if field is None:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise UserError(f"{name} is a number, zero or more.", field="value")
        if not 0 <= value <= COUNTER_MAX:
            raise UserError(f"{name} is from 0 to {COUNTER_MAX}.", field="value")
        return value
    try:
        checked = field.clean(value, None)
    except ValidationError as error:
        raise UserError(" ".join(error.messages), field="value") from error
    if checked in (None, []):
        raise UserError("Give the figure that was measured.", field="value")
    if name == "mass_g" and checked <= 0:
        raise UserError("A measured mass is above zero.", field="value")
    return checked


def lock_part(part: Part) -> Part:
    """The part as it is in the database now, locked until the transaction ends."""
    return Part.objects.select_for_update(of=("self",)).select_related("sheet").get(pk=part.pk)


def take_out_of_service(part: Part, *, reason: str, by: User) -> Part:
    """Mark a part as not to be used, and withdraw its offers."""
    _refuse_unless_seen(part, by=by)
    if not reason.strip():
        raise UserError("Say why it is not to be used.", field="reason")
    with transaction.atomic():
        locked = lock_part(part)
        locked.out_of_service = reason[:200]
        locked.save()
        locked.offers.open().update(ended_at=timezone.now())
        note_event(locked, "out_of_service", f"Out of service: {reason}.", by=by)
    part.refresh_from_db()
    return locked


def return_to_service(part: Part, *, finding: str, by: User) -> Part:
    """Record an inspection by a named person that puts a part back into service."""
    _refuse_unless_editable(part, by=by)
    if len(finding.strip()) < 10:
        raise UserError("Say what was inspected and what was found.", field="finding")
    with transaction.atomic():
        locked = lock_part(part)
        if not locked.out_of_service:
            raise Conflict("This part is in service.")
        locked.out_of_service = ""
        locked.save()
        note_event(locked, "inspected", f"Inspected: {finding.strip()}", by=by)
    part.refresh_from_db()
    return locked


def retire_part(part: Part, *, by: User, reason: str = "") -> Part:
    """Retire a part: it stays in the records and can no longer be used."""
    _refuse_unless_editable(part, by=by)
    with transaction.atomic():
        locked = lock_part(part)
        if locked.fitted_count:
            raise Conflict("Take the part out of its aircraft first.")
        if locked.loans.open().exists():
            raise Conflict("The part is lent out: take it back first.")
        locked.condition = Condition.RETIRED
        locked.save()
        locked.offers.open().update(ended_at=timezone.now())
        locked.claims.open().update(ended_at=timezone.now())
        note_event(locked, "retired", f"Retired. {reason}".strip(), by=by)
    part.refresh_from_db()
    return locked


def add_log_entry(pack: Part, *, by: User, **values: Any) -> LogEntry:
    """Add an entry to a pack's log; the same id again, with the same content, adds nothing."""
    if pack.kind != "pack":
        raise UserError("Only a battery pack has a log.")
    _refuse_unless_loggable(pack, by=by)
    entry = LogEntry(pack=pack, by=by, **values)
    entry.clean_fields(exclude=["pack", "by", "corrects"])
    with transaction.atomic():
        locked = lock_part(pack)
        earlier = LogEntry.objects.filter(pk=entry.pk).first()
        if earlier:
            return _same_entry(earlier, entry, is_dated="started_at" in values)
        _check_entry(entry)
        entry.full_clean(exclude=["pack", "by"])
        entry.save(force_insert=True)
        note_event(locked, "logged", f"Logged: {entry.get_kind_display()}.", by=by)
        if entry.kind == LogEntry.Kind.INCIDENT:
            take_out_of_service(locked, reason=Incident(entry.incident).label, by=by)
    return entry


def add_log_entries(pack: Part, *, by: User, rows: Iterable[dict[str, Any]]) -> list[LogEntry]:
    """Add many new entries to a pack's log: all or none, and one line in its history.

    An incident changes the state of the pack, so it is added by itself.
    """
    if pack.kind != "pack":
        raise UserError("Only a battery pack has a log.")
    _refuse_unless_loggable(pack, by=by)
    entries = [LogEntry(pack=pack, by=by, **row) for row in rows]
    for entry in entries:
        if entry.incident or entry.kind == LogEntry.Kind.INCIDENT:
            raise UserError("Add an incident by itself.", field="kind")
        entry.clean_fields(exclude=["pack", "by", "corrects"])
        _check_entry(entry)
    try:
        with transaction.atomic():
            locked = lock_part(pack)
            LogEntry.objects.bulk_create(entries)
            note_event(locked, "logged", f"Logged: {len(entries)} entries.", by=by)
    except IntegrityError as error:
        raise Conflict("One of these entries is in the log already.", field="id") from error
    return entries


def _same_entry(earlier: LogEntry, entry: LogEntry, *, is_dated: bool) -> LogEntry:
    own = {"by_id", "recorded_at"} if is_dated else {"by_id", "recorded_at", "started_at"}
    names = {field.attname for field in LogEntry._meta.concrete_fields} - own
    if any(getattr(earlier, name) != getattr(entry, name) for name in names):
        raise Conflict("Another entry has this id. Correct an entry by a new one.", field="id")
    return earlier


def _check_entry(entry: LogEntry) -> None:
    needs: dict[str, Callable[[], bool]] = {
        LogEntry.Kind.CHARGE: lambda: entry.charge_mah is not None,
        LogEntry.Kind.USE: lambda: entry.charge_mah is not None or entry.duration_s is not None,
        LogEntry.Kind.REST: lambda: bool(entry.rest_v),
        LogEntry.Kind.RESISTANCE: lambda: bool(entry.resistance_mohm),
    }
    wanted = {
        LogEntry.Kind.CHARGE: ("charge_mah", "Say how much charge went in."),
        LogEntry.Kind.USE: ("charge_mah", "Say how much charge was used, or for how long."),
        LogEntry.Kind.REST: ("rest_v", "Give the voltage of each cell."),
        LogEntry.Kind.RESISTANCE: ("resistance_mohm", "Give the resistance of each cell."),
    }
    if entry.kind in needs and not needs[entry.kind]():
        field, message = wanted[LogEntry.Kind(entry.kind)]
        raise UserError(message, field=field)
    if entry.corrects and (entry.corrects.pack_id != entry.pack_id):
        raise UserError("An entry corrects one of the same pack.", field="corrects")


def offer_part(part: Part, *, club: Club, by: User, terms: str = Offer.Terms.LOAN) -> Offer:
    """Offer a part to a club's pool."""
    _refuse_unless_editable(part, by=by)
    if not Club.objects.visible_to(by).filter(pk=club.pk).exists():
        raise Missing("No such club.")
    try:
        with transaction.atomic():
            locked = lock_part(part)
            _refuse_unusable(locked)
            offer = Offer.objects.create(part=locked, club=club, by=by, terms=terms)
            note_event(locked, "offered", f"Offered to {club}.", by=by)
    except IntegrityError as error:
        raise Conflict(f"The part is offered to {club} already.") from error
    return offer


def withdraw_offer(offer: Offer, *, by: User) -> Offer:
    """Take a part out of a club's pool."""
    return _end(offer, by=by, verb="withdrawn", text=f"Withdrawn from {offer.club}.")


def claim_part(
    part: Part, *, by: User, purpose: str = "", until_on: date | None = None, note: str = ""
) -> Claim:
    """Put a part aside for oneself; one open claim per part."""
    _refuse_unless_seen(part, by=by)
    try:
        with transaction.atomic():
            locked = lock_part(part)
            _refuse_unusable(locked)
            if locked.loans.open().exclude(borrower=by).exists():
                raise Conflict("The part is lent out.")
            claim = Claim.objects.create(
                part=locked, claimant=by, by=by, purpose=purpose, until_on=until_on, note=note
            )
            note_event(locked, "claimed", f"Claimed by {by}. {purpose}".strip(), by=by)
    except IntegrityError as error:
        raise Conflict("Somebody has claimed this part already.") from error
    return claim


def release_claim(claim: Claim, *, by: User) -> Claim:
    """End a claim."""
    return _end(claim, by=by, verb="released", text=f"Claim of {claim.claimant} ended.")


def lend_part(
    part: Part, *, to: User, by: User, due_on: date | None = None, note: str = ""
) -> Loan:
    """Hand a part to a member of one of its clubs until a day."""
    _refuse_unless_editable(part, by=by)
    clubs = Club.objects.visible_to(by)
    if part.club_id:
        clubs = clubs.filter(pk=part.club_id)
    if not clubs.filter(pk__in=Club.objects.visible_to(to)).exists():
        raise UserError("A part is lent to a member of its owner's club.", field="borrower")
    try:
        with transaction.atomic():
            locked = lock_part(part)
            _refuse_unusable(locked)
            if locked.fitted_count:
                raise Conflict("The part is in an aircraft: take it out first.")
            if locked.claims.open().exclude(claimant=to).exists():
                raise Conflict("The part is claimed by somebody else.")
            loan = Loan.objects.create(
                part=locked,
                borrower=to,
                by=by,
                due_on=due_on,
                note=note,
                condition_out=locked.condition,
            )
            locked.claims.open().filter(claimant=to).update(ended_at=timezone.now())
            note_event(locked, "lent", f"Lent to {to}.", by=by)
    except IntegrityError as error:
        raise Conflict("The part is lent out already.") from error
    return loan


def return_loan(loan: Loan, *, by: User, condition: str, note: str = "") -> Loan:
    """Take a part back; damage puts it on suspect."""
    if condition not in Condition.values:
        raise UserError("Say in what condition it came back.", field="condition")
    with transaction.atomic():
        locked = lock_part(loan.part)
        if locked.fitted_count:
            raise Conflict("The part is still in an aircraft: take it out first.")
        loan.condition_in = condition
        loan.note = f"{loan.note} {note}".strip()[:300]
        loan = _end(loan, by=by, verb="returned", text=f"Back from {loan.borrower}, {condition}.")
        locked.condition = condition
        locked.save()
    return loan


def _end(record: Any, *, by: User, verb: str, text: str) -> Any:
    if not type(record).objects.editable_by(by).filter(pk=record.pk).exists():
        raise NotAllowed("This is not yours to end.")
    with transaction.atomic():
        lock_part(record.part)
        current = type(record).objects.get(pk=record.pk)
        if current.ended_at:
            raise Conflict("This has ended already.")
        record.ended_at = timezone.now()
        record.save()
        note_event(record.part, verb, text, by=by)
    return record


def _refuse_unusable(part: Part) -> None:
    if part.out_of_service:
        raise Conflict(f"The part is out of service: {part.out_of_service}.")
    if part.condition in (Condition.BROKEN, Condition.RETIRED):
        raise Conflict(f"The part is {part.condition}.")
