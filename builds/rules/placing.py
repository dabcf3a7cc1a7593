"""Parts that disturb each other when they sit too close, or sit where no air or sky reaches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from builds.engineering.magnetics import pair_field
from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.distances import PLACE, distance_known
from builds.limits import is_below, number
from builds.records import PositionRecord

PRACTICE = "common practice, no source"
MM = 1e-3
TESLA_PER_MICROTESLA = 1e-6
SPACING_MM = 4.0
"""Axes of two wires that lie side by side: common practice, no source."""


def _judge(case: Case, other: PositionRecord, wanted: float, remedy: str) -> Iterator[Finding]:
    assert case.subject is not None
    distance, gaps = distance_known(case, case.subject, other)
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


@book.rule(
    group="placing",
    each="gps",
    needs=(*PLACE, "video_unit.band_mhz"),
    source=PRACTICE,
    limits=(Limit("apart_mm", 50.0, "least way from GPS to video unit", maximum=1000),),
)
def gps_near_video_unit(case: Case) -> Iterator[Finding]:
    """Does the GPS sit close to the video unit?

    A video unit's noise drowns the satellites.
    """
    for unit in case.build.fitted("video_unit"):
        remedy = "Move one of them, or shield the GPS."
        yield from _judge(case, unit, case.limit("apart_mm"), remedy)


@book.rule(group="placing", each="gps", needs=("position.has_sky_view",), source=PRACTICE)
def gps_without_sky(case: Case) -> Iterator[Finding]:
    """Does the GPS not see the sky?

    Carbon, a pack or a metal plate above it hides the satellites; foam and thin plastic do not.
    """
    assert case.subject is not None
    (has_view,) = case.need((case.subject, "position.has_sky_view"))
    if has_view:
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} does not see the sky.",
        "Move it up, its ceramic side to the sky and nothing but foam or plastic above it.",
        has_sky_view=has_view,
    )


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
    limits=(Limit("apart_mm", 100.0, "least way from a magnet to a compass", maximum=1000),),
)
def magnet_near_compass(case: Case) -> Iterator[Finding]:
    """Does a magnet or steel part sit close to a compass?

    Asked of hardware said to be magnetic. A compass led astray sends an automatic return astray.
    """
    assert case.subject is not None
    if not case.ask(case.subject, "is_magnetic"):
        return
    for sensor in case.build.fitted("gps", "flight_controller"):
        if case.ask(sensor, "has_compass"):
            remedy = "Move the magnet away and calibrate the compass again."
            yield from _judge(case, sensor, case.limit("apart_mm"), remedy)


@book.rule(
    group="placing",
    each=("gps", "flight_controller"),
    needs=(
        *PLACE,
        "gps.has_compass",
        "flight_controller.has_compass",
        "lead.plug_a",
        "speed_controller.current_continuous_a",
        "figure.current_max_a",
    ),
    source=f"law of Biot and Savart; the distance wanted is {PRACTICE}",
    limits=(Limit("apart_mm", 80.0, "least way from a compass to motor currents", maximum=1000),),
)
def compass_near_motor_current(case: Case) -> Iterator[Finding]:
    """Does a compass sit close to the wires or controllers that carry the motors' current?

    The current adds its own field to the earth's, and the heading turns with the throttle. With
    an automatic return it turns the way home. The field told is that of two wires 4 mm apart.
    """
    compass = case.subject
    assert compass is not None
    if not case.ask(compass, "has_compass"):
        return
    wanted = case.limit("apart_mm")
    near: list[tuple[float, PositionRecord]] = []
    gaps: list[str] = []
    for carrier in case.build.fitted("lead", "speed_controller"):
        apart, missing = distance_known(case, compass, carrier)
        if is_below(apart, wanted) and missing:
            gaps += missing
        elif is_below(apart, wanted):
            near.append((apart, carrier))
    if near:
        yield _current_finding(case, near, wanted)
    if gaps:
        raise MissingValue(dict.fromkeys(gaps))


def _current_finding(
    case: Case, near: Sequence[tuple[float, PositionRecord]], wanted: float
) -> Finding:
    """One finding that names all carriers, with the field of the nearest."""
    assert case.subject is not None
    names = ", ".join(f"{number(apart)} mm from {carrier.title}" for apart, carrier in near)
    apart = min(distance for distance, _ in near)
    field = _field_ut(case, apart)
    told = "" if field is None else f" At full throttle that adds some {number(field)} µT."
    return case.finding(
        Level.CAUTION,
        f"The compass of {case.subject.title} sits {names}; {number(wanted)} mm are wanted.{told}",
        "Put it on a mast, twist the wires, or fly without the compass and without what needs it.",
        apart_mm=round(apart, 6),
        wanted_mm=wanted,
        field_microtesla=None if field is None else round(field, 6),
    )


def _field_ut(case: Case, apart_mm: float) -> float | None:
    """Field of the wires to and fro at that distance [microtesla], where the current is known."""
    current = case.ask_figure("current_max_a")
    if current is None or not is_below(SPACING_MM / 2, apart_mm):
        return None
    field = pair_field(current=current.value, spacing=SPACING_MM * MM, distance=apart_mm * MM)
    return field / TESLA_PER_MICROTESLA


@book.rule(
    group="placing",
    each=("video_unit", "speed_controller"),
    needs=(
        "video_unit.needs_airflow",
        "position.opening_cm2",
        "airframe.layout",
    ),
    source=PRACTICE,
    limits=(Limit("opening_cm2", 1.0, "least openings for air at a hot part", maximum=100),),
)
def hot_part_closed_in(case: Case) -> Iterator[Finding]:
    """Is a video unit or a speed controller closed in without moving air?

    Both shut down or burn when they get too hot. On the bench there is no air at all: power a
    video unit for two minutes at most. A multirotor's frame is open.
    """
    subject, airframe = case.subject, case.build.airframe
    assert subject is not None
    if airframe is not None and case.ask(airframe, "layout") == "multirotor":
        return
    if subject.kind == "video_unit" and case.ask(subject, "needs_airflow") is False:
        return
    (opening,) = case.need((subject, "position.opening_cm2"))
    wanted = case.limit("opening_cm2")
    if not is_below(opening, wanted):
        return
    yield case.finding(
        Level.CAUTION,
        f"{subject.title} has openings of {number(opening)} cm² for air; {number(wanted)} cm² are "
        "wanted.",
        "Open an inlet in front of it and an outlet behind.",
        opening_cm2=opening,
        wanted_cm2=wanted,
    )
