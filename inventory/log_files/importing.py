"""Log files into the log: block by block, each in a transaction that also notes where it stands."""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import timedelta
from math import isclose
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from hangar.clubs.models import User
from hangar.errors import Conflict, Missing, UserError
from inventory.imports.fingerprints import headers_digest
from inventory.log_files import telemetry
from inventory.log_files.faults import Problem
from inventory.log_files.models import LogFile, LogRecipe
from inventory.log_files.planning import Planned, PlannedEntry, Subject
from inventory.log_files.receiving import table_of, text_of
from inventory.log_files.recipes import Recipe, RecipeProblem, check_recipe, faults_of, suggest
from inventory.log_files.shapes import reading_of
from inventory.models import LogEntry
from inventory.operations.guards import refuse_unless_loggable
from inventory.operations.log import check_new_entry, keep_new_entries

PROBLEMS_KEPT = 500
RECIPE_NAME_MAX = 60
SECONDS_AT_ONCE = 4.0
CLOCK_TOLERANCE = timedelta(minutes=5)
SAME_FIGURE = 1e-4
COMPARED = ("charge_mah", "duration_s", "voltage_min_v", "temperature_c")
COMPARED_LISTS = ("rest_v", "resistance_mohm")


@dataclass
class Sorted:
    """Entries of a block by what becomes of them."""

    new: list[LogEntry] = field(default_factory=list)
    known: int = 0
    problems: list[Problem] = field(default_factory=list)


@dataclass(frozen=True)
class Preview:
    """What the first lines of a file would become."""

    entries: list[LogEntry]
    known: int
    problems: list[Problem]
    notes: list[Problem]
    rows: int
    is_whole: bool


def cells_of(file: LogFile) -> int | None:
    """Cells in series of the file's pack, which has its sheet; None where that is not known."""
    sheet: Any = file.pack.sheet.typed
    return sheet.cell_count or None


def recipe_of(file: LogFile, *, by: User) -> Recipe:
    """How a file is to be read: as chosen, as the person did last time, or as it looks."""
    if file.recipe:
        return Recipe.from_json(file.recipe)
    known = _of_telemetry(file) or _remembered(file, by=by)
    return known or replace(suggest(table_of(file)), zone=_zone_of(by))


def is_known(file: LogFile, *, by: User) -> bool:
    """Whether it is settled how a file is read: as chosen, as remembered, or by what it is."""
    return bool(file.recipe or _of_telemetry(file) or _remembered(file, by=by))


def _of_telemetry(file: LogFile) -> Recipe | None:
    table = table_of(file)
    rows = [[str(row.cell(place)) for place in range(len(table.headers))] for row in table.rows]
    return telemetry.recipe_of(file.headers, rows, cells_of(file))


def _zone_of(by: User) -> str:
    latest = LogRecipe.objects.visible_to(by).values_list("recipe", flat=True).first()
    return str(latest.get("zone", "UTC")) if latest else "UTC"


def _remembered(file: LogFile, *, by: User) -> Recipe | None:
    stored = (
        LogRecipe.objects.visible_to(by).filter(headers_digest=headers_digest(file.headers)).first()
    )
    return _usable(file, stored)


def _usable(file: LogFile, stored: LogRecipe | None) -> Recipe | None:
    if stored is None:
        return None
    try:
        recipe = Recipe.from_json(stored.recipe)
    except RecipeProblem:
        return None
    # When the recording began is told for each file.
    faults = faults_of(recipe, file.headers, cells_of(file))
    return None if any(one.about != "starts_at" for one in faults) else recipe


def recipe_named(name: str, *, by: User) -> Recipe:
    """The person's recipe of that name; raises RecipeProblem where there is none."""
    stored = LogRecipe.objects.visible_to(by).filter(name=name).first()
    if stored is None:
        raise RecipeProblem(f"You have no recipe {name!r}.")
    return Recipe.from_json(stored.recipe)


def choose_recipe(file: LogFile, recipe: Recipe, *, by: User, name: str = "") -> LogFile:
    """Settle how a file is read, and remember it for the person's next one."""
    with transaction.atomic():
        locked = _locked(file, by=by)
        if locked.is_started:
            raise Conflict("Rows of this file are in the log already: its recipe stands.")
        check_recipe(recipe, locked.headers, cells_of(locked))
        locked.recipe = recipe.to_json()
        locked.save(update_fields=["recipe"])
        digest = headers_digest(locked.headers)
        LogRecipe.objects.update_or_create(
            person=by,
            name=name.strip()[:RECIPE_NAME_MAX] or _name_of(by, digest, locked),
            defaults={"headers_digest": digest, "recipe": recipe.remembered().to_json()},
        )
    return locked


def _name_of(by: User, digest: str, file: LogFile) -> str:
    known = LogRecipe.objects.visible_to(by).filter(headers_digest=digest).first()
    if known:
        return known.name
    return file.file_name.rpartition(".")[0][:RECIPE_NAME_MAX] or file.file_name[:RECIPE_NAME_MAX]


def preview(file: LogFile, *, by: User) -> Preview:
    """What the first lines of a file would become by its recipe; nothing is stored."""
    is_whole = file.block_count == 1
    planned = _read(file, 0, {}, is_last=is_whole)[0]
    found = _sort(file, planned.entries, by=by)
    problems = sorted([*planned.problems, *found.problems], key=lambda one: one.row)
    return Preview(found.new, found.known, problems, planned.notes, planned.rows, is_whole)


