"""The preview of an import: what each row of a list would become."""

from __future__ import annotations

import math
from typing import Any

from django.core.exceptions import ValidationError

from hangar.form_fields import label_without_unit
from inventory.imports.cells import has_decimal_comma
from inventory.imports.fields import list_fields
from inventory.imports.fingerprints import Fingerprints
from inventory.imports.known import BLANK, Known, path_of, sheet_key
from inventory.imports.matching import Matching, check_matching
from inventory.imports.plans import (
    PATH_SIGN,
    Outcome,
    Plan,
    PlannedRow,
    PlannedSheet,
    RowProblem,
)
from inventory.imports.row_reading import RowFault, RowReading
from inventory.imports.table import ROWS_MAX, Row, Table
from inventory.models import Place

PLACE_NAME_MAX = 60
# Two values that differ by less were rounded in different units.
SAME_WITHIN = 1e-3


def plan_import(table: Table, matching: Matching, known: Known) -> Plan:
    """Say what would become of each row; raises ImportProblem for an unusable matching."""
    check_matching(matching, table)
    return Planner(table, matching, known).plan()


class Planner:
    """Goes through a list from top to bottom; what earlier rows need, later ones share."""

    def __init__(self, table: Table, matching: Matching, known: Known) -> None:
        self.table = table
        self.matching = matching
        self.known = known
        self.places = matching.places_of(table)
        owner = known.owner["club"] or known.owner["person"]
        name = f"{owner._meta.model_name} {owner.pk}" if owner else ""
        self.fingerprints = Fingerprints(name)
        self.decimal_commas = self._writes_decimal_commas()
        self.problems: list[RowProblem] = []
        self.new_sheets: list[PlannedSheet] = []
        self.new_places: dict[tuple[str, ...], tuple[str, ...]] = {}
        self.codes: dict[str, int] = {}
        self.part_count = 0

    def plan(self) -> Plan:
        """Read all rows."""
        self.known.look_up_codes(self._all_codes())
        rows = tuple(self._plan_row(row) for row in self.table.rows)
        return Plan(
            rows, tuple(self.problems), tuple(self.new_sheets), tuple(self.new_places.values())
        )

    def _all_codes(self) -> list[str]:
        cells = [str(row.cell(at)) for at in self.places.get("code", []) for row in self.table.rows]
        return [cell.upper().replace(" ", "").replace("-", "") for cell in cells if cell]

    def _writes_decimal_commas(self) -> bool:
        fields = list_fields()
        measured = [at for key, places in self.places.items() if fields[key].unit for at in places]
        return any(has_decimal_comma(row.cell(at)) for row in self.table.rows for at in measured)

    def _plan_row(self, row: Row) -> PlannedRow:
        faults: list[RowFault] = []
        reading = RowReading(self, row, faults)
        fingerprint = self.fingerprints.next_of(reading.content())
        if fingerprint in self.known.fingerprints:
            return PlannedRow(
                row.number, Outcome.IMPORTED_BEFORE, title=self.title_of(row),
                fingerprint=fingerprint,
            )  # fmt: skip
        planned = reading.planned(fingerprint)
        if not faults:
            return planned
        self.problems += [RowProblem(row.number, one.column, one.reason) for one in faults]
        return PlannedRow(row.number, Outcome.ERROR, title=self.title_of(row))

    def title_of(self, row: Row) -> str:
        """What the list calls the row."""
        places = self.places.get("name")
        return str(row.cell(places[0])) if places else ""

    def sheet_for(self, wanted: PlannedSheet) -> tuple[PlannedSheet, tuple[str, ...]]:
        """The sheet of these values, an old or a new one, and what to tell about it."""
        same = self.known.sheets.setdefault(sheet_key(wanted), [])
        fitting = next((one for one in same if not _contradictions(one, wanted)), None)
        if fitting is None:
            notes = tuple(_other_values(one, wanted) for one in same if one.existing)
            same.append(wanted)
            self.new_sheets.append(wanted)
            return wanted, notes
        news = [name for name in wanted.values if fitting.values.get(name) in BLANK]
        if fitting.existing is None:
            fitting.values |= {name: wanted.values[name] for name in news}
            return fitting, ()
        if not news:
            return fitting, ()
        missing = ", ".join(label_without_unit(name) for name in news)
        return fitting, (f"Your data sheet has no {missing}, and stays as it is.",)

    def place_for(self, text: str) -> Place | tuple[str, ...]:
        """The owner's place of that name or path, or the path of one to be made."""
        names = path_of(text)
        if not names or any(len(name) > PLACE_NAME_MAX for name in names):
            raise ValidationError(f"A place's name has 1 to {PLACE_NAME_MAX} characters.")
        found = self.known.find_places(names)
        if len(found) > 1:
            raise ValidationError(
                f"There are {len(found)} places of this name: write the place it lies in before "
                f"it, such as Workshop{PATH_SIGN}{names[-1]}."
            )
        if found:
            return found[0]
        return self.new_places.setdefault(tuple(name.casefold() for name in names), names)

    def count_parts(self, pieces: int) -> None:
        """Keep count of the parts, within the bound of one import."""
        self.part_count += pieces
        if self.part_count > ROWS_MAX:
            raise ValidationError(f"More than {ROWS_MAX} parts: import the list in pieces.")


def _contradictions(known: PlannedSheet, wanted: PlannedSheet) -> list[str]:
    return [
        name
        for name, value in wanted.values.items()
        if known.values.get(name) not in BLANK and not _is_same(known.values[name], value)
    ]


def _is_same(one: Any, other: Any) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=SAME_WITHIN)
    return bool(one == other)


def _other_values(known: PlannedSheet, wanted: PlannedSheet) -> str:
    names = ", ".join(label_without_unit(name) for name in _contradictions(known, wanted))
    return f"You have a data sheet of this name with another {names}: this becomes a second one."
