"""Wires between boards: serial speed and messages of the GPS, addresses, signal voltages."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from builds.findings import Case, Finding, Level, MissingValue, book
from builds.findings.alike_parts import told_by
from builds.limits import is_above, is_below, number

SHEET = "the makers' sheets"


@book.rule(
    group="buses",
    each="gps",
    needs=("gps.baud_hz", "build.gps_baud_hz"),
    source=SHEET,
)
def gps_speed_differs(case: Case) -> Iterator[Finding]:
    """Does the GPS send at another serial speed than is set for it?

    Some boards find the speed by themselves; where one does, set here what the GPS sends.
    """
    assert case.subject is not None
    if case.build.first("flight_controller") is None:
        return
    sent, set_to = case.need((case.subject, "baud_hz"), (case.build, "gps_baud_hz"))
    if sent == set_to:
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} sends at {sent:g} Bd; the flight controller is set to {set_to:g}.",
        "Set both alike.",
        sent_hz=sent,
        set_hz=set_to,
    )


@book.rule(
    group="buses",
    each="gps",
    needs=("gps.messages", "flight_controller.gps_messages"),
    source=SHEET,
)
def gps_message_not_read(case: Case) -> Iterator[Finding]:
    """Does the GPS send no message that the flight controller can read?

    Without a message that both know there is no position.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    if board is None:
        return
    sent, read = case.need((case.subject, "messages"), (board, "gps_messages"))
    if {one.casefold() for one in sent} & {one.casefold() for one in read}:
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} sends {', '.join(sent)}; {board.title} reads {', '.join(read)}.",
        "Set another message on one of them.",
        sent=tuple(sent),
        read=tuple(read),
    )


@book.rule(
    group="buses",
    needs=(
        "gps.has_compass",
        "gps.compass_address",
        "flight_controller.has_compass",
        "flight_controller.compass_address",
        "flight_controller.bus_count",
        "hardware.bus_address",
    ),
    source="NXP UM10204, 3.1.10: each device on a two-wire bus has its own address",
)
def address_clash(case: Case) -> Iterator[Finding]:
    """Do two devices on the two-wire bus have the same address?

    Both then answer at once and neither can be read. With as many buses as alike devices they can
    be kept apart.
    """
    board = case.build.first("flight_controller")
    if board is None:
        return
    users, gaps = _addresses(case)
    if sum(len(names) for names in users.values()) + len(gaps) < 2:
        return
    for address, names in sorted(users.items()):
        if len(names) < 2:
            continue
        (buses,) = case.need((board, "bus_count"))
        if len(names) <= buses:
            continue
        yield case.finding(
            Level.WARNING,
            f"{len(names)} devices on the two-wire bus have the address {address}: "
            f"{', '.join(names)}.",
            "Set another address on one of them, put it on another bus or do without it.",
            address=address,
            device_count=len(names),
            bus_count=buses,
        )
    if gaps:
        raise MissingValue(gaps)


def _addresses(case: Case) -> tuple[dict[int, list[str]], tuple[str, ...]]:
    """Names of the devices by address, and what is missing of the others."""
    users: dict[int, list[str]] = defaultdict(list)
    gaps: list[str] = []
    for position in case.build.fitted("gps", "flight_controller"):
        if case.ask(position, "has_compass"):
            (address,), missing = case.look((position, "compass_address"))
            gaps += missing
            if address is not None:
                users[int(address)].append(f"{position.title}, compass")
    for position in case.build.fitted("hardware"):
        address = case.ask(position, "bus_address")
        if address is not None:
            users[int(address)] += [position.title] * position.quantity
    return users, tuple(gaps)


@book.rule(
    group="buses",
    each=("servo", "speed_controller"),
    needs=(
        "servo.signal_min_v",
        "speed_controller.signal_min_v",
        "flight_controller.signal_v",
    ),
    source=SHEET,
)
def signal_level_too_low(case: Case) -> Iterator[Finding]:
    """Is the board's signal too low a voltage for what it drives?

    A part made for 5 V signals may want 3.5 V and read 3.3 V only now and then.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    if board is None:
        return
    sent, least = case.need((board, "signal_v"), (case.subject, "signal_min_v"))
    who = told_by(case, "signal_min_v")
    if not is_below(sent, least) or not who:
        return
    yield case.finding(
        Level.CAUTION,
        f"{who} wants a signal of {number(least)} V; {board.title} sends {number(sent)} V.",
        "Put a level shifter in between, or fit a part that reads less.",
        signal_v=sent,
        min_v=least,
    )


@book.rule(
    group="buses",
    each="receiver",
    needs=("receiver.signal_v", "flight_controller.signal_max_v"),
    source=SHEET,
)
def signal_level_too_high(case: Case) -> Iterator[Finding]:
    """Is the receiver's signal above what the board's inputs stand?

    A pin made for 3.3 V can be destroyed by 5 V.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    if board is None:
        return
    sent, most = case.need((case.subject, "signal_v"), (board, "signal_max_v"))
    if not is_above(sent, most):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} sends {number(sent)} V; the inputs of {board.title} stand "
        f"{number(most)} V.",
        "Put a level shifter in between.",
        signal_v=sent,
        max_v=most,
    )
