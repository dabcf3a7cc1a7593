"""Ports, buses and overlay of the flight controller."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, MissingValue, book
from builds.records import PositionRecord

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
    users = _users(case)
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


def _users(case: Case) -> list[PositionRecord]:
    """What takes a serial port each."""
    units = [unit for unit in case.build.fitted("video_unit") if case.ask(unit, "control_bus")]
    return [*case.build.fitted("receiver", "gps"), *units]


@book.rule(
    group="ports",
    needs=("position.serial_port", "video_unit.control_bus"),
    source="definition of a serial port: it has one partner",
)
def two_parts_on_one_port(case: Case) -> Iterator[Finding]:
    """Are two parts wired to one serial port?

    They talk over each other, and neither is understood.
    """
    users = _users(case)
    if case.build.first("flight_controller") is None or len(users) < 2:
        return
    ports, missing = case.look(*((user, "position.serial_port") for user in users))
    for port in sorted({port for port in ports if port}):
        names = [user.name for user, own in zip(users, ports, strict=True) if own == port]
        if len(names) < 2:
            continue
        yield case.finding(
            Level.WARNING,
            f"Serial port {port} is given to more than one: {', '.join(names)}.",
            "Give each its own port.",
            port=port,
            part_count=len(names),
        )
    if missing:
        raise MissingValue(missing)


@book.rule(
    group="ports",
    each=("receiver", "gps", "video_unit"),
    needs=(
        "position.serial_port",
        "flight_controller.serial_port_count",
        "video_unit.control_bus",
    ),
    source=SHEET,
)
def no_such_port(case: Case) -> Iterator[Finding]:
    """Is something wired to a serial port that the flight controller has not?

    Ports count from 1. When the board has too few ports for all, `too_few_serial_ports` says so
    instead.
    """
    board, users = case.build.first("flight_controller"), _users(case)
    subject = case.subject
    assert subject is not None
    if board is None or subject not in users:
        return
    port, have = case.need((subject, "position.serial_port"), (board, "serial_port_count"))
    if port <= have or len(users) > have:
        return
    yield case.finding(
        Level.WARNING,
        f"{subject.title} is on serial port {port}; {board.title} has {have}.",
        "Move it to a port that the board has.",
        port=port,
        have=have,
    )


@book.rule(
    group="ports",
    needs=("build.is_usb_reachable",),
    sees="flight_controller",
    source="common practice, no source",
)
def usb_out_of_reach(case: Case) -> Iterator[Finding]:
    """Is the flight controller's USB socket out of reach once all is in?

    Every change of its settings then begins with taking the aircraft apart.
    """
    board = case.build.first("flight_controller")
    if board is None:
        return
    (is_reachable,) = case.need((case.build, "is_usb_reachable"))
    if is_reachable:
        return
    yield case.finding(
        Level.NOTE,
        f"The USB socket of {board.title} cannot be reached once all is in.",
        "Fit an extension of the socket.",
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
