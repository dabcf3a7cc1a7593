"""Writes to the log of a pack."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.models import Incident, LogEntry, Part
from inventory.operations.guards import lock_part, note_event, refuse_unless_loggable
from inventory.operations.stopping import reconsider_service, take_out_of_service
from inventory.stored_health import keep_health_ready

SHORTLY = timedelta(minutes=1)
LONGEST = timedelta(days=1)
# What all entries that are added together share.
ONE_FOR_ALL = {"pack", "by", "log_file", "recorded_at"}


def add_log_entry(pack: Part, *, by: User, **values: Any) -> LogEntry:
    """Add an entry to a pack's log; the same id again, with the same content, adds nothing."""
    if pack.kind != "pack":
        raise UserError("Only a battery pack has a log.")
    refuse_unless_loggable(pack, by=by)
    entry = LogEntry(pack=pack, by=by, **values)
    entry.clean_fields(exclude=["pack", "by", "corrects", "log_file"])
    with transaction.atomic():
        locked = lock_part(pack)
        earlier = LogEntry.objects.filter(pk=entry.pk).first()
        if earlier:
            return _same_entry(earlier, entry, is_dated="started_at" in values)
        _check_entry(entry, cells=locked.sheet.typed.cell_count)
        entry.full_clean(exclude=["pack", "by", "log_file"])
        entry.save(force_insert=True)
        note_event(locked, "logged", f"Logged: {entry.get_kind_display()}.", by=by)
        if entry.kind == LogEntry.Kind.INCIDENT:
            incident = Incident(entry.incident)
            take_out_of_service(locked, reason=str(incident.label), by=by, incident=incident)
        if _undoes_incident(entry):
            reconsider_service(lock_part(pack), by=by)
        keep_health_ready(pack)
    return entry


def log_flight(
    pack: Part,
    *,
    by: User,
    id: UUID,  # noqa: A002
    at: datetime,
    duration_s: float | None = None,
    charge_mah: float | None = None,
    is_full: bool = False,
    rest_v: list[float] | None = None,
) -> list[LogEntry]:
    """Log what is known after a flight: how long, the cells at rest, the charge put back.

    `at` is when the charge began, or when it was all over. All is logged or nothing; the same id
    again adds nothing. Raises UserError.
    """
    wanted: dict[LogEntry.Kind, dict[str, Any]] = {
        LogEntry.Kind.USE: {"duration_s": duration_s} if duration_s is not None else {},
        LogEntry.Kind.REST: {"rest_v": rest_v} if rest_v else {},
        LogEntry.Kind.CHARGE: (
            {"charge_mah": charge_mah, "is_full": is_full} if charge_mah is not None else {}
        ),
    }
    ids = {kind: uuid5(id, kind) for kind, values in wanted.items() if values}
    if not ids:
        raise UserError("Give the minutes, the charge or the cells.", field="minutes")
    refuse_unless_loggable(pack, by=by)
    # Entries of one minute, or that overlap, would contradict each other.
    starts = {
        LogEntry.Kind.USE: at - 2 * SHORTLY - timedelta(seconds=duration_s or 0),
        LogEntry.Kind.REST: at - SHORTLY,
        LogEntry.Kind.CHARGE: at,
    }
    with transaction.atomic():
        lock_part(pack)
        known = list(LogEntry.objects.filter(pk__in=[uuid5(id, kind) for kind in wanted]))
        if any(entry.pack_id != pack.pk for entry in known):
            raise Conflict("This id cannot be used.", field="id")
        if known:
            return known
        _refuse_overlap(pack, starts[LogEntry.Kind.USE], at)
        return [
            add_log_entry(
                pack, by=by, id=ids[kind], kind=kind, started_at=starts[kind], **wanted[kind]
            )
            for kind in ids
        ]


def _refuse_overlap(pack: Part, start: datetime, end: datetime) -> None:
    moving = (LogEntry.Kind.USE, LogEntry.Kind.CHARGE)
    near = pack.log.standing().filter(
        kind__in=moving, started_at__gt=start - LONGEST, started_at__lt=end + SHORTLY
    )
    for entry in near:
        ended_at = entry.started_at + max(SHORTLY, timedelta(seconds=entry.duration_s or 0))
        if ended_at > start:
            raise UserError(
                f"The log has a {entry.get_kind_display()} of {entry.started_at:%Y-%m-%d %H:%M}, "
                "which would overlap: say when this one was over.",
                field="at",
            )


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
        check_new_entry(entry, cells=cells)
    return keep_new_entries(pack, entries, by=by)


def check_new_entry(entry: LogEntry, *, cells: int | None) -> None:
    """Refuse an entry that cannot be added beside others; raises UserError or ValidationError."""
    if entry.incident or entry.kind == LogEntry.Kind.INCIDENT or _undoes_incident(entry):
        raise UserError("Add an incident, or its correction, by itself.", field="kind")
    entry.clean_fields(exclude=["id", "pack", "by", "corrects", "log_file", "log_file_row"])
    _check_entry(entry, cells=cells)


def keep_new_entries(pack: Part, entries: list[LogEntry], *, by: User) -> list[LogEntry]:
    """Add entries that were checked: all or none, and one line in the pack's history."""
    try:
        with transaction.atomic():
            locked = lock_part(pack)
            _insert_all(entries)
            note_event(locked, "logged", f"Logged: {_count_of(entries)}.", by=by)
            keep_health_ready(pack)
    except IntegrityError as error:
        raise Conflict("One of these entries is in the log already.", field="id") from error
    return entries


def _insert_all(entries: list[LogEntry]) -> None:
    """Insert in one statement: Django's bulk_create makes one of every 38 entries on SQLite."""
    now = timezone.now()
    for entry in entries:
        entry.recorded_at = now
    columns = LogEntry._meta.concrete_fields
    kept: dict[str, Any] = {}

    def prepared(entry: LogEntry, column: Any) -> Any:
        value = getattr(entry, column.attname)
        if column.name not in ONE_FOR_ALL:
            return column.get_db_prep_save(value, connection)
        if column.name not in kept:
            kept[column.name] = column.get_db_prep_save(value, connection)
        return kept[column.name]

    quoted = connection.ops.quote_name
    names = ", ".join(quoted(str(column.column)) for column in columns)
    marks = ", ".join(["%s"] * len(columns))
    statement = f"INSERT INTO {quoted(LogEntry._meta.db_table)} ({names}) VALUES ({marks})"  # noqa: S608
    with connection.cursor() as cursor:
        cursor.executemany(
            statement, [[prepared(entry, column) for column in columns] for entry in entries]
        )


def _count_of(entries: list[LogEntry]) -> str:
    return f"{len(entries)} {'entry' if len(entries) == 1 else 'entries'}"


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
