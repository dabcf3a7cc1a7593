"""Radio link, receiver, board, speed controllers and servos: do they understand each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from builds.findings import Case, Finding, Level, Limit, book
from builds.findings.alike_parts import told_by
from builds.limits import is_above, number

SHEET = "the makers' sheets"
PRACTICE = "common practice, no source"

# Bands of model radio links [MHz], widened to whole megahertz: ITU Radio Regulations 5.138 and
# 5.150, and ETSI EN 300 220 for 863 to 870 (from memory, not verified).
BANDS_MHZ = ((433, 435), (863, 870), (902, 928), (2400, 2500), (5150, 5925))
LINK = ("receiver.link_family", "ground_gear.link_family")
STICKS, SWITCHES = 4, 2
SIGNALS = {
    "digital": ("digital", "dshot", "proshot"),
    "pulse": ("pulse", "pwm", "oneshot", "multishot"),
}
"""What the two kinds of motor signal are called on sheets: common practice, no source."""


def _word(text: str) -> str:
    return text.strip().casefold()


def _words(texts: Iterable[str]) -> set[str]:
    return {_word(text) for text in texts}


def _listed(texts: Iterable[str]) -> str:
    return ", ".join(texts) or "nothing"


@book.rule(group="signal", each="receiver", needs=LINK, source=SHEET)
def link_family_differs(case: Case) -> Iterator[Finding]:
    """Are receiver and transmitter of different link families?

    Receivers and transmitters of different families cannot be bound to each other.
    """
    families = _families(case)
    if _word(families[0]) == _word(families[1]):
        return
    yield _link_finding(case, "link family", *families)


def _families(case: Case) -> tuple[str, str]:
    transmitter = case.need_ground("transmitter")
    assert case.subject is not None
    ours, theirs = case.need((case.subject, "link_family"), (transmitter, "link_family"))
    return ours, theirs


def _is_one_family(case: Case) -> bool:
    ours, theirs = _families(case)
    return _word(ours) == _word(theirs)


def _link_finding(case: Case, what: str, ours: object, theirs: object) -> Finding:
    assert case.subject is not None
    return case.finding(
        Level.WARNING,
        f"{case.subject.title}: {what} {ours}; your transmitter's is {theirs}. They will not bind.",
        "Fit a receiver that matches the transmitter, or set both alike.",
        receiver=ours,
        transmitter=theirs,
    )


@book.rule(
    group="signal",
    each="receiver",
    needs=(*LINK, "receiver.link_version", "ground_gear.link_version"),
    source=PRACTICE,
)
def link_version_differs(case: Case) -> Iterator[Finding]:
    """Are receiver and transmitter of different major versions of their link?

    Only of interest within one family.
    """
    assert case.subject is not None
    if not _is_one_family(case):
        return
    transmitter = case.need_ground("transmitter")
    ours, theirs = case.need((case.subject, "link_version"), (transmitter, "link_version"))
    if ours != theirs:
        yield _link_finding(case, "link version", ours, theirs)


@book.rule(
    group="signal",
    each="receiver",
    needs=(*LINK, "receiver.band_mhz", "ground_gear.band_mhz"),
    source="physics; bands: ITU Radio Regulations 5.138, 5.150; ETSI EN 300 220",
)
def link_band_differs(case: Case) -> Iterator[Finding]:
    """Do receiver and transmitter work in different bands?

    Only of interest within one family.
    """
    assert case.subject is not None
    if not _is_one_family(case):
        return
    transmitter = case.need_ground("transmitter")
    ours, theirs = case.need((case.subject, "band_mhz"), (transmitter, "band_mhz"))
    is_shared = any(low <= ours <= high and low <= theirs <= high for low, high in BANDS_MHZ)
    if is_shared or ours == theirs:
        return
    yield _link_finding(case, "band", f"{ours:g} MHz", f"{theirs:g} MHz")


@book.rule(
    group="signal",
    each="receiver",
    needs=("receiver.output_protocols", "flight_controller.input_protocols"),
    source=SHEET,
)
def receiver_not_understood(case: Case) -> Iterator[Finding]:
    """Does the receiver send nothing that the flight controller can read?

    Without a flight controller there is nothing to compare.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    if board is None:
        return
    sent, read = case.need((case.subject, "output_protocols"), (board, "input_protocols"))
    if _words(sent) & _words(read):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} sends {_listed(sent)}; {board.title} reads {_listed(read)}.",
        "Set another protocol on one of them, or fit a receiver that the board can read.",
        sent=tuple(sent),
        read=tuple(read),
    )


