"""Spreadsheets as tables: XLSX (ISO/IEC 29500) and ODS (ISO/IEC 26300), within bounds."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from itertools import repeat
from typing import Any

import openpyxl  # type: ignore[import-untyped]
from defusedxml import ElementTree  # type: ignore[import-untyped]

from inventory.imports.table import COLUMNS_MAX, LINES_MAX, ImportProblem, Table, make_table

UNPACKED_BYTES_MAX = 60 * 1024 * 1024
MEMBERS_MAX = 2_000
SHEET_LINES = 1_048_576
NOT_WORKED_OUT = "#N/A"
_XLSX_PART = "xl/workbook.xml"
_ODS_PART = "content.xml"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


def read_spreadsheet(data: bytes) -> Table:
    """Read the first sheet of a spreadsheet in which anything stands; raises ImportProblem."""
    with _unreadable_is_a_problem(), zipfile.ZipFile(io.BytesIO(data)) as packed:
        _refuse_bomb(packed)
        names = set(packed.namelist())
        if _XLSX_PART in names:
            return make_table(_xlsx_lines(data))
        if _ODS_PART in names:
            with packed.open(_ODS_PART) as content:
                return make_table(_ods_lines(content))
    raise ImportProblem("This is no spreadsheet: save the list as XLSX, ODS or CSV.", field="file")


@contextmanager
def _unreadable_is_a_problem() -> Iterator[None]:
    try:
        yield
    except ImportProblem:
        raise
    # A broken file fails in the reading libraries wherever it happens to be broken.
    except Exception as error:
        raise ImportProblem(
            "This spreadsheet cannot be read. Open it, save it again as XLSX, ODS or CSV, "
            "and try with that.",
            field="file",
        ) from error


def _refuse_bomb(packed: zipfile.ZipFile) -> None:
    # The sizes in the directory hold: zipfile stops reading a member at its stated size.
    members = packed.infolist()
    if len(members) > MEMBERS_MAX or sum(one.file_size for one in members) > UNPACKED_BYTES_MAX:
        raise ImportProblem("Unpacked, this spreadsheet is too large.", field="file")


def _xlsx_lines(data: bytes) -> Iterator[tuple[object, ...]]:
    worked_out = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    as_written = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False)
    with closing(worked_out), closing(as_written):
        for values, written in zip(worked_out.worksheets, as_written.worksheets, strict=True):
            lines = _xlsx_sheet(values, written)
            filled = next((line for line in lines if _is_filled(line[1])), None)
            if filled:
                # Blank lines above keep their place, so that line numbers are those of the file.
                yield from ((),) * (filled[0] - 1)
                yield filled[1]
                yield from (line for _, line in lines)
                return


def _xlsx_sheet(values: Any, written: Any) -> Iterator[tuple[int, tuple[object, ...]]]:
    for sheet in (values, written):
        # Some programs write a size that is wrong.
        sheet.reset_dimensions()
    pairs = zip(values.iter_rows(values_only=True), written.iter_rows(), strict=True)
    for number, (line, cells) in enumerate(pairs, start=1):
        if number > SHEET_LINES:
            raise ImportProblem("The sheet has more lines than a sheet can have.", field="file")
        yield number, tuple(map(_known_value, line, cells))


def _known_value(value: object, cell: Any) -> object:
    """A formula that was never worked out must not pass for a blank cell."""
    return NOT_WORKED_OUT if value is None and cell.data_type == "f" else value


def _is_filled(line: tuple[object, ...]) -> bool:
    return any(value not in (None, "") for value in line)


def _ods_lines(content: Any) -> Iterator[list[object]]:
    is_filled, blank = False, 0
    for event, element in ElementTree.iterparse(content, events=("start", "end")):
        if event == "start" and element.tag == f"{_TABLE}table":
            if is_filled:
                return
            blank = 0
        if event == "end" and element.tag == f"{_TABLE}table-row":
            line, times = _ods_cells(element), _times(element, "number-rows-repeated")
            element.clear()
            if not line:
                # Below the list the format repeats one blank line to the sheet's end.
                blank += times
                continue
            is_filled = True
            yield from repeat([], min(blank, LINES_MAX))
            yield from repeat(line, times)
            blank = 0


def _ods_cells(row: Any) -> list[object]:
    cells: list[object] = []
    blank = 0
    for cell in row:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        value, times = _ods_value(cell), _times(cell, "number-columns-repeated")
        if value is None:
            blank += times
            continue
        cells.extend([None] * min(blank, COLUMNS_MAX))
        cells.extend([value] * min(times, COLUMNS_MAX + 1))
        blank = 0
    return cells


def _times(element: Any, attribute: str) -> int:
    return int(element.get(f"{_TABLE}{attribute}", "1"))


def _ods_value(cell: Any) -> object:
    kind = cell.get(f"{_OFFICE}value-type")
    if kind in ("float", "currency", "percentage"):
        return float(cell.get(f"{_OFFICE}value"))
    if kind == "boolean":
        return cell.get(f"{_OFFICE}boolean-value") == "true"
    if kind == "date":
        return cell.get(f"{_OFFICE}date-value", "").removesuffix("T00:00:00")
    if kind is None and cell.get(f"{_TABLE}formula"):
        return NOT_WORKED_OUT
    lines = ["".join(line.itertext()) for line in cell.iter(f"{_TEXT}p")]
    return "\n".join(lines) or None