def import_some(file: LogFile, *, by: User, seconds: float | None = None) -> LogFile:
    """Import further blocks of a file, one at least, until the seconds are over or it ends.

    Each block is added whole with the note of where the file stands, so nothing is lost or added
    twice when this ends early.
    """
    until = time.monotonic() + (SECONDS_AT_ONCE if seconds is None else seconds)
    while True:
        file = _import_block(file, by=by)
        if file.finished_at or time.monotonic() >= until:
            return file


def import_all(file: LogFile, *, by: User) -> LogFile:
    """Import a file to its end."""
    return import_some(file, by=by, seconds=float("inf"))


def discard_file(file: LogFile, *, by: User) -> None:
    """Forget a file of which nothing is in the log."""
    with transaction.atomic():
        locked = _locked(file, by=by)
        if locked.is_started:
            raise Conflict("Rows of this file are in the log: it stays with them.")
        locked.delete()


def _locked(file: LogFile, *, by: User) -> LogFile:
    files = LogFile.objects.editable_by(by).select_for_update(of=("self",))
    found = files.select_related("pack__sheet__pack").filter(pk=file.pk).first()
    if found is None:
        raise Missing("There is no such file.")
    refuse_unless_loggable(found.pack, by=by)
    return found


def _import_block(file: LogFile, *, by: User) -> LogFile:
    with transaction.atomic():
        locked = _locked(file, by=by)
        if locked.finished_at:
            return locked
        if not locked.recipe:
            raise Conflict("Say first which column is what.")
        number = locked.next_block
        is_last = number == locked.block_count - 1
        planned, state = _read(locked, number, locked.state, is_last=is_last)
        found = _sort(locked, planned.entries, by=by)
        if found.new:
            keep_new_entries(locked.pack, found.new, by=by)
        locked.state = {} if is_last else state
        locked.next_block = number + 1
        _count(locked, planned, found)
        if is_last:
            locked.finished_at = timezone.now()
        locked.save()
    return locked


def _read(
    file: LogFile, number: int, state: dict[str, Any], *, is_last: bool
) -> tuple[Planned, dict[str, Any]]:
    block = file.blocks.get(number=number)
    text, first_line = text_of(block), block.first_line
    if number == 0:
        text, first_line = text.split("\n", file.first_row - 1)[-1], file.first_row
    subject = Subject(file.pack.code, cells_of(file), tuple(file.headers), file.delimiter)
    reading = reading_of(subject, Recipe.from_json(file.recipe), state)
    return reading.read(text, first_line, is_last=is_last), reading.state()


def _count(file: LogFile, planned: Planned, found: Sorted) -> None:
    new = {
        "rows": planned.rows,
        "entries_added": len(found.new),
        "entries_known": found.known,
        "rows_refused": len(planned.problems) + len(found.problems),
        "rows_left_out": planned.rows_left_out,
        "notes": len(planned.notes),
    }
    file.counts = {name: file.counts.get(name, 0) + count for name, count in new.items()}
    told = sorted([*planned.problems, *found.problems, *planned.notes], key=lambda one: one.row)
    file.problems = [*file.problems, *(one.to_json() for one in told)][:PROBLEMS_KEPT]


def _sort(file: LogFile, planned: Iterable[PlannedEntry], *, by: User) -> Sorted:
    """Tell new entries from those that are in the log, and refuse what cannot be."""
    planned = list(planned)
    cells = cells_of(file)
    latest = timezone.now() + CLOCK_TOLERANCE
    seen = _earlier(one.id for one in planned)
    found = Sorted()
    for one in planned:
        entry = LogEntry(
            id=one.id, pack=file.pack, by=by, log_file=file, log_file_row=one.row, **one.values
        )
        earlier = seen.get(one.id)
        if earlier is not None:
            _meet(found, earlier, entry)
            continue
        reason = _why_not(entry, cells, latest)
        if reason:
            found.problems.append(reason)
            continue
        seen[one.id] = entry
        found.new.append(entry)
    return found


def _earlier(ids: Iterable[UUID]) -> dict[UUID, LogEntry]:
    return LogEntry.objects.in_bulk(list(ids))


def _meet(found: Sorted, earlier: LogEntry, entry: LogEntry) -> None:
    if earlier.pack_id == entry.pack_id and _is_same(earlier, entry):
        found.known += 1
        return
    found.problems.append(
        Problem(
            entry.log_file_row or 0,
            "",
            f"The log has another {entry.get_kind_display()} of {entry.started_at:%Y-%m-%d %H:%M}, "
            "with other figures: correct that one where it is wrong.",
        )
    )


def _is_same(earlier: LogEntry, entry: LogEntry) -> bool:
    pairs = [(getattr(earlier, name), getattr(entry, name)) for name in COMPARED]
    for name in COMPARED_LISTS:
        one, other = getattr(earlier, name), getattr(entry, name)
        if len(one) != len(other):
            return False
        pairs += zip(one, other, strict=True)
    return all(_is_close(first, second) for first, second in pairs)


def _is_close(first: float | None, second: float | None) -> bool:
    if first is None or second is None:
        return first is second
    return isclose(first, second, rel_tol=SAME_FIGURE, abs_tol=1e-6)


def _why_not(entry: LogEntry, cells: int | None, latest: Any) -> Problem | None:
    row = entry.log_file_row or 0
    if entry.started_at > latest:
        return Problem(
            row, "", "It is dated in the future: was the clock set, and is the time zone right?"
        )
    try:
        check_new_entry(entry, cells=cells)
    except UserError as error:
        return Problem(row, "", error.message)
    except ValidationError as error:
        name, messages = next(iter(error.message_dict.items()))
        return Problem(row, name.replace("_", " "), messages[0])
    return None
