"""Thrust and current over the throttle, and minutes over the power of cruise."""

from __future__ import annotations

from collections.abc import Sequence

from builds.engineering.propulsion import Band
from builds.figures import Figures
from builds.powering import PowerReport
from hangar.drawing.chart import Chart, Curve, Scale, draw_chart
from hangar.drawing.paper import Point, Svg

END_DASHES = "4 8"
MAIN, END = 6.0, 2.5
ROOM = 1.05


def draw_thrust(report: PowerReport) -> Svg:
    """Thrust of all motors [g] over the throttle [%]; empty when it is not known."""
    bands = [(100 * point.duty, point.thrust_g) for point in report.over_duty]
    return _with_band("thrust", "Thrust over the throttle, at rest", "thrust (g)", bands)


def draw_current(report: PowerReport) -> Svg:
    """Current of the pack [A] over the throttle [%]; empty when it is not known."""
    bands = [(100 * point.duty, point.current_a) for point in report.over_duty]
    return _with_band("current", "Current over the throttle, at rest", "pack (A)", bands)


def draw_endurance(report: PowerReport) -> Svg:
    """Minutes over the power of cruise [W], the build's own cruise marked; empty if not known."""
    points = report.over_power
    if not points:
        return Svg()
    chosen = _point(report.flight)
    curves = [
        Curve("", [(point.power_w, point.minutes) for point in points], width=MAIN),
        Curve("", [(point.power_w, point.high_min) for point in points], END_DASHES, END),
        Curve("", [(point.power_w, point.low_min) for point in points], END_DASHES, END),
    ]
    said = ""
    if chosen is not None:
        curves.append(Curve("this build", [(chosen[0], 0.0), chosen], dashes=END_DASHES))
        said = f" This build cruises at {chosen[0]:.0f} W: {chosen[1]:.0f} min."
    first, last = points[0], points[-1]
    return draw_chart(
        Chart(
            kind="endurance",
            title="Minutes over the power of cruise",
            words=f"From {first.minutes:.0f} min at {first.power_w:.0f} W to {last.minutes:.1f} min"
            f" at {last.power_w:.0f} W.{said}",
            across=Scale("power in cruise (W)", 0.0, last.power_w * ROOM),
            upward=Scale("minutes", 0.0, first.high_min * ROOM),
            curves=curves,
        )
    )


def _point(flight: Figures) -> Point | None:
    power, minutes = flight["flight_power_w"], flight["endurance_cruise_min"]
    if power.value is None or minutes.value is None:
        return None
    return power.value, minutes.value


def _with_band(kind: str, title: str, upward: str, bands: Sequence[tuple[float, Band]]) -> Svg:
    if not bands:
        return Svg()
    last = bands[-1][1]
    low, high = _told(last.low), _told(last.high)
    ends = {
        "high": [(across, band.high) for across, band in bands],
        "low": [(across, max(0.0, band.low)) for across, band in bands],
    }
    middle = Curve("", [(across, band.value) for across, band in bands], width=MAIN)
    return draw_chart(
        Chart(
            kind=kind,
            title=title,
            words=f"{_told(last.value)} at full throttle, from {low} to {high}.",
            across=Scale("throttle, as duty (%)", 0.0, 100.0),
            upward=Scale(upward, 0.0, last.high * ROOM),
            curves=[middle, *(Curve("", points, END_DASHES, END) for points in ends.values())],
        )
    )


def _told(value: float) -> str:
    """Three figures that count, written out."""
    return f"{float(f'{value:.3g}'):.10g}"
