"""What a column of a list can be: the fields of parts, and the typed columns of data sheets."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from django.db import models

from hangar.fields import MeasureField
from hangar.form_fields import label_with_unit, label_without_unit
from hangar.units import ACCEPTED, UNITS, unit_of
from inventory.kinds import DataSheet
from inventory.models import Part

NOTES = "notes"
SHEET_MASS = "sheet_mass_g"
BODY = ("length_mm", "width_mm", "height_mm")

_OF_PARTS = {
    "kind": "kind",
    "maker": "maker",
    "name": "name",
    "own_name": "a name of its own",
    "mass_g": "mass of one piece, weighed",
    "mass_guessed_g": "mass of one piece, guessed",
    SHEET_MASS: "mass of one piece, by the maker",
    "count": "count",
    "condition": "condition",
    "place": "place",
    "code": "label code",
    "acquired_on": "since (a day)",
    NOTES: "notes",
}


@dataclass(frozen=True)
class ListField:
    """Something that a column of a list can be; `unit` is None where it has none."""

    key: str
    label: str
    unit: str | None
    is_of_sheet: bool

    def reads_unit(self, text: str) -> bool:
        """Whether numbers of this field may come in that unit."""
        return self.unit is not None and text in ACCEPTED[UNITS[self.unit].dimension.name]


@cache
def list_fields() -> dict[str, ListField]:
    """All fields by key: those of parts first, then the columns of every kind of sheet."""
    found = {key: _field(key, label, is_of_sheet=False) for key, label in _OF_PARTS.items()}
    for columns in map(sheet_columns, DataSheet.registry):
        for name in columns:
            found.setdefault(name, _field(name, label_without_unit(name), is_of_sheet=True))
    return found


def _field(key: str, label: str, *, is_of_sheet: bool) -> ListField:
    # A count of cells ends in no unit, whatever its last word may look like.
    is_measure = not is_of_sheet or any(
        isinstance(columns[key], MeasureField)
        for columns in map(sheet_columns, DataSheet.registry)
        if key in columns
    )
    unit = unit_of(key) if is_measure else None
    return ListField(key, label_with_unit(label, unit), unit, is_of_sheet)


@cache
def sheet_columns(kind: str) -> dict[str, models.Field]:
    """Columns of that kind's sheet which a list can fill, with their model fields."""
    sheet = DataSheet.registry[kind]
    names = (*BODY, *sheet.own_field_names())
    return {name: sheet._meta.get_field(name) for name in names}  # type: ignore[misc]


def part_column(key: str) -> models.Field:
    """The model field that judges what stands in a column of that key."""
    if key in ("maker", "name", SHEET_MASS):
        return DataSheet._meta.get_field(key.removeprefix("sheet_"))  # type: ignore[return-value]
    if key == "mass_guessed_g":
        key = "mass_g"
    return Part._meta.get_field("name" if key == "own_name" else key)  # type: ignore[return-value]


def fields_of(kinds: set[str]) -> list[ListField]:
    """The fields that a list of these kinds can have, those of parts first."""
    wanted = {name for kind in kinds for name in sheet_columns(kind)}
    return [one for one in list_fields().values() if not one.is_of_sheet or one.key in wanted]
