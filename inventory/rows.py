"""The figures of a part side by side: what the sheet says and what was found on the part."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import models

from hangar.form_fields import label_without_unit
from inventory.kinds import DataSheet
from inventory.models import Measurement, Part

NOT_SHOWN = {"id", "kind", "person", "club", "maker", "name", "notes", "datasheet_ptr"}
NOT_SHOWN |= {"created_at", "updated_at"}


@dataclass(frozen=True)
class FigureRow:
    """One figure: its column, the value on the sheet and the latest one found on the part."""

    name: str
    label: str
    help_text: str
    column: models.Field | None
    sheet_value: Any
    measured: Measurement | None = None


def sheet_rows(sheet: DataSheet) -> list[FigureRow]:
    """The figures that a data sheet gives."""
    return [row for row in _all_rows(sheet, {}) if row.sheet_value not in (None, "", [])]


def part_rows(part: Part, measurements: Iterable[Measurement]) -> list[FigureRow]:
    """The figures that the sheet or a measurement gives; the sheet must have been loaded."""
    latest = {measurement.name: measurement for measurement in measurements}
    rows = _all_rows(part.sheet.typed, latest)
    return [row for row in rows if row.measured or row.sheet_value not in (None, "", [])]


def _all_rows(sheet: DataSheet, latest: dict[str, Measurement]) -> list[FigureRow]:
    columns = [field for field in sheet._meta.fields if field.name not in NOT_SHOWN]
    rows = [
        FigureRow(
            name=column.name,
            label=str(column.verbose_name),
            help_text=_more_than_label(column),
            column=column,
            sheet_value=getattr(sheet, column.name),
            measured=latest.get(column.name),
        )
        for column in columns
    ]
    return rows + [
        FigureRow(name, label_without_unit(name), "", None, None, latest.get(name))
        for name in sheet.measured_only
    ]


def _more_than_label(column: models.Field) -> str:
    same = str(column.help_text).lower() == str(column.verbose_name).lower()
    return "" if same else str(column.help_text)
