"""One cell to one value: numbers with units, days, words, in the way people write them."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from hangar.fields import MeasureField, NumberListField
from hangar.form_fields import read_measure
from hangar.quantities import QuantityError, read_cell_count, read_number
from hangar.units import unit_of
from inventory.imports import words
from inventory.imports.table import Cell
from inventory.models import Condition

CELL_COUNTS = frozenset(("cell_count", "cells_min", "cells_max"))
COUNT_MAX = 100_000
# Three digits behind a comma may be thousands, unless a nought stands before it.
_DECIMAL_COMMA = re.compile(r"[+-]?(?:0,[0-9]+|[0-9]+,(?:[0-9]{1,2}|[0-9]{4,}))(?![0-9,.])")
_TWO_WAYS = re.compile(r"[+-]?([1-9][0-9]{0,2}\.[0-9]{3})(?![0-9.,])")
_DAY = re.compile(r"([0-9]{1,2})\.\s?([0-9]{1,2})\.\s?([0-9]{4})")
_CONDITIONS = words.by_word(words.CONDITIONS)


def is_blank(cell: Cell) -> bool:
    """Whether a cell says nothing: empty, or a mark for "not known"."""
    return isinstance(cell, str) and (not cell or cell.casefold() in words.BLANKS)


def has_decimal_comma(cell: Cell) -> bool:
    """Whether a cell shows that its list writes decimals with a comma."""
    return isinstance(cell, str) and bool(_DECIMAL_COMMA.match(cell))


def read_cell(column: models.Field, cell: Cell, *, unit: str, decimal_commas: bool) -> Any:
    """Read a cell that is not blank as a value of that column; raises ValidationError.

    A bare number is one of `unit`; a cell's own unit wins.
    """
    if cell in words.WORKED_OUT_WRONG:
        raise ValidationError("The spreadsheet has no value here: mend the formula and save it.")
    return column.clean(_raw(column, cell, unit, decimal_commas=decimal_commas), None)


def _raw(column: models.Field, cell: Cell, unit: str, *, decimal_commas: bool) -> Any:
    if isinstance(column, MeasureField):
        return _measure(column.unit, cell, unit, decimal_commas=decimal_commas)
    if isinstance(column, models.BooleanField):
        return _yes_or_no(cell)
    if column.choices:
        return _choice(column, str(cell))
    if column.name in CELL_COUNTS:
        return _cells(cell)
    if isinstance(column, models.IntegerField):
        return read_whole(cell)
    if isinstance(column, models.DateField):
        return _day(str(cell))
    if isinstance(column, models.JSONField):
        return _list(column, str(cell), unit)
    return str(cell)


def _measure(own: str | None, cell: Cell, unit: str, *, decimal_commas: bool) -> float:
    if decimal_commas and isinstance(cell, str) and (found := _TWO_WAYS.match(cell)):
        number = found[1]
        raise ValidationError(
            f"{number} can be read in two ways in a list with decimal commas: "
            f"write {number.replace('.', '')} or {number.replace('.', ',')}."
        )
    if own is None or unit in ("", own) or not _is_bare(cell):
        return read_measure(cell, own)
    return read_measure(f"{cell} {unit}", own)


def _is_bare(cell: Cell) -> bool:
    try:
        read_number(cell)
    except QuantityError:
        return False
    return True


def _yes_or_no(cell: Cell) -> bool:
    word = str(cell).casefold()
    if word in words.YES:
        return True
    if word in words.NO:
        return False
    raise ValidationError("Write yes or no.")


def _choice(column: models.Field, text: str) -> Any:
    wanted = text.casefold()
    for value, label in column.flatchoices:
        if value and wanted in (str(value).casefold(), str(label).casefold()):
            return value
    may = ", ".join(str(label) for value, label in column.flatchoices if value)
    raise ValidationError(f"“{text[:40]}” is none of {may}.")


def _cells(cell: Cell) -> int:
    try:
        return read_cell_count(cell)
    except QuantityError as error:
        raise ValidationError(str(error)) from error


def read_whole(cell: Cell) -> int:
    """Read a whole number, zero or more, also with a sign of times or pieces beside it."""
    text = re.sub(r"\s*(x|×|st\.?|stk\.?|pcs\.?)\s*", "", str(cell).casefold())
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise ValidationError("Write a whole number.")
    number = int(text)
    if number > COUNT_MAX:
        raise ValidationError(f"This must be at most {COUNT_MAX}.")
    return number


def read_condition(text: str) -> str:
    """Read how a part is; raises ValidationError."""
    found = _CONDITIONS.get(text.casefold())
    if found is None:
        may = ", ".join(one for one in Condition.values if one != Condition.RETIRED)
        raise ValidationError(f"“{text[:40]}” is no condition: write {may}.")
    return found


def _day(text: str) -> date:
    found = _DAY.fullmatch(text)
    try:
        if found:
            return date(int(found[3]), int(found[2]), int(found[1]))
        return date.fromisoformat(text)
    except ValueError as error:
        raise ValidationError("Write a day as year-month-day, such as 2025-03-18.") from error


def _list(column: models.Field, text: str, unit: str) -> Any:
    if isinstance(column, NumberListField) and unit not in ("", unit_of(column.name)):
        raise ValidationError("A list of numbers is read in the column's own unit only.")
    box = column.formfield()
    assert box is not None
    return box.clean(text)
