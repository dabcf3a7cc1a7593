"""The centre of gravity over the place of the pack, a line for each pack."""

from __future__ import annotations

from collections.abc import Sequence

from builds.balance import BalanceSheet, PackPlace, cg_over_places
from builds.figures import Figure
from builds.records import PartRecord, PositionRecord
from hangar.drawing.chart import Band, Chart, Curve, Level, Scale, draw_chart
from hangar.drawing.paper import Point, Svg

STEPS = 8
ROOM = 0.15
LEAST_SPREAD_MM = 10.0
DASHES = ("", "14 6", "4 6")
SHOWN, OTHER = 6.0, 3.0


def places_mm(sheet: BalanceSheet) -> tuple[float, ...]:
    """Places of the pack's middle that are looked at, from end to end of the tray [mm]."""
    tray = _tray(sheet)
    if tray is None:
        return ()
    known = [tray.x_min_mm, tray.x_max_mm, tray.x_mm]
    wanted = sheet.figures["pack_x_wanted_mm"]
    if isinstance(wanted, Figure):
        known.append(wanted.value)
    numbers = [x for x in known if x is not None]
    if not numbers:
        return ()
    low, high = _ends(numbers)
    return tuple(low + (high - low) * step / STEPS for step in range(STEPS + 1))


def drawn_packs(sheet: BalanceSheet) -> tuple[PackPlace, ...]:
    """The packs that get a line: the one shown, the lightest and the heaviest."""
    known = [place for place in sheet.packs if cg_over_places(place, places_mm(sheet))]
    if not known:
        return ()
    by_mass = sorted(known, key=lambda place: float(place.record.get("mass_g")))
    chosen = [place for place in known if _is_shown(sheet, place.record)]
    for place in (by_mass[0], by_mass[-1]):
        if place not in chosen:
            chosen.append(place)
    return tuple(chosen)


def draw_pack_balance(sheet: BalanceSheet) -> Svg:
    """The chart; empty when no balance is known. In millimetres, as the axes say."""
    places, packs = places_mm(sheet), drawn_packs(sheet)
    if not places or not packs:
        return Svg()
    curves = [
        Curve(
            label=place.record.code,
            points=cg_over_places(place, places),
            dashes=DASHES[number % len(DASHES)],
            width=SHOWN if _is_shown(sheet, place.record) else OTHER,
        )
        for number, place in enumerate(packs)
    ]
    limits = {
        word: figure.value
        for word, name in (("foremost", "cg_min_x_mm"), ("wanted", "cg_target_x_mm"),
                           ("rearmost", "cg_max_x_mm"))
        if isinstance(figure := sheet.figures[name], Figure)
    }  # fmt: skip
    heights = [height for curve in curves for _, height in curve.points]
    low, high = _ends([*heights, *limits.values()])
    chart = Chart(
        kind="pack-balance",
        title="Centre of gravity over the place of the pack",
        words=_words(curves, limits),
        across=Scale("middle of the pack, aft of the datum (mm)", places[0], places[-1]),
        upward=Scale("centre of gravity, aft of the datum (mm)", low, high),
        curves=curves,
        levels=[Level(f"{word} {value:g}", value) for word, value in limits.items()],
        bands=_bands(limits),
        stops=_stops(_tray(sheet)),
    )
    return draw_chart(chart)


def _bands(limits: dict[str, float]) -> list[Band]:
    if not {"foremost", "rearmost"} <= set(limits) or limits["foremost"] >= limits["rearmost"]:
        return []
    return [Band(limits["foremost"], limits["rearmost"])]


def _stops(tray: PositionRecord | None) -> list[Level]:
    if tray is None:
        return []
    ends = (("tray's front", tray.x_min_mm), ("tray's rear", tray.x_max_mm))
    return [Level(word, x) for word, x in ends if x is not None]


def _tray(sheet: BalanceSheet) -> PositionRecord | None:
    return next((p for p in sheet.snapshot.positions if p.kind == "pack"), None)


def _is_shown(sheet: BalanceSheet, record: PartRecord) -> bool:
    shown = sheet.snapshot.pack
    return shown is not None and shown.id == record.id


def _ends(numbers: Sequence[float]) -> Point:
    low, high = min(numbers), max(numbers)
    spread = max(high - low, LEAST_SPREAD_MM)
    middle = (low + high) / 2
    return middle - spread * (0.5 + ROOM), middle + spread * (0.5 + ROOM)


def _words(curves: Sequence[Curve], limits: dict[str, float]) -> str:
    ends = [
        f"{curve.label}: {curve.points[0][1]:.1f} to {curve.points[-1][1]:.1f} mm"
        for curve in curves
    ]
    allowed = ", ".join(f"{word} {value:g} mm" for word, value in limits.items())
    return f"From the foremost to the rearmost place, {'; '.join(ends)}. {allowed}".strip()
