"""Writes to the log of a pack."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django.db import IntegrityError, transaction

from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.models import Incident, LogEntry, Part
from inventory.operations.guards import lock_part, note_event, refuse_unless_loggable
from inventory.operations.stopping import reconsider_service, take_out_of_service


def add_log_entry(pack: Part, *, by: User, **values: Any) -> LogEntry:
    """Add an entry to a pack's log; the same id again, with the same content, adds nothing."""
    if pack.kind != "pack":
        raise UserError("Only a battery pack has a log.")
    refuse_unless_loggable(pack, by=by)
    entry = LogEntry(pack=pack, by=by, **values)
    entry.clean_fields(exclude=["pack", "by", "corrects"])
    with transaction.atomic():
        locked = lock_part(pack)
        earlier = LogEntry.objects.filter(pk=entry.pk).first()
        if earlier:
            return _same_entry(earlier, entry, is_dated="started_at" in values)
        _check_entry(entry, cells=locked.sheet.typed.cell_count)
        entry.full_clean(exclude=["pack", "by"])
        entry.save(force_insert=True)
        note_event(locked, "logged", f"Logged: {entry.get_kind_display()}.", by=by)
        if entry.kind == LogEntry.Kind.INCIDENT:
            incident = Incident(entry.incident)
            take_out_of_service(locked, reason=str(incident.label), by=by, incident=incident)
        if _undoes_incident(entry):
            reconsider_service(lock_part(pack), by=by)
    return entry


def add_log_entries(pack: Part, *, by: User, rows: Iterable[dict[str, Any]]) -> list[LogEntry]:
    """Add many new entries to a pack's log: all or none, and one line in its history.

    An incident changes the state of the pack, so it is added by itself.
    """
    if pack.kind != "pack":
        raise UserError("Only a battery pack has a log.")
    refuse_unless_loggable(pack, by=by)
    cells = pack.sheet.typed.cell_count
    entries = [LogEntry(pack=pack, by=by, **row) for row in rows]
    for entry in entries:
        if entry.incident or entry.kind == LogEntry.Kind.INCIDENT or _undoes_incident(entry):
            raise UserError("Add an incident, or its correction, by itself.", field="kind")
        entry.clean_fields(exclude=["pack", "by", "corrects"])
        _check_entry(entry, cells=cells)
    try:
        with transaction.atomic():
            locked = lock_part(pack)
            LogEntry.objects.bulk_create(entries)
            note_event(locked, "logged", f"Logged: {len(entries)} entries.", by=by)
    except IntegrityError as error:
        raise Conflict("One of these entries is in the log already.", field="id") from error
    return entries


def _undoes_incident(entry: LogEntry) -> bool:
    return entry.corrects is not None and entry.corrects.kind == LogEntry.Kind.INCIDENT


def _same_entry(earlier: LogEntry, entry: LogEntry, *, is_dated: bool) -> LogEntry:
    if earlier.pack_id != entry.pack_id:
        # The other pack may be one that the person may not see.
        raise Conflict("This id cannot be used.", field="id")
    own = {"by_id", "recorded_at"} if is_dated else {"by_id", "recorded_at", "started_at"}
    names = {field.attname for field in LogEntry._meta.concrete_fields} - own
    if any(getattr(earlier, name) != getattr(entry, name) for name in names):
        raise Conflict("Another entry has this id. Correct an entry by a new one.", field="id")
    return earlier


def _check_entry(entry: LogEntry, *, cells: int | None) -> None:
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
    _check_cells(entry, cells)


def _check_cells(entry: LogEntry, cells: int | None) -> None:
    for name in ("rest_v", "resistance_mohm"):
        found = len(getattr(entry, name))
        if cells and found and found != cells:
            raise UserError(
                f"Give one figure for each of the pack's {cells} cells, not {found}.", field=name
            )
