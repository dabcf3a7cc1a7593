"""Where each pack must sit, told from marks that a finger can find. Works on records only."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from builds.figures import MAKERS, Figure, Figures, Maker, Unknown, mass, stability
from builds.limits import is_above, is_below
from builds.records import BuildSnapshot, PartRecord, PositionRecord

MARGIN_PERCENT = 10.0
"""Static margin looked at where none is chosen: the middle of the usual 5 to 15 %."""
MOVE_MM = 10.0


@dataclass(frozen=True)
class Choice:
    """What a person wants to look at; None for the usual."""

    margin_percent: float = MARGIN_PERCENT
    ballast_x_mm: float | None = None
    move: str = ""
    move_mm: float = MOVE_MM


@dataclass(frozen=True)
class Mark:
    """A place on the aircraft that a finger can find, aft of the datum."""

    name: str
    x_mm: float


@dataclass(frozen=True)
class FromMark:
    """How far the front of the pack, or its middle, lies behind a mark; ahead when negative."""

    mark: Mark
    is_front: bool
    behind_mm: float


@dataclass(frozen=True)
class PackPlace:
    """One pack in its tray.

    `fits_cells` is None while the cells of pack or controller are not known. `tray` says whether
    the tray allows what is wanted: `wanted`, `range` (in range but not where wanted), `none` (no
    place keeps the range), or empty when that is not known.
    """

    record: PartRecord
    figures: Figures
    fits_cells: bool | None
    x_mm: float | None
    tray: str
    wanted_from: tuple[FromMark, ...]


@dataclass(frozen=True)
class BalanceSheet:
    """The balance of a build with the pack shown, and with each pack in reach."""

    snapshot: BuildSnapshot
    figures: Figures
    choice: Choice
    packs: tuple[PackPlace, ...]
    ballast_places: tuple[Mark, ...]
    movable: tuple[PositionRecord, ...]

    @property
    def cg_range(self) -> tuple[float, float] | None:
        """Foremost and rearmost centre of gravity [mm] over the packs, each where the tray is."""
        known = [cg.value for cg in self._all("cg_x_mm") if isinstance(cg, Figure)]
        return (min(known), max(known)) if known else None

    def _all(self, name: str) -> list[Figure | Unknown]:
        return [pack.figures[name] for pack in self.packs]


def balance_of(
    snapshot: BuildSnapshot,
    packs: Iterable[PartRecord],
    x_mm: float | None,
    choice: Choice | None = None,
) -> BalanceSheet:
    """Balance with the snapshot's pack and with each of the packs, its middle at `x_mm`.

    Packs whose cells suit the controller come first, then the lighter ones.
    """
    choice = choice or Choice()
    ballast_places = _ballast_places(snapshot, choice)
    movable = tuple(p for p in snapshot.fitted() if p.kind != "airframe" and p.x_mm is not None)
    places = [_place(snapshot.with_pack(pack, x_mm), pack, choice) for pack in packs]
    return BalanceSheet(
        snapshot=snapshot,
        figures=_figures(snapshot, choice, ballast_places),
        choice=choice,
        packs=tuple(sorted(places, key=_rank)),
        ballast_places=ballast_places,
        movable=movable,
    )


def cells_in_range(snapshot: BuildSnapshot, pack: PartRecord) -> bool | None:
    """Do the cells of the pack suit every speed controller, None while that is not known."""
    cells = pack.get("cell_count")
    limits = [
        (one.part.get("cells_min"), one.part.get("cells_max"))
        for one in snapshot.fitted("speed_controller")
        if one.part
    ]
    if cells is None or not limits or any(None in pair for pair in limits):
        return None
    return all(low <= cells <= high for low, high in limits)


def cg_over_places(place: PackPlace, places_mm: Iterable[float]) -> tuple[tuple[float, float], ...]:
    """Place of the pack's middle and the centre of gravity with it there [mm]; none if unknown."""
    cg, auw = place.figures["cg_x_mm"], place.figures["auw_g"]
    pack_g = place.record.get("mass_g")
    if not isinstance(cg, Figure) or not isinstance(auw, Figure) or place.x_mm is None:
        return ()
    if not pack_g:
        return ()
    share = pack_g / auw.value
    return tuple((x, cg.value + share * (x - place.x_mm)) for x in places_mm)


