"""Lines of the page of the balance, ready to be read."""

from __future__ import annotations

from dataclasses import dataclass, replace

from builds.balance import BalanceSheet, FromMark, PackPlace, cg_over_places
from builds.drawing.pack_balance import drawn_packs, places_mm
from builds.figures import figures_of
from builds.pages.wording import FigureRow, Reader
from builds.records import BuildSnapshot, PartRecord, WeighInRecord

CELLS = {True: "", False: "cells outside the controller's range", None: "cells not compared"}
TRAY = {
    "wanted": "the tray allows it",
    "range": "the tray allows the range, not the place wanted",
    "none": "no place in the tray keeps the range",
    "": "",
}


@dataclass(frozen=True)
class PackPlaceRow:
    """One pack, its balance in the tray, and where it must sit."""

    record: PartRecord
    cells: str
    auw: FigureRow
    cg: FigureRow
    wanted: FigureRow
    margin: FigureRow
    tray: str
    told: tuple[str, ...]


@dataclass(frozen=True)
class WeighInRow:
    """One weigh-in; an older one is stale, not used, and not held against the parts of today."""

    weigh_in: WeighInRecord
    is_in_force: bool
    mass: str
    balance_point: str
    left_off: str
    difference: FigureRow | None


def pack_place_rows(sheet: BalanceSheet, reader: Reader) -> tuple[PackPlaceRow, ...]:
    """Packs as lines."""
    return tuple(_pack_place_row(place, reader) for place in sheet.packs)


def _pack_place_row(place: PackPlace, reader: Reader) -> PackPlaceRow:
    figures = place.figures
    return PackPlaceRow(
        record=place.record,
        cells=CELLS[place.fits_cells],
        auw=reader.figure(figures["auw_g"]),
        cg=reader.figure(figures["cg_x_mm"]),
        wanted=reader.figure(figures["pack_x_wanted_mm"]),
        margin=reader.figure(figures["pack_x_for_margin_mm"]),
        tray=TRAY[place.tray],
        told=tuple(_told(one, reader) for one in place.wanted_from),
    )


def _told(found: FromMark, reader: Reader) -> str:
    what = "its front" if found.is_front else "its middle"
    if not round(found.behind_mm, 1):
        return f"{what} at {found.mark.name}"
    side = "behind" if found.behind_mm > 0 else "ahead of"
    return f"{what} {reader.length(abs(found.behind_mm))} {side} {found.mark.name}"


def ballast_rows(sheet: BalanceSheet, reader: Reader) -> tuple[FigureRow, ...]:
    """Ballast for the place wanted, at each place looked at."""
    rows = []
    for number, mark in enumerate(sheet.ballast_places, start=1):
        row = reader.figure(sheet.figures[f"ballast_{number}_g"])
        label = f"Ballast at {reader.length(mark.x_mm)} ({mark.name})"
        text = "cannot do it" if not row.is_known and _is_balance_known(sheet) else row.text
        rows.append(replace(row, label=label, text=text))
    return tuple(rows)


def _is_balance_known(sheet: BalanceSheet) -> bool:
    return all(sheet.figures[name].is_known for name in ("cg_x_mm", "cg_target_x_mm"))


def curve_rows(sheet: BalanceSheet, reader: Reader) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The table behind the chart: a line for each pack."""
    places = places_mm(sheet)
    return tuple(
        (
            f"{place.record.name} {place.record.code}",
            tuple(reader.length(cg) for _, cg in cg_over_places(place, places)),
        )
        for place in drawn_packs(sheet)
    )


def weigh_in_rows(snapshot: BuildSnapshot, reader: Reader) -> tuple[WeighInRow, ...]:
    """Weigh-ins as lines."""
    names = {position.key: position.name for position in snapshot.positions}
    return tuple(
        WeighInRow(
            weigh_in=one,
            is_in_force=one is snapshot.weigh_in,
            mass=reader.say(one.mass_g, "mass_g"),
            balance_point=reader.length(one.cg_x_mm) if one.cg_x_mm is not None else "",
            left_off=", ".join(names.get(key, key) for key in one.left_off),
            difference=_difference(one, snapshot, reader),
        )
        for one in snapshot.weigh_ins
    )


def _difference(
    weigh_in: WeighInRecord, snapshot: BuildSnapshot, reader: Reader
) -> FigureRow | None:
    """What that weigh-in alone tells against the sum of the parts."""
    if weigh_in.revision != snapshot.revision:
        return None
    alone = replace(snapshot, weigh_ins=(weigh_in,))
    return reader.figure(figures_of(alone)["weighed_difference_g"])
