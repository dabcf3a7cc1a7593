"""Lists on their way: taken in, matched, planned, and imported in one transaction or not at all."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from hangar.clubs.models import Club, User
from hangar.errors import Conflict, Missing, UserError
from inventory import operations
from inventory.imports.fields import SHEET_MASS
from inventory.imports.fingerprints import headers_digest
from inventory.imports.known import Known
from inventory.imports.matching import Matching, check_matching, suggest
from inventory.imports.models import ColumnMatching, ImportedRow, ImportRun
from inventory.imports.planning import plan_import
from inventory.imports.plans import Plan, PlannedRow, PlannedSheet, RowsRefused
from inventory.imports.reading import read_table
from inventory.imports.table import ImportProblem, Table
from inventory.kinds import DataSheet
from inventory.models import Part, Place

OPEN_MAX = 10
ROWS_AT_ONCE = 500
FILE_NAME_MAX = 120


def read_list(
    *, by: User, person: User | None, club: Club | None, file_name: str, data: bytes
) -> ImportRun:
    """Read a list for an owner, with columns matched as before or as the headers suggest.

    Nothing is stored. Raises ImportProblem when the file cannot be read.
    """
    operations.check_owner(by=by, person=person, club=club)
    table = read_table(data)
    return ImportRun(
        by=by,
        person=person,
        club=club,
        file_name=_tidy_name(file_name),
        table=table.to_json(),
        matching=(remembered_matching(table, by=by) or suggest(table)).to_json(),
    )


def _tidy_name(file_name: str) -> str:
    printable = "".join(one for one in file_name if one.isprintable())
    return printable.strip()[-FILE_NAME_MAX:] or "list"


def remembered_matching(table: Table, *, by: User) -> Matching | None:
    """The matching that the person used for the same columns last time."""
    stored = ColumnMatching.objects.filter(
        person=by, headers_digest=headers_digest(table.headers)
    ).first()
    if stored is None:
        return None
    matching = Matching.from_json(stored.matching)
    try:
        check_matching(matching, table)
    except ImportProblem:
        return None
    return matching


def keep_list(run: ImportRun) -> ImportRun:
    """Keep a list that was read, to be matched and imported later."""
    if ImportRun.objects.visible_to(run.by).open().count() >= OPEN_MAX:
        raise Conflict(
            f"You have {OPEN_MAX} lists that are not imported yet: import or discard one.",
            field="file",
        )
    run.save()
    return run


def table_of(run: ImportRun) -> Table:
    """The list that is kept; raises Conflict when it was imported already."""
    if run.imported_at:
        raise Conflict("This list is imported already.")
    return Table.from_json(run.table)


def match_columns(run: ImportRun, matching: Matching, *, by: User) -> ImportRun:
    """Decide which column of a list is which field."""
    with transaction.atomic():
        locked = _locked(run, by=by)
        check_matching(matching, table_of(locked))
        locked.matching = matching.to_json()
        locked.save(update_fields=["matching"])
    return locked


def plan_of(run: ImportRun) -> Plan:
    """What would become of each row of a list; nothing is stored."""
    known = Known(run.person, run.club)
    return plan_import(table_of(run), Matching.from_json(run.matching), known)


def discard_list(run: ImportRun, *, by: User) -> None:
    """Forget a list that is not imported."""
    with transaction.atomic():
        locked = _locked(run, by=by)
        table_of(locked)
        locked.delete()


def import_list(run: ImportRun, *, by: User) -> ImportRun:
    """Import all rows of a list, or none; rows that were imported before add nothing.

    Raises RowsRefused, which names the rows that cannot be imported, and Conflict when the same
    list was imported meanwhile.
    """
    try:
        with transaction.atomic():
            locked = _locked(run, by=by)
            operations.check_owner(by=by, person=locked.person, club=locked.club)
            plan = plan_of(locked)
            if plan.problems:
                raise RowsRefused(plan.problems)
            _add_all(locked, plan)
            return _close(locked, plan)
    except IntegrityError as error:
        raise Conflict("This list, or a part of it, was recorded meanwhile. Look again.") from error


def import_at_once(run: ImportRun) -> ImportRun:
    """Import a list that was only read: it is kept when it is imported, else not at all."""
    with transaction.atomic():
        run.save()
        return import_list(run, by=run.by)


def _locked(run: ImportRun, *, by: User) -> ImportRun:
    runs = ImportRun.objects.editable_by(by).select_for_update(of=("self",))
    found = runs.select_related("by", "person", "club").filter(pk=run.pk).first()
    if found is None:
        raise Missing("No such import.")
    return found


def _add_all(run: ImportRun, plan: Plan) -> None:
    owner = {"person": run.person, "club": run.club}
    adding = [row for row in plan.rows if row.adds]
    sheets = {id(planned): _add_sheet(planned, run, owner) for planned in plan.new_sheets}
    places = _Places(run, owner)
    parts: list[Part] = []
    origins: list[str] = []
    for row in adding:
        assert row.sheet is not None
        sheet = row.sheet.existing or sheets[id(row.sheet)]
        for _ in range(row.pieces):
            values = {"code": "", **row.values, **owner}
            parts.append(Part(sheet=sheet, place=places.of(row), **values))
            origins.append(f"{run.file_name}, row {row.number}")
    operations.add_parts(parts, by=run.by, origins=origins)
    ImportedRow.objects.bulk_create(
        (ImportedRow(run=run, number=row.number, fingerprint=row.fingerprint) for row in adding),
        batch_size=ROWS_AT_ONCE,
    )


def _add_sheet(planned: PlannedSheet, run: ImportRun, owner: dict[str, Any]) -> DataSheet:
    values = {name.removeprefix("sheet_") if name == SHEET_MASS else name: value
              for name, value in planned.values.items()}  # fmt: skip
    sheet = DataSheet.registry[planned.kind](
        maker=planned.maker, name=planned.name, **values, **owner
    )
    try:
        return operations.save_sheet(sheet, by=run.by)
    except (UserError, ValidationError) as error:
        raise ImportProblem(
            f"Nothing was imported. The data sheet {planned.title} was refused: {error}"
        ) from error


class _Places:
    """The places of rows; those that are not there yet are made, each once."""

    def __init__(self, run: ImportRun, owner: dict[str, Any]) -> None:
        self.run = run
        self.owner = owner
        self.made: dict[tuple[str, ...], Place] = {}

    def of(self, row: PlannedRow) -> Place | None:
        if row.place is None or isinstance(row.place, Place):
            return row.place
        return self._at(row.place)

    def _at(self, names: tuple[str, ...]) -> Place:
        key = tuple(name.casefold() for name in names)
        if key not in self.made:
            parent = self._at(names[:-1]) if len(names) > 1 else None
            self.made[key] = self._there(names[-1], parent) or operations.save_place(
                Place(name=names[-1], parent=parent, **self.owner), by=self.run.by
            )
        return self.made[key]

    def _there(self, name: str, parent: Place | None) -> Place | None:
        inside = Place.objects.filter(parent=parent, **self.owner)
        return next((one for one in inside if one.name.casefold() == name.casefold()), None)


def _close(run: ImportRun, plan: Plan) -> ImportRun:
    ColumnMatching.objects.update_or_create(
        person=run.by,
        headers_digest=headers_digest(Table.from_json(run.table).headers),
        defaults={"matching": run.matching},
    )
    run.counts = plan.counts
    run.table = {}
    run.imported_at = timezone.now()
    run.save()
    return run
