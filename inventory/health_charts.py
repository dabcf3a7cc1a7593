"""Charts of the health of a pack."""

from __future__ import annotations

from collections.abc import Sequence

from hangar.drawing.chart import Chart, Curve, Level, Scale, draw_chart
from hangar.drawing.paper import Svg
from inventory.health.entries import PackFacts
from inventory.health.history import History
from inventory.health.resistance import Reading

MARK, MIDDLE, EDGE = 7.0, 5.0, 2.5
AHEAD, BAND = "14 8", "4 8"
ROOM = 1.06
LEAST_ACROSS = 1.0


def draw_capacity(told: History, facts: PackFacts) -> Svg:
    """Capacity [mAh] over full cycles with its interval, the end line and the way ahead."""
    if not told.capacity:
        return Svg()
    rated = facts.capacity_mah
    end_mah = rated * facts.end_percent / 100
    points = [(one.cycles, one.capacity_mah) for one in told.capacity]
    seen = [one for one in told.fade if not one.is_ahead]
    ahead = [one for one in told.fade if one.is_ahead]
    across = max([points[-1][0], LEAST_ACROSS, *(one.cycles for one in told.fade)])
    low = min(end_mah, *(height for _, height in points)) * 0.85
    high = max(rated, *(height for _, height in points)) * ROOM
    curves = [
        Curve("", [(one.cycles, one.capacity_mah) for one in seen], width=MIDDLE),
        Curve("", [(one.cycles, one.capacity_mah) for one in (*seen[-1:], *ahead)], AHEAD, MIDDLE),
        Curve("", [(one.cycles, one.low_mah) for one in told.fade], BAND, EDGE),
        Curve("", [(one.cycles, one.high_mah) for one in told.fade], BAND, EDGE),
    ]
    inside = [
        Curve(curve.label, [p for p in curve.points if low <= p[1] <= high], curve.dashes,
              curve.width)
        for curve in curves
    ]  # fmt: skip
    return draw_chart(
        Chart(
            kind="pack-capacity",
            title="Capacity over full cycles",
            words=f"{len(points)} estimates, from {points[0][1]:.0f} to {points[-1][1]:.0f} mAh, of"
            f" {rated:.0f} mAh rated; the end line is at {end_mah:.0f} mAh.",
            across=Scale("full cycles in this log", 0.0, across * ROOM),
            upward=Scale("capacity (mAh)", low, high),
            curves=[*inside, *_marks(points, across)],
            levels=[
                Level("rated", rated, 1),
                Level(f"end line, {facts.end_percent:.0f} %", end_mah),
            ],
        )
    )


def _marks(points: Sequence[tuple[float, float]], across: float) -> list[Curve]:
    """Each estimate as a short stroke."""
    half = across / 150
    return [Curve("", [(x - half, y), (x + half, y)], width=MARK) for x, y in points]


def draw_resistance(readings: Sequence[Reading], cells: int) -> Svg:
    """Resistance of each cell [mohm], brought to 25 °C, over full cycles."""
    if not readings:
        return Svg()
    last = readings[-1].at_25_c_mohm
    across = max(readings[-1].cycles, LEAST_ACROSS)
    worst = last.index(max(last))
    curves = [
        Curve(
            f"cell {cell + 1}" if cell == worst else "",
            [(one.cycles, one.at_25_c_mohm[cell]) for one in readings],
            "" if cell == worst else BAND,
            MIDDLE if cell == worst else EDGE,
        )
        for cell in range(cells)
    ]
    highest = max(max(one.at_25_c_mohm) for one in readings)
    return draw_chart(
        Chart(
            kind="pack-resistance",
            title="Resistance of each cell, brought to 25 °C",
            words=f"{len(readings)} readings; the highest now is cell {worst + 1} with "
            f"{last[worst]:.1f} mΩ.",
            across=Scale("full cycles in this log", 0.0, across * ROOM),
            upward=Scale("resistance (mΩ)", 0.0, highest * ROOM),
            curves=curves,
        )
    )
