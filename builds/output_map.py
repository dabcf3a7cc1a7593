"""Which motor and servo is on which output: the present map, its faults, a better one. Plain."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from builds.engineering.checks import OutOfRange
from builds.engineering.outputs import (
    Function,
    NoMap,
    Output,
    OutputMap,
    map_problems,
    propose_map,
)
from builds.findings import words_of
from builds.records import BuildSnapshot, PositionRecord

SERVO_PULSES = "servo pulses"
DIGITAL = "digital motor signal"
MOTOR_SIGNALS = {"digital": DIGITAL, "pulse": SERVO_PULSES}
ANY_MOTOR_SIGNAL = "motor signal"


@dataclass(frozen=True)
class Driven:
    """A motor or servo that takes an output; `twins` are controllers that carry its number too."""

    position: PositionRecord
    name: str
    output: int | None
    twins: tuple[PositionRecord, ...] = ()

    @property
    def key(self) -> str:
        """Short name of its position."""
        return self.position.key


@dataclass(frozen=True)
class OutputGroup:
    """Outputs on one timer, who is on them, what they carry, and which are free."""

    name: str
    outputs: tuple[int, ...]
    users: tuple[tuple[int, str], ...]
    signal: str
    free: tuple[int, ...]


@dataclass(frozen=True)
class Outputs:
    """The outputs of a build.

    `missing` says what it takes to judge them. `proposal` keeps what is `fixed`, and of the rest
    as much as can stay; it is a proof when there is no map.
    """

    driven: tuple[Driven, ...] = ()
    groups: tuple[OutputGroup, ...] = ()
    problems: tuple[str, ...] = ()
    fixed: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    proposal: OutputMap | NoMap | None = None

    @property
    def map(self) -> dict[str, int]:
        """Outputs proposed, by short name of the position; empty without a map."""
        if not isinstance(self.proposal, OutputMap):
            return {}
        return {one.key: self.proposal.outputs[one.name] for one in self.driven}

    @property
    def changes(self) -> tuple[Driven, ...]:
        """What the proposal moves."""
        return tuple(one for one in self.driven if self.map.get(one.key, one.output) != one.output)


def outputs_of(snapshot: BuildSnapshot, fixed: Collection[str] = ()) -> Outputs:
    """The outputs of a build, and a map that keeps what is fixed, by short names of positions."""
    driven = _driven(snapshot)
    missing = _missing(snapshot, driven)
    if missing:
        return Outputs(driven=driven, missing=missing)
    functions, outputs = _functions(snapshot, driven), _board_outputs(snapshot)
    kept = tuple(one.key for one in driven if one.key in fixed)
    placed = {one.name: one.output for one in driven if one.output is not None}
    try:
        problems = map_problems(functions=functions, outputs=outputs, placed=placed)
        proposal = _propose(functions, outputs, placed, [one for one in driven if one.key in kept])
    except OutOfRange as reason:
        return Outputs(driven=driven, fixed=kept, missing=(str(reason),))
    groups = _groups(snapshot, functions, placed)
    return Outputs(driven, groups, problems, kept, (), proposal)


def _propose(
    functions: Sequence[Function],
    outputs: Sequence[Output],
    placed: Mapping[str, int],
    kept: Sequence[Driven],
) -> OutputMap | NoMap:
    """A map that keeps what is asked, and beyond that every function that can stay."""
    pins = {one.name: placed[one.name] for one in kept if one.name in placed}
    wrong = [name for name, number in pins.items() if all(number != o.number for o in outputs)]
    if wrong:
        names = ", ".join(f"{name} on output {pins[name]}" for name in wrong)
        return NoMap(tuple(wrong), tuple(wrong), f"The board has no such output: {names}.")
    found = propose_map(functions=functions, outputs=outputs, fixed=pins)
    if isinstance(found, NoMap):
        return found
    # A servo is the harder one to move: its lead has the length it has.
    for function in sorted(functions, key=lambda one: one.signals != (SERVO_PULSES,)):
        number = placed.get(function.name)
        if function.name in pins or all(number != output.number for output in outputs):
            continue
        assert number is not None
        longer = propose_map(
            functions=functions, outputs=outputs, fixed={**pins, function.name: number}
        )
        if isinstance(longer, OutputMap):
            pins[function.name], found = number, longer
    return found


def _driven(snapshot: BuildSnapshot) -> tuple[Driven, ...]:
    motors, servos = snapshot.fitted("motor"), snapshot.fitted("servo")
    controllers = [one for one in snapshot.fitted("speed_controller") if one.output is not None]
    bare = [motor for motor in motors if motor.output is None]
    names = Counter(one.name for one in (*motors, *servos))
    driven = []
    for position in (*motors, *servos):
        twins = tuple(
            one for one in controllers if position.kind == "motor" and position.output == one.output
        )
        # A motor's output may stand with the speed controller in front of it.
        if position in bare and len(controllers) == len(bare):
            twins = (controllers[bare.index(position)],)
        output = position.output
        if output is None and twins:
            output = twins[0].output
        name = position.name if names[position.name] == 1 else f"{position.name} ({position.key})"
        driven.append(Driven(position, name, output, twins))
    return tuple(driven)


def _missing(snapshot: BuildSnapshot, driven: Sequence[Driven]) -> tuple[str, ...]:
    board = snapshot.first("flight_controller")
    missing = []
    if not driven:
        missing.append("a motor or servo: nothing fitted")
    if board is None or board.part is None:
        missing.append("Flight controller: nothing fitted")
    elif not board.part.get("timer_groups"):
        missing.append(f"{board.title}: {words_of('timer_groups')}")
    kinds = {one.position.kind for one in driven}
    if kinds == {"motor", "servo"} and not snapshot.motor_signal:
        missing.append("this build: motor signal")
    missing += [
        f"{one.name}: a position of its own for each of {one.position.quantity}"
        for one in driven
        if one.position.quantity > 1
    ]
    return tuple(missing)


def _functions(snapshot: BuildSnapshot, driven: Sequence[Driven]) -> tuple[Function, ...]:
    motor = MOTOR_SIGNALS.get(snapshot.motor_signal, ANY_MOTOR_SIGNAL)
    return tuple(
        Function(one.name, (motor if one.position.kind == "motor" else SERVO_PULSES,))
        for one in driven
    )


def _timer_groups(snapshot: BuildSnapshot) -> list[list[int]]:
    board = snapshot.first("flight_controller")
    groups: list[list[int]] = board.part.get("timer_groups", []) if board and board.part else []
    return groups


def _board_outputs(snapshot: BuildSnapshot) -> tuple[Output, ...]:
    signals = frozenset({SERVO_PULSES, DIGITAL, ANY_MOTOR_SIGNAL})
    return tuple(
        Output(number, f"timer {place}", signals)
        for place, group in enumerate(_timer_groups(snapshot), start=1)
        for number in group
    )


def _groups(
    snapshot: BuildSnapshot, functions: Sequence[Function], placed: Mapping[str, int]
) -> tuple[OutputGroup, ...]:
    signals = {function.name: function.signals[0] for function in functions}
    return tuple(
        _group(place, group, signals, placed)
        for place, group in enumerate(_timer_groups(snapshot), start=1)
    )


def _group(
    place: int, group: Sequence[int], signals: Mapping[str, str], placed: Mapping[str, int]
) -> OutputGroup:
    users = tuple((number, name) for name, number in placed.items() if number in group)
    carried = sorted({signals[name] for _, name in users})
    taken = {number for number, _ in users}
    return OutputGroup(
        name=f"timer {place}",
        outputs=tuple(group),
        users=tuple(sorted(users)),
        signal=" and ".join(carried),
        free=tuple(number for number in group if number not in taken),
    )
