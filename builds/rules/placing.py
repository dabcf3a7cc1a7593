"""Parts that disturb each other when they sit too close."""

from __future__ import annotations

import math
from collections.abc import Iterator

from builds.findings import Case, Finding, Level, MissingValue, book
from builds.limits import is_below, number
from builds.records import PositionRecord

PRACTICE = "common practice, no source"
PLACE = ("position.x_mm", "position.y_mm", "position.z_mm")
COMPASS_DISTANCE_MM = 100.0
VIDEO_DISTANCE_MM = 50.0


def _distance(
    case: Case, one: PositionRecord, other: PositionRecord
) -> tuple[float, tuple[str, ...]]:
    """Distance over the axes known of both [mm], at most the true one, and what is missing."""
    squares = 0.0
    gaps: list[str] = []
    for axis in PLACE:
        (ours, theirs), missing = case.look((one, axis), (other, axis))
        gaps += missing
        if not missing:
            squares += (ours - theirs) ** 2
    return math.sqrt(squares), tuple(gaps)


def _judge(case: Case, other: PositionRecord, wanted: float, remedy: str) -> Iterator[Finding]:
    assert case.subject is not None
    distance, gaps = _distance(case, case.subject, other)
    if not is_below(distance, wanted):
        return
    if gaps:
        raise MissingValue(gaps)
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} sits {number(distance)} mm from {other.title}; "
        f"{number(wanted)} mm are wanted.",
        remedy,
        distance_mm=distance,
        wanted_mm=wanted,
    )


@book.rule(group="placing", each="gps", needs=PLACE, source=PRACTICE)
def gps_near_video_unit(case: Case) -> Iterator[Finding]:
    """Does the GPS sit within 50 mm of the video unit?

    A video unit's noise drowns the satellites.
    """
    for unit in case.build.fitted("video_unit"):
        yield from _judge(case, unit, VIDEO_DISTANCE_MM, "Move one of them, or shield the GPS.")


@book.rule(
    group="placing",
    each="hardware",
    needs=(
        *PLACE,
        "hardware.is_magnetic",
        "gps.has_compass",
        "flight_controller.has_compass",
    ),
    source=PRACTICE,
)
def magnet_near_compass(case: Case) -> Iterator[Finding]:
    """Does a magnet or steel part sit within 100 mm of a compass?

    Asked of hardware said to be magnetic. A compass led astray sends an automatic return astray.
    """
    assert case.subject is not None
    if not case.ask(case.subject, "is_magnetic"):
        return
    for sensor in case.build.fitted("gps", "flight_controller"):
        if case.ask(sensor, "has_compass"):
            remedy = "Move the magnet away and calibrate the compass again."
            yield from _judge(case, sensor, COMPASS_DISTANCE_MM, remedy)