@book.rule(
    group="signal",
    each="receiver",
    needs=("receiver.is_output_inverted", "flight_controller.accepts_inverted"),
    source=SHEET,
)
def inverted_signal_not_read(case: Case) -> Iterator[Finding]:
    """Is the receiver's serial signal inverted, and the board unable to read it so?

    Only asked for what it takes to settle it: a plain signal suits every board.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    if board is None or case.ask(board, "accepts_inverted"):
        return
    (is_inverted,) = case.need((case.subject, "is_output_inverted"))
    if not is_inverted:
        return
    case.need((board, "accepts_inverted"))
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} sends an inverted signal; no port of {board.title} reads one.",
        "Set the receiver to a plain signal, or put an inverter in between.",
    )


@book.rule(
    group="signal",
    each="receiver",
    needs=("receiver.channel_count", "airframe.layout"),
    sees=("motor", "servo", "flight_controller"),
    source=PRACTICE,
)
def too_few_channels(case: Case) -> Iterator[Finding]:
    """Has the receiver too few channels for sticks, arming and flight modes?

    Counted are four for the sticks (three for a flying wing, which has no rudder), one to arm and
    one for the flight mode. Without a flight controller there are only the sticks, and no more of
    them than motors and servos: a glider with two servos flies on two channels.
    """
    assert case.subject is not None
    (channels,) = case.need((case.subject, "channel_count"))
    if channels >= STICKS + SWITCHES:
        return
    airframe = case.build.airframe
    layout = case.ask(airframe, "layout") if airframe else None
    sticks = STICKS - 1 if layout == "flying_wing" else STICKS
    has_board = case.build.first("flight_controller") is not None
    moved = len(case.build.fitted("motor", "servo"))
    if moved and not has_board:
        sticks = min(sticks, moved)
    wanted = sticks + (SWITCHES if has_board else 0)
    if channels >= wanted:
        return
    yield case.finding(
        Level.WARNING if channels < sticks else Level.CAUTION,
        f"{case.subject.title} has {channels} channels; this aircraft wants {wanted}.",
        "Fit a receiver with more channels, or put functions on one.",
        channel_count=channels,
        wanted=wanted,
    )


@book.rule(
    group="signal",
    each="speed_controller",
    needs=(
        "speed_controller.protocols",
        "flight_controller.motor_protocols",
        "build.motor_signal",
    ),
    source=SHEET,
)
def motor_signal_not_understood(case: Case) -> Iterator[Finding]:
    """Does the board send nothing that the speed controller understands?

    If the build says what is sent, that one is checked too. Without a flight controller the
    receiver sends pulses, which every controller understands.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    if board is None:
        return
    understood, sent = case.need((case.subject, "protocols"), (board, "motor_protocols"))
    signal = case.ask(case.build, "motor_signal")
    is_signal_known = not signal or any(
        _word(one).startswith(SIGNALS.get(signal, (signal,))) for one in understood
    )
    if _words(understood) & _words(sent) and is_signal_known:
        return
    who = told_by(case, "protocols")
    if not who:
        return
    now = f"this build sends {signal}" if signal else f"{board.title} sends {_listed(sent)}"
    yield case.finding(
        Level.WARNING,
        f"{who} understands {_listed(understood)}; {now}.",
        "Set a signal that both know, or fit another speed controller.",
        understood=tuple(understood),
        sent=tuple(sent),
        signal=signal,
    )


@book.rule(
    group="signal",
    each="servo",
    needs=("servo.frame_rate_max_hz", "build.servo_rate_hz"),
    source=SHEET,
)
def servo_rate_too_high(case: Case) -> Iterator[Finding]:
    """Do the servos get pulses faster than they can follow?

    A servo driven too fast jitters, heats up and can fail in flight.
    """
    assert case.subject is not None
    most, rate = case.need((case.subject, "frame_rate_max_hz"), (case.build, "servo_rate_hz"))
    who = told_by(case, "frame_rate_max_hz")
    if not is_above(rate, most) or not who:
        return
    yield case.finding(
        Level.WARNING,
        f"{who} takes {number(most)} pulses a second at most; it gets {number(rate)}.",
        "Lower the pulse rate of the servo outputs.",
        rate_hz=rate,
        max_hz=most,
    )


@book.rule(
    group="signal",
    each="servo",
    needs=("servo.pulse_centre_us",),
    source=PRACTICE,
    limits=(
        Limit("centre_us", 1500.0, "pulse width that is sent for the centre", 100.0, 5000.0),
        Limit("difference_us", 150.0, "most that trim and travel make up for", 0.0, 1000.0),
    ),
)
def pulse_centre_differs(case: Case) -> Iterator[Finding]:
    """Is the servo made for another class of pulses than is sent?

    Most servos are centred by 1500 µs; some narrow-pulse servos for tails of helicopters by 760 µs.
    Driven with the wrong class a servo runs against its stop and burns.
    """
    assert case.subject is not None
    (centre,) = case.need((case.subject, "pulse_centre_us"))
    sent = case.limit("centre_us")
    who = told_by(case, "pulse_centre_us")
    if not is_above(abs(centre - sent), case.limit("difference_us")) or not who:
        return
    yield case.finding(
        Level.WARNING,
        f"{who} is centred by {number(centre)} µs; {number(sent)} µs is sent.",
        "Fit a servo of the usual class.",
        centre_us=centre,
        sent_us=sent,
    )
