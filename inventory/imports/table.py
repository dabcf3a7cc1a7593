"""A parts list as it was read: headers and rows of cells, whatever file it came in."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from hangar.errors import UserError

FILE_BYTES_MAX = 10 * 1024 * 1024
ROWS_MAX = 20_000
COLUMNS_MAX = 100
# Lines of a file, blank ones included.
LINES_MAX = 200_000
CELL_LENGTH_MAX = 4_000
# A spreadsheet can name one long text in every cell, so the file's own size is no bound.
CHARACTERS_MAX = 12_000_000
HEADER_LENGTH_MAX = 100
HEADER_WITHIN = 20
SAMPLES = 3

Cell = str | int | float


class ImportProblem(UserError):
    """The list cannot be read or imported; the message says why."""


@dataclass(frozen=True)
class Row:
    """One line of the list, under the number it has in the file."""

    number: int
    cells: tuple[Cell, ...]

    def cell(self, column: int) -> Cell:
        """The cell of that column, counted from zero; a short row is blank at its end."""
        return self.cells[column] if column < len(self.cells) else ""


@dataclass(frozen=True)
class Table:
    """Headers, each of its own, and the rows below them that are not blank."""

    headers: tuple[str, ...]
    rows: tuple[Row, ...]

    def samples(self, column: int) -> list[str]:
        """The first few different cells of a column that are not blank."""
        found: dict[str, None] = {}
        for row in self.rows:
            text = str(row.cell(column))
            if text:
                found[text] = None
            if len(found) == SAMPLES:
                break
        return list(found)

    def to_json(self) -> dict[str, Any]:
        """The table as plain lists."""
        return {
            "headers": list(self.headers),
            "rows": [[row.number, list(row.cells)] for row in self.rows],
        }

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Table:
        """The table that `to_json` stored."""
        rows = tuple(Row(number, tuple(cells)) for number, cells in stored["rows"])
        return cls(tuple(stored["headers"]), rows)


def make_table(lines: Iterable[Sequence[object]]) -> Table:
    """Make a table of raw lines; raises ImportProblem when it has too much or nothing in it."""
    rows = _rows_of(lines)
    if not rows:
        raise ImportProblem("There is nothing in this file.", field="file")
    head = _header_place(rows)
    below = tuple(rows[head + 1 :])
    if not below:
        raise ImportProblem("There is one line in this file and no part below it.", field="file")
    width = max(len(row.cells) for row in (rows[head], *below))
    return Table(_headers(rows[head], width), below)


def _rows_of(lines: Iterable[Sequence[object]]) -> list[Row]:
    rows: list[Row] = []
    characters = 0
    for number, line in enumerate(lines, start=1):
        cells = _cells_of(number, line)
        if not cells:
            continue
        if number > LINES_MAX:
            raise ImportProblem(f"The list goes on below line {LINES_MAX}.", field="file")
        if len(cells) > COLUMNS_MAX:
            raise ImportProblem(
                f"Line {number} has {len(cells)} columns; {COLUMNS_MAX} are read.", field="file"
            )
        characters += sum(len(cell) for cell in cells if isinstance(cell, str))
        rows.append(Row(number, cells))
        # One more than the parts, for the line of headers.
        if len(rows) > ROWS_MAX + 1 or characters > CHARACTERS_MAX:
            raise ImportProblem(
                f"The list is too long: {ROWS_MAX} rows are read at once. Import it in pieces.",
                field="file",
            )
    return rows


def _cells_of(number: int, line: Sequence[object]) -> tuple[Cell, ...]:
    cells = [_cell_of(raw) for raw in line]
    while cells and cells[-1] == "":
        cells.pop()
    for cell in cells:
        if isinstance(cell, str) and len(cell) > CELL_LENGTH_MAX:
            raise ImportProblem(
                f"A cell of line {number} is longer than {CELL_LENGTH_MAX} characters.",
                field="file",
            )
        if isinstance(cell, str) and "\x00" in cell:
            raise ImportProblem(f"Line {number} holds a null character.", field="file")
    return tuple(cells)


def _cell_of(raw: object) -> Cell:
    if raw is None:
        return ""
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    if isinstance(raw, float):
        return _number(raw)
    if isinstance(raw, int):
        return raw
    if isinstance(raw, datetime) and raw.time() == time():
        return raw.date().isoformat()
    if isinstance(raw, date | time):
        return raw.isoformat()
    return str(raw).replace("\u00a0", " ").strip()


def _number(raw: float) -> Cell:
    if not math.isfinite(raw):
        return str(raw)
    return int(raw) if raw.is_integer() else raw


def _header_place(rows: list[Row]) -> int:
    # A title above the headers fills one cell; headers fill several.
    for place, row in enumerate(rows[:HEADER_WITHIN]):
        if sum(cell != "" for cell in row.cells) > 1:
            return place
    return 0


def _headers(row: Row, width: int) -> tuple[str, ...]:
    headers: dict[str, None] = {}
    for place in range(width):
        stem = " ".join(str(row.cell(place)).split())[:HEADER_LENGTH_MAX] or f"column {place + 1}"
        header, copies = stem, 1
        while header in headers:
            copies += 1
            header = f"{stem} ({copies})"
        headers[header] = None
    return tuple(headers)
