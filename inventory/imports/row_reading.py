"""One row of a list: its cells read as a part and a data sheet, its faults gathered."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError

from inventory.codes import CodeError, check_code
from inventory.imports.cells import is_blank, read_cell, read_condition, read_whole
from inventory.imports.fields import NOTES, SHEET_MASS, list_fields, part_column, sheet_columns
from inventory.imports.known import BLANK, path_of
from inventory.imports.plans import Outcome, PlannedRow, PlannedSheet
from inventory.imports.table import Cell, Row
from inventory.kinds import DataSheet
from inventory.models import Source

if TYPE_CHECKING:
    from inventory.imports.planning import Planner

PIECES_MAX = 100
NOTES_MAX = 4000


class RowFault(Exception):
    """One row cannot be read; the column and the reason."""

    def __init__(self, column: str, reason: str) -> None:
        super().__init__(reason)
        self.column = column
        self.reason = reason


class RowReading:
    """The reading of one row: faults are gathered, so that all of them are told at once."""

    def __init__(self, planner: Planner, row: Row, faults: list[RowFault]) -> None:
        self.planner = planner
        self.row = row
        self.faults = faults
        self.notes: list[str] = []
        self.kind = self._kind()
        self.pieces: int | None = self._read("count", read_whole)
        self.wanted: PlannedSheet | None = None
        self.values: dict[str, Any] = {}
        if self.kind is not None and self.pieces != 0:
            self.wanted = self._sheet(self.kind)
            self.values = self._part_values(self.kind, self.pieces or 1)

    def content(self) -> dict[str, Any]:
        """What the cells became: by it a row is known again, whatever its columns are called."""
        found: dict[str, Any] = {"kind": self.kind, "pieces": self.pieces}
        if self.wanted is not None:
            found |= {f"sheet {name}": value for name, value in self.wanted.values.items()}
            found |= {"maker": self.wanted.maker, "name": self.wanted.name}
        found |= {f"part {name}": value for name, value in self.values.items()}
        found["part notes"] = [
            text for at in self._places_of(NOTES) if (text := str(self.row.cell(at)))
        ]
        found["code"] = str(self._cell("code")).replace("-", "").replace(" ", "")
        found["place"] = list(path_of(str(self._cell("place"))))
        return {name: value for name, value in found.items() if value not in BLANK}

    def planned(self, fingerprint: str) -> PlannedRow:
        """What becomes of the row; of no account once there are faults."""
        kind, wanted, pieces, values = self.kind, self.wanted, self.pieces, self.values
        if pieces == 0:
            return PlannedRow(
                self.row.number, Outcome.LEFT_OUT, kind or "", self.planner.title_of(self.row),
                notes=("The count is 0: nothing to add.",), fingerprint=fingerprint,
            )  # fmt: skip
        if kind is None or wanted is None:
            return PlannedRow(self.row.number, Outcome.ERROR)
        code = self._code(1 if values["is_bag"] else pieces or 1)
        if code:
            values["code"] = code
        place = self._read("place", lambda cell: self.planner.place_for(str(cell)))
        if self._has_part_of_code(code):
            return PlannedRow(
                self.row.number, Outcome.LEFT_OUT, kind, wanted.title,
                notes=("You have a part with this label code.",), fingerprint=fingerprint,
            )  # fmt: skip
        count = 1 if values["is_bag"] else pieces or 1
        self._guard("count", lambda: self.planner.count_parts(count))
        if self.faults:
            return PlannedRow(self.row.number, Outcome.ERROR)
        sheet, told = self.planner.sheet_for(wanted)
        outcome = Outcome.KNOWN_SHEET if sheet.existing else Outcome.NEW_SHEET
        return PlannedRow(
            self.row.number, outcome, kind, sheet.title, count, sheet, values, place, fingerprint,
            (*self.notes, *told),
        )  # fmt: skip

    def _places_of(self, key: str) -> list[int]:
        return self.planner.places.get(key, [])

    def _header(self, key: str) -> str:
        places = self._places_of(key)
        return self.planner.table.headers[places[0]] if places else ""

    def _cell(self, key: str) -> Cell:
        places = self.planner.places.get(key)
        cell = self.row.cell(places[0]) if places else ""
        return "" if is_blank(cell) else cell

    def _fault(self, key: str, reason: str) -> None:
        self.faults.append(RowFault(self._header(key), reason))

    def _guard(self, key: str, do: Any) -> Any:
        try:
            return do()
        except ValidationError as error:
            self._fault(key, " ".join(error.messages))
            return None

    def _read(self, key: str, reader: Any) -> Any:
        cell = self._cell(key)
        return None if cell == "" else self._guard(key, lambda: reader(cell))

    def _value(self, key: str, column: Any) -> Any:
        """The cell as a value of that model column; None when it is blank or wrong."""
        unit = self.planner.matching.unit_of(self._header(key), list_fields()[key])
        commas = self.planner.decimal_commas
        return self._read(
            key, lambda cell: read_cell(column, cell, unit=unit, decimal_commas=commas)
        )

    def _kind(self) -> str | None:
        word = str(self._cell("kind"))
        if not word:
            if not self.planner.matching.kind:
                self._fault("kind", "Say what kind of part it is.")
            return self.planner.matching.kind or None
        kind = self.planner.matching.kind_of(word)
        if kind is None:
            self._fault("kind", f"“{word[:40]}” is no kind that is known here: choose one for it.")
        return kind

    def _sheet(self, kind: str) -> PlannedSheet:
        name = self._value("name", part_column("name")) or ""
        if self._cell("name") == "":
            self._fault("name", "Give the name.")
        values = {SHEET_MASS: self._value(SHEET_MASS, part_column(SHEET_MASS))}
        columns = sheet_columns(kind)
        label = DataSheet.registry[kind].label
        for key in self.planner.places:
            if key in columns:
                values[key] = self._value(key, columns[key])
            elif list_fields()[key].is_of_sheet and self._cell(key) != "":
                self.notes.append(f"“{self._header(key)}” is left out: no column of {label}.")
        given = {key: value for key, value in values.items() if value not in BLANK}
        maker = self._value("maker", part_column("maker")) or ""
        return PlannedSheet(kind, maker, name, given)

    def _part_values(self, kind: str, pieces: int) -> dict[str, Any]:
        is_bag = DataSheet.registry[kind].is_consumable
        if not is_bag and pieces > PIECES_MAX:
            self._fault("count", f"One row is at most {PIECES_MAX} parts of this kind.")
        values = {
            "is_bag": is_bag,
            "count": pieces if is_bag else 1,
            "name": self._value("own_name", part_column("own_name")),
            "condition": self._read("condition", lambda cell: read_condition(str(cell))),
            "acquired_on": self._value("acquired_on", part_column("acquired_on")),
            "notes": self._notes(),
        }
        values |= self._mass("mass_g", Source.WEIGHED) or self._mass(
            "mass_guessed_g", Source.GUESSED
        )
        return {name: value for name, value in values.items() if value not in (None, "")}

    def _mass(self, key: str, source: str) -> dict[str, Any]:
        mass_g = self._value(key, part_column(key))
        if mass_g is None:
            return {}
        if mass_g <= 0:
            self._fault(key, "A mass is above zero.")
        return {"mass_g": mass_g, "mass_source": source}

    def _notes(self) -> str:
        places = self._places_of(NOTES)
        found = [(self.planner.table.headers[at], str(self.row.cell(at))) for at in places]
        lines = [text if len(places) == 1 else f"{head}: {text}" for head, text in found if text]
        text = "\n".join(lines)
        if len(text) > NOTES_MAX:
            self._fault(NOTES, f"Notes have {NOTES_MAX} characters at most.")
        return text

    def _code(self, pieces: int) -> str:
        text = str(self._cell("code"))
        if not text:
            return ""
        try:
            code = check_code(text)
        except CodeError as error:
            self._fault("code", str(error))
            return ""
        earlier = self.planner.codes.setdefault(code, self.row.number)
        if earlier != self.row.number:
            self._fault("code", f"Row {earlier} has this label code already.")
        if pieces > 1:
            self._fault("code", f"A label code is for one part, and this row is {pieces}.")
        return code

    def _has_part_of_code(self, code: str) -> bool:
        whose = self.planner.known.codes.get(code)
        if whose == "other":
            self._fault("code", "This label code is taken: leave it blank to get another.")
        return whose == "own"
