"""What the owner of a list has already: data sheets, places, imported rows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from hangar.clubs.models import Club, User
from inventory.imports.fields import SHEET_MASS, sheet_columns
from inventory.imports.models import ImportedRow
from inventory.imports.plans import PlannedSheet
from inventory.kinds import DataSheet
from inventory.models import Part, Place

_PATH = re.compile(r"\s*>\s*|\s+/\s+")
CODES_AT_ONCE = 500
BLANK: tuple[object, ...] = (None, "", [])
SheetKey = tuple[str, str, str]


class Known:
    """The owner's things, loaded once for a whole list."""

    def __init__(self, person: User | None, club: Club | None) -> None:
        self.owner = {"person": person, "club": club}
        self.sheets: dict[SheetKey, list[PlannedSheet]] = {}
        for sheet in DataSheet.objects.filter(**self.owner).typed().order_by("pk"):
            planned = _planned(sheet)
            self.sheets.setdefault(sheet_key(planned), []).append(planned)
        self.codes: dict[str, str] = {}
        self.places = _places(Place.objects.filter(**self.owner))
        self.fingerprints = set(
            ImportedRow.objects.filter(run__person=person, run__club=club).values_list(
                "fingerprint", flat=True
            )
        )

    def look_up_codes(self, codes: Sequence[str]) -> None:
        """Find out, for a whole list, whose the parts of these label codes are."""
        mine = [one.pk if one else None for one in self.owner.values()]
        for start in range(0, len(codes), CODES_AT_ONCE):
            parts = Part.objects.filter(code__in=codes[start : start + CODES_AT_ONCE])
            for code, *owner in parts.values_list("code", "person", "club"):
                self.codes[code] = "own" if owner == mine else "other"

    def find_places(self, names: Sequence[str]) -> list[Place]:
        """The owner's places of that name, or of that path from an outer place inwards."""
        wanted = tuple(name.casefold() for name in names)
        ending = [(path, place) for path, place in self.places if path[-len(wanted) :] == wanted]
        whole = [place for path, place in ending if path == wanted]
        return whole if len(whole) == 1 else [place for _, place in ending]


def sheet_key(sheet: PlannedSheet) -> SheetKey:
    """What two data sheets of the same thing share."""
    return sheet.kind, sheet.maker.casefold(), sheet.name.casefold()


def path_of(text: str) -> tuple[str, ...]:
    """The names in "Workshop > Drawer 3", outermost first."""
    return tuple(" ".join(name.split()) for name in _PATH.split(text) if name.strip())


def _planned(sheet: DataSheet) -> PlannedSheet:
    typed = sheet.typed
    values: dict[str, Any] = {name: getattr(typed, name) for name in sheet_columns(sheet.kind)}
    values[SHEET_MASS] = sheet.mass_g
    return PlannedSheet(sheet.kind, sheet.maker, sheet.name, values, existing=sheet)


def _places(places: Any) -> list[tuple[tuple[str, ...], Place]]:
    by_pk = {place.pk: place for place in places}
    found = []
    for place in by_pk.values():
        steps = [int(step) for step in place.path.split("/") if step]
        names = tuple(by_pk[step].name.casefold() for step in steps if step in by_pk)
        found.append((names, place))
    return found