def _figures(snapshot: BuildSnapshot, choice: Choice, ballast_places: tuple[Mark, ...]) -> Figures:
    extra = {
        "cg_for_margin_mm": Maker(
            "mm", partial(stability.place_for_margin, margin_percent=choice.margin_percent)
        ),
        "pack_x_for_margin_mm": Maker("mm", mass.pack_place_for_margin),
        "cg_shift_mm": Maker("mm", partial(mass.shift, key=choice.move, by_mm=choice.move_mm)),
    }
    for number, mark in enumerate(ballast_places, start=1):
        extra[f"ballast_{number}_g"] = Maker("g", partial(mass.ballast, x_mm=mark.x_mm))
    return Figures(snapshot, {**MAKERS, **extra})


def _place(snapshot: BuildSnapshot, pack: PartRecord, choice: Choice) -> PackPlace:
    figures = _figures(snapshot, choice, ())
    tray = next(p for p in snapshot.positions if p.kind == "pack" and p.part == pack)
    wanted = figures["pack_x_wanted_mm"]
    return PackPlace(
        record=pack,
        figures=figures,
        fits_cells=cells_in_range(snapshot, pack),
        x_mm=tray.x_mm,
        tray=_tray_says(tray, wanted),
        wanted_from=_from_marks(snapshot, tray, wanted),
    )


def _rank(place: PackPlace) -> tuple[float, ...]:
    by_cells = {True: 0, None: 1, False: 2}[place.fits_cells]
    return by_cells, place.record.get("mass_g", float("inf")), place.record.id


def _tray_says(tray: PositionRecord, wanted: Figure | Unknown) -> str:
    front, rear = tray.x_min_mm, tray.x_max_mm
    if front is None or rear is None or not isinstance(wanted, Figure):
        return ""
    if not is_below(wanted.value, front) and not is_above(wanted.value, rear):
        return "wanted"
    if wanted.low is None or wanted.high is None:
        return ""
    reaches = not is_above(wanted.low, rear) and not is_below(wanted.high, front)
    return "range" if reaches else "none"


def _from_marks(
    snapshot: BuildSnapshot, tray: PositionRecord, wanted: Figure | Unknown
) -> tuple[FromMark, ...]:
    if not isinstance(wanted, Figure):
        return ()
    length_mm = tray.part.get("length_mm") if tray.part else None
    ahead = length_mm / 2 if length_mm else 0.0
    marks = _marks(snapshot)
    if tray.x_min_mm is not None and length_mm:
        marks = (Mark("the tray's front edge", tray.x_min_mm - ahead), *marks)
    elif tray.x_min_mm is not None:
        marks = (Mark("the foremost place in the tray", tray.x_min_mm), *marks)
    place_mm = wanted.value - ahead
    return tuple(FromMark(mark, bool(length_mm), place_mm - mark.x_mm) for mark in marks)


def _marks(snapshot: BuildSnapshot) -> tuple[Mark, ...]:
    airframe = snapshot.airframe
    if airframe is None:
        return ()
    marks = []
    stations = airframe.get("wing_stations") or ()
    if stations and stations[0]["y_mm"] == 0:
        marks.append(Mark("the wing's leading edge at the root", stations[0]["leading_edge_x_mm"]))
    if str(airframe.get("datum", "")).strip().lower().startswith("nose"):
        marks.append(Mark("the nose", 0.0))
    return tuple(marks)


def _ballast_places(snapshot: BuildSnapshot, choice: Choice) -> tuple[Mark, ...]:
    if choice.ballast_x_mm is not None:
        return (Mark("the place chosen", choice.ballast_x_mm),)
    placed = [
        (p.x_mm, p.name) for p in snapshot.fitted() if p.x_mm is not None and p.kind != "airframe"
    ]
    if not placed:
        return ()
    ends = dict.fromkeys((min(placed), max(placed)))
    return tuple(Mark(name, x_mm) for x_mm, name in ends)
