"""The throw of a surface over the travel of its servo, a curve for each hole of the arm."""

from __future__ import annotations

import math
from collections.abc import Sequence

from builds.controls import Setting, SurfaceSetUp
from builds.engineering.checks import OutOfRange
from builds.engineering.linkage import edge_distance, surface_angle, transmission_ratio
from builds.figures.units import MILLIMETRE, PERCENT
from hangar.drawing.chart import Chart, Curve, Level, Scale, draw_chart
from hangar.drawing.paper import Point, Svg

TRAVEL_MOST = 125
STEP = 5
DASHES = ("", "14 6", "4 6", "18 6 4 6", "8 8", "2 5")
IN_USE, OTHER = 6.0, 3.0
HEADROOM = 1.1

Points = tuple[Point, ...]


def throw_points(setting: Setting, arm: float) -> Points:
    """Travel [%] and throw [mm] of one hole [m], end to end, as far as it moves on."""
    half = range(0, TRAVEL_MOST + STEP, STEP)
    up = _side(setting, arm, half)
    down = _side(setting, arm, [-travel for travel in half[1:]])
    return (*reversed(down), *up)


def draw_throws(found: SurfaceSetUp) -> Svg:
    """The chart of a surface; empty when its linkage is not known."""
    setting = found.setting
    if setting is None:
        return Svg()
    curves = [
        Curve(
            label=f"{hole / MILLIMETRE:g} mm",
            points=throw_points(setting, hole),
            dashes=DASHES[number % len(DASHES)],
            width=IN_USE if hole == setting.arm else OTHER,
        )
        for number, hole in enumerate(setting.holes)
    ]
    levels = [
        Level(f"{axis} {throw:g} mm" if side > 0 else "", side * throw, place)
        for place, (axis, throw) in enumerate(found.throws_mm.items())
        for side in (1, -1)
    ]
    heights = [abs(height) for curve in curves for _, height in curve.points]
    most = HEADROOM * max([*heights, *found.throws_mm.values(), 1.0])
    chart = Chart(
        kind=f"throws-{found.surface.id}",
        title=f"{found.surface.name}: throw over travel",
        words=_words(found, curves),
        across=Scale("travel of the servo (%)", -TRAVEL_MOST, TRAVEL_MOST),
        upward=Scale("throw, up (mm)", -most, most),
        curves=curves,
        levels=levels,
    )
    return draw_chart(chart)


def _words(found: SurfaceSetUp, curves: Sequence[Curve]) -> str:
    ends = [
        f"hole at {curve.label}: {curve.points[0][1]:.1f} to {curve.points[-1][1]:.1f} mm"
        for curve in curves
        if curve.points
    ]
    wanted = [f"{axis} {throw:g} mm" for axis, throw in found.throws_mm.items()]
    return f"Ends of the curves, {'; '.join(ends)}. Wanted: {', '.join(wanted) or 'nothing'}."


def _side(setting: Setting, arm: float, travels: Sequence[int]) -> list[Point]:
    points: list[Point] = []
    for travel in travels:
        turn = travel * PERCENT * setting.full_travel
        try:
            linkage = setting.linkage(arm)
            neutral = transmission_ratio(linkage=linkage, servo_angle=0.0)
            # Beyond the line of arm and pushrod the surface comes back: nobody flies there.
            if transmission_ratio(linkage=linkage, servo_angle=turn) * neutral <= 0:
                break
            angle = surface_angle(linkage=linkage, servo_angle=turn)
        except OutOfRange:
            break
        if abs(angle) > math.pi / 2:
            break
        points.append((travel, edge_distance(angle=angle, chord=setting.chord) / MILLIMETRE))
    return points
