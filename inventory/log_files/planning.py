"""From the rows of a log file to entries of the log: what files of both shapes share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any
from uuid import UUID, uuid5

from inventory.codes import CodeError, check_code
from inventory.log_files.faults import Problem, RowFault
from inventory.log_files.fields import cell_of
from inventory.log_files.recipes import Recipe
from inventory.log_files.rows import column_readers, is_blank, split_rows

ENTRY_IDS = UUID("6a0d4a3e-9d1b-5d0e-8c8e-3f0e6c1b7a52")
"""The space of the ids of entries made from files: the same event always has the same id."""


@dataclass(frozen=True)
class PlannedEntry:
    """One entry that rows of a file become."""

    id: UUID
    row: int
    values: dict[str, Any]


@dataclass
class Planned:
    """What a block of a file becomes."""

    entries: list[PlannedEntry] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    notes: list[Problem] = field(default_factory=list)
    rows: int = 0
    rows_left_out: int = 0


@dataclass(frozen=True)
class Subject:
    """The pack that a file is about, and how its text is cut into cells."""

    code: str
    cells: int | None
    headers: tuple[str, ...]
    delimiter: str


class FileReading:
    """One pass through a file; `state` is what a later one goes on from."""

    drops_open_line = False

    def __init__(self, subject: Subject, recipe: Recipe, state: dict[str, Any]) -> None:
        self.subject = subject
        self.recipe = recipe
        places = recipe.places_of(subject.headers)
        self.width = len(subject.headers)
        self.places = places
        self.readers = column_readers(recipe, subject.headers)
        self.moments = recipe.moments()
        self.cells_v = self._of_cells("v")
        self.cells_mohm = self._of_cells("mohm")
        self.planned = Planned()
        self._restore(state)

    def state(self) -> dict[str, Any]:
        """Where the pass stands, as plain values."""
        raise NotImplementedError

    def _restore(self, state: dict[str, Any]) -> None:
        raise NotImplementedError

    def _take(self, number: int, cells: list[str]) -> None:
        raise NotImplementedError

    def _take_headers(self) -> None:
        """The headers stand in the file again."""

    def _end(self, *, is_last: bool) -> None:
        """All lines of a block are read."""

    def read(self, text: str, first_line: int, *, is_last: bool) -> Planned:
        """Read the next lines; `is_last` says that none follow."""
        self.planned = Planned()
        cut = self._cut_line(text, first_line) if is_last else None
        headers = list(self.subject.headers)
        for number, cells in split_rows(text, first_line, self.subject.delimiter):
            self.planned.rows += 1
            if number == cut:
                self._refuse(number, RowFault("The last line is cut short."))
            elif cells[0] == headers[0] and [cell.strip() for cell in cells] == headers:
                self.planned.rows_left_out += 1
                self._note(
                    number, "The headers stand here again: what follows is a part by itself."
                )
                self._take_headers()
            elif len(cells) > self.width and any(cell.strip() for cell in cells[self.width :]):
                self._refuse(
                    number, RowFault(f"It has {len(cells)} cells; the headers are {self.width}.")
                )
            else:
                self._take_row(number, cells)
        self._end(is_last=is_last)
        return self.planned

    def _cut_line(self, text: str, first_line: int) -> int | None:
        """The number of a last line that was cut: short of cells, or a sample without its end."""
        if text.endswith("\n") or not text.strip():
            return None
        *_, (number, cells) = split_rows(text, first_line, self.subject.delimiter)
        wanted = max(self.places.values()) + 1
        return number if self.drops_open_line or len(cells) < wanted else None

    def _take_row(self, number: int, cells: list[str]) -> None:
        cells += [""] * (self.width - len(cells))
        try:
            if "pack" in self.places and not self._is_of_pack(cells[self.places["pack"]]):
                self.planned.rows_left_out += 1
                return
            self._take(number, cells)
        except RowFault as fault:
            self._refuse(number, fault)

    def _refuse(self, number: int, fault: RowFault) -> None:
        self.planned.problems.append(Problem(number, fault.column, fault.message))

    def _note(self, number: int, reason: str) -> None:
        self.planned.notes.append(Problem(number, "", reason))

    def _is_of_pack(self, text: str) -> bool:
        if is_blank(text.strip()):
            return True
        try:
            return check_code(text) == self.subject.code
        except CodeError as error:
            raise RowFault(str(error), self.subject.headers[self.places["pack"]]) from error

    def _of_cells(self, unit: str) -> list[tuple[int, Callable[[str], float | None]]]:
        found = []
        for key, (place, reader) in self.readers.items():
            cell = cell_of(key)
            if cell and cell[1] == unit:
                found.append((cell[0], place, reader))
        return [(place, reader) for _, place, reader in sorted(found, key=lambda one: one[0])]

    def _moment(self, cells: list[str], after_s: float | None) -> tuple[float, bool]:
        """When the row was [s since 1970, UTC], and whether it has a time of day."""
        key = "moment" if "moment" in self.places else "day"
        place = self.places[key]
        text = cells[place].strip()
        header = self.subject.headers[place]
        if not text:
            raise RowFault("There is no date.", header)
        try:
            if key == "moment":
                return self.moments.moment_s(text, after_s)
            clock = cells[self.places["clock"]].strip() if "clock" in self.places else ""
            return self.moments.of_two_s(text, clock, after_s)
        except RowFault as fault:
            raise RowFault(fault.message, header) from fault

    def _plan(self, row: int, values: dict[str, Any], key: str) -> None:
        name = f"{self.subject.code} {values['kind']} {key}"
        self.planned.entries.append(PlannedEntry(uuid5(ENTRY_IDS, name), row, values))


def moment_at(at_s: float) -> datetime:
    """The moment of that many seconds since 1970, UTC; raises RowFault."""
    try:
        return datetime.fromtimestamp(at_s, UTC)
    except (ValueError, OverflowError, OSError) as error:
        raise RowFault("This is no moment.") from error
