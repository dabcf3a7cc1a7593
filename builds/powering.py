"""All that the power page and its API show of a build. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, replace

from builds.figures import Figure, Figures, Unknown, figures_of
from builds.figures.drive import reading_in_use
from builds.figures.endurance import (
    MinutePoint,
    endurance_over_power,
    flight_figures,
    read_flight,
)
from builds.figures.leads import lead_figures
from builds.figures.rails import rail_figures
from builds.figures.ratings import ratings
from builds.figures.results import Labelled, NotKnown
from builds.figures.running import CurvePoint, Running, curve_over_duty, running_figures
from builds.records import BuildSnapshot, PowerReadingRecord

HALF = 0.5
SETTLED = ("current_max_a", "power_max_w", "rpm_max", "thrust_max_g", "thrust_to_weight")
"""What a reading on the bench narrows."""


@dataclass(frozen=True)
class RunningPoint:
    """The drive at one throttle and airspeed."""

    running: Running
    figures: Figures


@dataclass(frozen=True)
class PowerReport:
    """Operating points, ratings, the chosen flight, wiring and curves of a build.

    The curves are empty where something is missing; the figures say what. `before_reading` are
    the figures that there would be without the reading they rest on, None without one.
    """

    snapshot: BuildSnapshot
    figures: Figures
    points: tuple[RunningPoint, ...]
    ratings: tuple[Labelled, ...]
    flight: Figures
    leads: tuple[Labelled, ...]
    rails: tuple[Labelled, ...]
    over_duty: tuple[CurvePoint, ...]
    over_power: tuple[MinutePoint, ...]
    reading: PowerReadingRecord | None
    before_reading: Figures | None


def power_report(
    snapshot: BuildSnapshot, *, duty: float | None = None, airspeed_m_s: float | None = None
) -> PowerReport:
    """A build at full and at part throttle, at rest and at an airspeed.

    Part throttle is half where none is given, the airspeed that of cruise.
    Elevation and temperature are the snapshot's air.
    """
    figures = figures_of(snapshot)
    flight, reading = flight_figures(figures), reading_in_use(snapshot)
    if airspeed_m_s is None:
        cruise = figures["cruise_speed_m_s"]
        airspeed_m_s = cruise.value if isinstance(cruise, Figure) else 0.0
    return PowerReport(
        snapshot=snapshot,
        figures=figures,
        points=tuple(
            RunningPoint(running, running_figures(figures, running))
            for running in _ways(duty or HALF, airspeed_m_s)
        ),
        ratings=ratings(figures),
        flight=flight,
        leads=lead_figures(figures),
        rails=rail_figures(figures),
        over_duty=_over_duty(figures),
        over_power=_over_power(figures),
        reading=reading,
        before_reading=figures_of(replace(snapshot, power_readings=())) if reading else None,
    )


def grouped(labelled: tuple[Labelled, ...]) -> dict[str, dict[str, Figure | Unknown]]:
    """Figures of several things by the label of each thing, then by name."""
    groups: dict[str, dict[str, Figure | Unknown]] = {}
    for label, figure in labelled:
        groups.setdefault(label, {})[figure.name] = figure
    return groups


def _ways(duty: float, airspeed_m_s: float) -> list[Running]:
    duties = dict.fromkeys((1.0, duty))
    speeds = dict.fromkeys((0.0, airspeed_m_s))
    return [Running(one, speed) for speed in speeds for one in duties]


def _over_duty(figures: Figures) -> tuple[CurvePoint, ...]:
    try:
        return curve_over_duty(figures)
    except (NotKnown, ValueError):
        return ()


def _over_power(figures: Figures) -> tuple[MinutePoint, ...]:
    try:
        return endurance_over_power(read_flight(figures))
    except (NotKnown, ValueError):
        return ()
