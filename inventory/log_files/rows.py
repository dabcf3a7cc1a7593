"""Rows of a log file as text, and their cells as values."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator, Sequence

from hangar.quantities import QuantityError, read_quantity
from inventory.imports import words
from inventory.log_files.faults import RowFault
from inventory.log_files.fields import log_file_fields
from inventory.log_files.recipes import Recipe
from inventory.log_files.times import span_s

_BARE = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_COMMAS = re.compile(r"[+-]?[0-9]*,[0-9]+(?:[eE][+-]?[0-9]{1,3})?")
LARGEST = 1e12
CELL_LENGTH_MAX = 300


def split_rows(text: str, first_line: int, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Each line of a text under its number, as cells; blank lines are left out.

    Raises RowFault never: a line whose quotation marks do not close comes as one cell.
    """
    for number, line in enumerate(text.split("\n"), start=first_line):
        bare = line.rstrip("\r")
        if not bare.strip():
            continue
        yield number, bare.split(delimiter) if '"' not in bare else _quoted(bare, delimiter)


def _quoted(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter, strict=True))
    except csv.Error:
        return [line]


def is_blank(text: str) -> bool:
    """Whether a cell says nothing."""
    return not text or text.casefold() in words.BLANKS


def number_reader(recipe: Recipe, header: str) -> Callable[[str], float | None]:
    """What reads the cells of a column of numbers, in our own unit; None of a blank cell."""
    one = log_file_fields()[recipe.columns[header]]
    factor, shift = one.scale_of(recipe.unit_of(header)) or (1.0, 0.0)
    has_commas = recipe.decimal == ","
    unit = one.unit

    def read(cell: str) -> float | None:
        text = cell.strip()
        if _BARE.fullmatch(text):
            if has_commas and "." in text:
                raise RowFault(f"“{text}” has a point in a file with decimal commas.", header)
        elif is_blank(text):
            return None
        elif has_commas and _COMMAS.fullmatch(text):
            text = text.replace(",", ".")
        else:
            return _with_unit(text, unit, header)
        number = float(text) * factor + shift
        if not -LARGEST < number < LARGEST:
            raise RowFault(f"“{text}” is too large.", header)
        return number

    return read


def _with_unit(text: str, unit: str | None, header: str) -> float:
    if unit == "s" and (span := _span(text, header)) is not None:
        return span
    if "," in text:
        raise RowFault(f"“{text[:40]}” has a comma in a file with decimal points.", header)
    try:
        return read_quantity(text[:CELL_LENGTH_MAX], unit or "ratio")
    except QuantityError as error:
        raise RowFault(f"“{text[:40]}” is not read: {error}", header) from error


def _span(text: str, header: str) -> float | None:
    try:
        return span_s(text)
    except RowFault as error:
        raise RowFault(error.message, header) from error


def column_readers(
    recipe: Recipe, headers: Sequence[str]
) -> dict[str, tuple[int, Callable[[str], float | None]]]:
    """For each matched column of numbers its place and its reader, by the key of its field."""
    places = recipe.places_of(headers)
    return {
        key: (place, number_reader(recipe, headers[place]))
        for key, place in places.items()
        if log_file_fields()[key].unit or key == "counter_cycles"
    }
