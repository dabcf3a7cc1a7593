"""What the people of the demo and their club own: places, data sheets, parts and packs."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any, cast

from django.utils import timezone

from hangar.demo import ageing, material
from hangar.demo.people import ClubLife
from inventory.kinds import DataSheet, Pack
from inventory.models import Part, Place
from inventory.operations import (
    add_log_entries,
    add_log_entry,
    add_part,
    record_measurement,
    save_place,
    save_sheet,
    take_out_of_service,
)

MONTH = timedelta(days=30)
OWN_COLUMNS = ("mass_g", "condition", "count")


class _Shelves:
    """Makes places and data sheets when they are first asked for: one of each per owner."""

    def __init__(self, life: ClubLife) -> None:
        self.life = life
        self.written = material.read("sheets")
        self.positions = material.read("positions")
        self.places: dict[tuple[str, str], Place] = {}
        self.sheets: dict[tuple[str, str], DataSheet] = {}

    def place(self, owner: str, path: str) -> Place:
        """A place by its path from the top."""
        if (owner, path) not in self.places:
            above, _, name = path.rpartition("/")
            place = Place(
                name=name,
                parent=self.place(owner, above) if above else None,
                **self.life.owner(owner),
            )
            self.places[owner, path] = save_place(place, by=self.life.acting_for(owner))
        return self.places[owner, path]

    def sheet(self, owner: str, key: str) -> DataSheet:
        """An owner's data sheet by its key."""
        if (owner, key) not in self.sheets:
            columns = dict(self.written[key])
            model = DataSheet.registry[columns.pop("kind")]
            self.sheets[owner, key] = save_sheet(
                model(**columns, **self.life.owner(owner)),
                by=self.life.acting_for(owner),
                template=self.positions.get(key),
            )
        return self.sheets[owner, key]


def make(life: ClubLife) -> Mapping[str, Part]:
    """Make all parts and packs; gives them by their id."""
    shelves = _Shelves(life)
    parts = {row["id"]: _add(life, shelves, row) for row in material.read("parts")["parts"]}
    now = timezone.now()
    for row in material.read("packs")["packs"]:
        parts[row["id"]] = _add_pack(life, shelves, row, now)
    return parts


def _add(life: ClubLife, shelves: _Shelves, row: Mapping[str, Any], **more: Any) -> Part:
    owner = row["owner"]
    by = life.acting_for(owner)
    sheet = shelves.sheet(owner, row["sheet"])
    part = add_part(
        by=by,
        sheet=sheet,
        name=f"{row['id']} {sheet}",
        place=shelves.place(owner, row["place"]) if "place" in row else None,
        is_bag="count" in row,
        notes=row.get("note", ""),
        **{name: row[name] for name in OWN_COLUMNS if name in row},
        **life.owner(owner),
        **more,
    )
    for name, value in row.get("measured", {}).items():
        record_measurement(part, name=name, value=value, by=by)
    if "because" in row:
        take_out_of_service(part, reason=row["because"], by=by)
    return part


def _add_pack(life: ClubLife, shelves: _Shelves, row: Mapping[str, Any], now: datetime) -> Part:
    bought_at = now - row["months"] * MONTH
    place = "Pool cupboard/Packs" if row["owner"] == "quillmere" else "Bench/Packs"
    pack = _add(life, shelves, {"place": place, **row}, acquired_on=bought_at.date())
    by = life.acting_for(row["owner"])
    length_mm, width_mm, height_mm = row["size_mm"]
    record_measurement(
        pack, name="height_mm", value=row["thickness_first_mm"], by=by, measured_at=bought_at
    )
    for name, value in (
        ("length_mm", length_mm),
        ("width_mm", width_mm),
        ("height_mm", height_mm),
    ):
        record_measurement(pack, name=name, value=value, by=by)
    entries = ageing.log_of(row, cast(Pack, pack.sheet.typed), now)
    add_log_entries(pack, by=by, rows=[one for one in entries if "incident" not in one])
    for entry in entries:
        if "incident" in entry:
            add_log_entry(pack, by=by, **entry)
    return pack
