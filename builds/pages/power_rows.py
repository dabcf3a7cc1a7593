"""Lines of the pages of power and placing, ready to be read."""

from __future__ import annotations

from dataclasses import dataclass, replace

from builds.engineering.propulsion import Band
from builds.figures import Figure
from builds.figures.results import Labelled
from builds.pages.wording import FigureRow, Reader
from builds.powering import SETTLED, PowerReport, grouped
from builds.records import PowerReadingRecord

FULL = 100.0


@dataclass(frozen=True)
class RatingRow:
    """A share of a rating, and whether it or the top of its range is more than the rating."""

    figure: FigureRow
    is_over: bool
    may_be_over: bool


@dataclass(frozen=True)
class ReadingRow:
    """A reading on the bench; `state` says whether the figures rest on it."""

    record: PowerReadingRecord
    voltage: str
    current: str
    speed: str
    thrust: str
    state: str


Ways = list[tuple[str, list[FigureRow]]]


def point_rows(report: PowerReport, reader: Reader) -> list[tuple[str, Ways]]:
    """The ways of running by airspeed: each throttle with its figures."""
    rows: dict[str, Ways] = {}
    for point in report.points:
        duty, speed = point.running.duty, point.running.airspeed_m_s
        throttle = "Full throttle" if duty == 1 else f"Throttle {reader.say(duty, 'duty')}"
        where = f"at {reader.say(round(speed, 1), 'speed_m_s')}" if speed else "at rest"
        figures = [reader.figure(figure) for figure in point.figures.values()]
        rows.setdefault(where, []).append((throttle, figures))
    return list(rows.items())


def rating_rows(report: PowerReport, reader: Reader) -> list[RatingRow]:
    """What full throttle uses of each rating."""
    return [
        RatingRow(
            figure=replace(reader.figure(figure), label=label),
            is_over=isinstance(figure, Figure) and figure.value > FULL,
            may_be_over=isinstance(figure, Figure) and (figure.high or 0.0) > FULL,
        )
        for label, figure in report.ratings
    ]


def group_rows(labelled: tuple[Labelled, ...], reader: Reader) -> list[tuple[str, list[FigureRow]]]:
    """Figures of several alike things, by thing."""
    return [
        (label, [reader.figure(figure) for figure in figures.values()])
        for label, figures in grouped(labelled).items()
    ]


def duty_rows(report: PowerReport, reader: Reader) -> list[tuple[str, str, str, str, str]]:
    """The curves over the throttle: throttle, current and its range, thrust and its range."""
    return [
        (
            reader.say(round(point.duty * FULL), "duty_percent"),
            reader.say(point.current_a.value, "current_a"),
            _range(point.current_a, "current_a", reader),
            reader.say(point.thrust_g.value, "thrust_g"),
            _range(point.thrust_g, "thrust_g", reader),
        )
        for point in report.over_duty
    ]


def minute_rows(report: PowerReport, reader: Reader) -> list[tuple[str, str, str]]:
    """The curve over the power of cruise: power, minutes and their range."""
    return [
        (
            reader.say(round(point.power_w, 1), "power_w"),
            f"{point.minutes:.1f} min",
            f"{point.low_min:.1f} to {point.high_min:.1f} min",
        )
        for point in report.over_power
    ]


def settled_rows(report: PowerReport, reader: Reader) -> list[tuple[FigureRow, FigureRow]]:
    """What the reading in use narrows: each figure without it and with it."""
    before = report.before_reading
    if before is None:
        return []
    return [(reader.figure(before[name]), reader.figure(report.figures[name])) for name in SETTLED]


def reading_rows(report: PowerReport, reader: Reader) -> list[ReadingRow]:
    """Readings on the bench, newest first."""
    return [
        ReadingRow(
            record=one,
            voltage=reader.say(one.voltage_v, "voltage_v"),
            current=reader.say(one.current_a, "current_a"),
            speed=reader.say(one.speed_rpm, "speed_rpm"),
            thrust=reader.say(one.thrust_g, "thrust_g") if one.thrust_g else "no scale",
            state=_state(one, report),
        )
        for one in report.snapshot.power_readings
    ]


def _state(reading: PowerReadingRecord, report: PowerReport) -> str:
    if report.reading is not None and reading.id == report.reading.id:
        return "in use"
    fitted = {position.part.id for position in report.snapshot.fitted() if position.part}
    if {reading.motor_id, reading.propeller_id} <= fitted:
        return "replaced by a newer one"
    return "of another motor or propeller"


def _range(band: Band, name: str, reader: Reader) -> str:
    return f"{reader.say(max(0.0, band.low), name)} to {reader.say(band.high, name)}"
