"""Outputs of the flight controller: do they exist, suffice and share timers well."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from builds.findings import Case, Finding, Level, MissingValue, book
from builds.records import BuildSnapshot, PositionRecord

SHEET = "the flight controller's sheet"
DRIVEN = ("motor", "speed_controller", "servo")


def _wanted(build: BuildSnapshot) -> int:
    """How many outputs motors and servos take, one each."""
    return sum(position.quantity for position in build.fitted("motor", "servo"))


@book.rule(
    group="outputs",
    each="flight_controller",
    needs=("flight_controller.timer_groups",),
    source=SHEET,
)
def too_few_outputs(case: Case) -> Iterator[Finding]:
    """Has the flight controller fewer outputs than there are motors and servos?

    Every motor and every servo takes one output.
    """
    assert case.subject is not None
    wanted = _wanted(case.build)
    if not wanted:
        return
    (groups,) = case.need((case.subject, "timer_groups"))
    have = sum(len(group) for group in groups)
    if wanted <= have:
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} has {have} outputs; motors and servos take {wanted}.",
        "Fit a flight controller with more outputs.",
        have=have,
        wanted=wanted,
    )


@book.rule(
    group="outputs",
    each=DRIVEN,
    needs=("flight_controller.timer_groups", "position.output"),
    source=SHEET,
)
def no_such_output(case: Case) -> Iterator[Finding]:
    """Is something assigned to an output that the flight controller has not?

    When the board has too few outputs for all, `too_few_outputs` says so instead.
    """
    board = case.build.first("flight_controller")
    assert case.subject is not None
    output = case.ask(case.subject, "position.output")
    if board is None or output is None:
        return
    (groups,) = case.need((board, "timer_groups"))
    outputs = sorted(number for group in groups for number in group)
    if output in outputs or _wanted(case.build) > len(outputs):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} is on output {output}; {board.title} has the outputs "
        f"{', '.join(map(str, outputs))}.",
        "Move it to an output that the board has.",
        output=output,
        outputs=tuple(outputs),
    )


@book.rule(
    group="outputs",
    needs=("position.output",),
    source="definition of an output: it carries one signal",
)
def two_functions_on_one_output(case: Case) -> Iterator[Finding]:
    """Are two things assigned to one output?

    A motor and the speed controller in front of it count as one thing.
    """
    users: dict[int, list[PositionRecord]] = defaultdict(list)
    for position in case.build.fitted(*DRIVEN):
        output = case.ask(position, "position.output")
        if output is not None:
            users[output].append(position)
    for output, positions in sorted(users.items()):
        kinds = Counter(position.kind for position in positions)
        if kinds["servo"] + max(kinds["motor"], kinds["speed_controller"]) < 2:
            continue
        names = ", ".join(position.name for position in positions)
        yield case.finding(
            Level.WARNING,
            f"Output {output} is given to more than one: {names}.",
            "Give each its own output. Two of a kind on a Y-lead can only move alike.",
            output=output,
            positions=tuple(position.key for position in positions),
        )


@book.rule(
    group="outputs",
    needs=("flight_controller.timer_groups", "position.output", "build.motor_signal"),
    source="the flight controller's sheet: a timer gives all its outputs one kind of signal",
)
def motor_and_servo_share_timer(case: Case) -> Iterator[Finding]:
    """Does a motor share a timer of the board with a servo?

    Outputs on one timer carry one kind of signal. A digital motor signal beside servo pulses
    leaves the servos dead or jumping. Motors driven by pulses go with servos; then the pulse rate
    must suit the servos, which the rule on the servos' pulse rate judges.
    """
    build = case.build
    board, servos = build.first("flight_controller"), build.fitted("servo")
    motors = build.fitted("motor", "speed_controller")
    if board is None or not servos or not motors or case.ask(build, "motor_signal") == "pulse":
        return
    (groups,) = case.need((board, "timer_groups"))
    placed = [p for p in (*motors, *servos) if case.ask(p, "position.output") is not None]
    shared = [members for members in _by_group(groups, placed) if _is_mixed(members)]
    if shared:
        case.need((build, "motor_signal"))
    for members in shared:
        yield _shared_timer(case, groups, placed, members)
    gaps = _unplaced(case, motors, servos)
    if gaps:
        raise MissingValue(gaps)


def _by_group(
    groups: list[list[int]], placed: list[PositionRecord]
) -> Iterator[list[PositionRecord]]:
    for group in groups:
        yield [position for position in placed if position.output in group]


def _is_mixed(members: list[PositionRecord]) -> bool:
    return 0 < sum(position.kind == "servo" for position in members) < len(members)


def _unplaced(
    case: Case, motors: tuple[PositionRecord, ...], servos: tuple[PositionRecord, ...]
) -> tuple[str, ...]:
    """Outputs nobody has given; a motor's may stand with its speed controller instead."""
    outputs, missing = case.look(*((position, "position.output") for position in servos))
    placed = sum(case.ask(position, "position.output") is not None for position in motors)
    wanted = sum(position.quantity for position in motors if position.kind == "motor")
    return missing if placed >= max(wanted, 1) else (*missing, "which outputs drive the motors")


def _shared_timer(
    case: Case, groups: list[list[int]], placed: list[PositionRecord], members: list[PositionRecord]
) -> Finding:
    taken = {position.output for position in placed}
    pulses = {position.output for position in placed if position.kind == "servo"}
    free = [
        output
        for group in groups
        if not pulses & set(group)
        for output in group
        if output not in taken
    ]
    names = ", ".join(f"{position.name} on {position.output}" for position in members)
    where = f" Free of servos: {', '.join(map(str, free)) or 'none'}."
    return case.finding(
        Level.WARNING,
        f"Motor and servo share a timer: {names}. A digital motor signal and servo pulses "
        "cannot go together.",
        f"Move the motor to an output whose timer has no servo, and record the new map.{where}",
        outputs=tuple(position.output for position in members),
        free=tuple(free),
    )


@book.rule(
    group="outputs",
    needs=("flight_controller.motor_outputs", "position.output"),
    source="common practice, no source",
)
def map_differs_from_usual(case: Case) -> Iterator[Finding]:
    """Do motors or servos sit on other outputs than the board has for them as delivered?

    It is no fault. But after every reset of the board's settings the old map is back, and a servo
    on a motor's output then gets a motor's signal.
    """
    board = case.build.first("flight_controller")
    placed = [
        position
        for position in case.build.fitted(*DRIVEN)
        if case.ask(position, "position.output") is not None
    ]
    if board is None or not placed:
        return
    (usual,) = case.need((board, "motor_outputs"))
    meant = sorted(output for group in usual for output in group)
    odd = [one for one in placed if (one.kind == "servo") == (one.output in meant)]
    if not odd:
        return
    names = ", ".join(f"{position.name} on {position.output}" for position in odd)
    yield case.finding(
        Level.NOTE,
        f"{board.title} is delivered with motors on {', '.join(map(str, meant))}; here is {names}.",
        "Label the leads, keep the map with the aircraft and check it after every reset.",
        usual=tuple(meant),
        outputs=tuple(position.output for position in odd),
    )
