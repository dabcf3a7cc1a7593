"""Ports, buses and overlay of the flight controller."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, book

SHEET = "the makers' sheets"


@book.rule(
    group="ports",
    each="flight_controller",
    needs=("flight_controller.serial_port_count", "video_unit.control_bus"),
    source="the makers' sheets; one port each is common practice, no source",
)
def too_few_serial_ports(case: Case) -> Iterator[Finding]:
    """Has the flight controller too few serial ports?

    A receiver takes one, a GPS one, and a video unit that the board can control one.
    """
    assert case.subject is not None
    build = case.build
    users = [*build.fitted("receiver", "gps")]
    users += [unit for unit in build.fitted("video_unit") if case.ask(unit, "control_bus")]
    if not users:
        return
    (have,) = case.need((case.subject, "serial_port_count"))
    if len(users) <= have:
        return
    names = ", ".join(position.name for position in users)
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} has {have} serial ports; {len(users)} are needed: {names}.",
        "Do without one of them, or fit a flight controller with more ports.",
        have=have,
        wanted=len(users),
    )


@book.rule(
    group="ports",
    each="gps",
    needs=("gps.has_compass", "flight_controller.bus_count"),
    source=SHEET,
)
def no_bus_for_compass(case: Case) -> Iterator[Finding]:
    """Has the GPS a compass, and the flight controller no bus to read it?

    The position still works; the compass stays unused.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    if board is None or case.ask(board, "bus_count"):
        return
    (has_compass,) = case.need((case.subject, "has_compass"))
    if not has_compass:
        return
    case.need((board, "bus_count"))
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} has a compass; {board.title} has no bus for one.",
        "Fit a GPS without compass, or a flight controller with a bus.",
    )


@book.rule(
    group="ports",
    each="camera",
    needs=("camera.video_standard", "flight_controller.overlay"),
    source=SHEET,
)
def overlay_missing(case: Case) -> Iterator[Finding]:
    """Is the camera analogue, and the flight controller without an analogue overlay?

    The pilot then sees no pack voltage in the picture. Digital systems overlay by themselves.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    if board is None or case.ask(board, "overlay") in ("analogue", "both"):
        return
    (standard,) = case.need((case.subject, "video_standard"))
    if standard == "digital":
        return
    case.need((board, "overlay"))
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} is analogue; {board.title} has no analogue overlay, so no voltage "
        "shows in the picture.",
        "Watch the pack's voltage another way, or fit a board with an analogue overlay.",
    )
