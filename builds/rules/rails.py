"""Regulators and rails: their voltage, what hangs on them and how warm they get."""

from __future__ import annotations

from collections.abc import Iterator

from builds.engineering.wiring import linear_regulator_heat
from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.alike_parts import told_by
from builds.limits import is_above, is_below, number
from builds.records import PositionRecord
from builds.supply import (
    TYPICAL,
    Rail,
    landing_voltage,
    loads_on,
    need_cells,
    rails_of,
    regulator_of,
    servo_rail_source,
    supply_of,
)

SHEET = "the maker's sheet"
PRACTICE = "common practice, no source"
BOARD_V = {"board_5v": 5.0, "board_9v": 9.0}
MILLI = 1e-3

FED = ("flight_controller", "video_unit", "camera", "receiver", "gps")
RAIL_VOLTS = (
    "flight_controller.servo_rail_v",
    "speed_controller.regulator_voltage_v",
    "regulator.voltage_out_v",
)
RAIL_AMPS = (
    "regulator.current_continuous_a",
    "regulator.current_peak_a",
    "speed_controller.regulator_current_a",
    "speed_controller.regulator_peak_a",
    "flight_controller.rail_5v_a",
    "flight_controller.rail_9v_a",
    "flight_controller.servo_rail_a",
    "flight_controller.servo_rail_peak_a",
)
DRAWS = tuple(f"{kind}.{column}" for kind, column in TYPICAL.items())


def _servo_rail_voltage(case: Case) -> float:
    source = servo_rail_source(case.build)
    if source is None:
        raise MissingValue(("the voltage of the servo rail",))
    is_board = source.kind == "flight_controller"
    return float(case.need((source, "servo_rail_v" if is_board else "regulator_voltage_v"))[0])


@book.rule(
    group="rails",
    each=("regulator", "speed_controller", "flight_controller"),
    needs=(*RAIL_VOLTS[:2], *RAIL_AMPS, *DRAWS, "servo.current_stall_ma"),
    source=PRACTICE,
    limits=(Limit("share_percent", 70.0, "most of the continuous current in use", 10.0, 100.0),),
)
def rail_overloaded(case: Case) -> Iterator[Finding]:
    """Does what hangs on a rail draw more than its source can give?

    The sum of what the parts draw in use should stay below 70 % of the continuous current. All
    servos stalled at once, with the rest in use, should stay within the peak current: a rail that
    collapses takes the receiver and the flight controller with it.
    """
    assert case.subject is not None
    gaps: list[str] = []
    for rail in rails_of(case.build, case.subject):
        if rail.loads:
            yield from _judge_rail(case, rail, gaps)
    if gaps:
        raise MissingValue(gaps)


def _judge_rail(case: Case, rail: Rail, gaps: list[str]) -> Iterator[Finding]:
    (rating, peak), _ = case.look((rail.source, rail.continuous), (rail.source, rail.peak))
    typical, unknown_typical = _sum(case, rail, stalled=False)
    stalled, unknown_stall = _sum(case, rail, stalled=True)
    if peak is not None and is_above(stalled, peak):
        yield _overload(case, rail, Level.WARNING, "with all servos stalled", stalled, peak)
        return
    if rating is not None and is_above(typical, rating):
        yield _overload(case, rail, Level.WARNING, "in use", typical, rating)
        return
    if rating is not None and is_above(typical, case.limit("share_percent") / 100 * rating):
        yield _overload(case, rail, Level.CAUTION, "in use", typical, rating)
    gaps += unknown_typical + unknown_stall
    wanted = [rail.continuous] if rating is None else []
    is_peak_open = peak is None and (rating is None or is_above(stalled, rating))
    if is_peak_open and any(load.kind == "servo" for load in rail.loads):
        wanted.append(rail.peak)
    gaps += case.look(*((rail.source, column) for column in wanted))[1]


def _sum(case: Case, rail: Rail, *, stalled: bool) -> tuple[float, tuple[str, ...]]:
    columns = {**TYPICAL, "servo": "current_stall_ma"} if stalled else TYPICAL
    currents, missing = case.look(*((load, columns[load.kind]) for load in rail.loads))
    total = sum(
        current * load.quantity
        for current, load in zip(currents, rail.loads, strict=True)
        if current is not None
    )
    return total * MILLI, missing


def _overload(
    case: Case, rail: Rail, level: Level, when: str, current: float, limit: float
) -> Finding:
    share = f" ({current / limit * 100:.0f} %)" if limit else ""
    return case.finding(
        level,
        f"{rail.source.title}: {rail.name} gives {number(limit)} A; what hangs on it draws "
        f"{number(current)} A {when}{share}.",
        "Fit a larger regulator, or give some of the parts one of their own.",
        current_a=current,
        limit_a=limit,
    )


@book.rule(
    group="rails",
    each=FED,
    needs=(
        *RAIL_VOLTS,
        *(f"{kind}.voltage_min_v" for kind in FED),
        *(f"{kind}.voltage_max_v" for kind in FED),
    ),
    source=SHEET,
)
def rail_voltage_unsuitable(case: Case) -> Iterator[Finding]:
    """Does the regulator or rail that feeds a part give a voltage outside its range?

    Too much can destroy the part, too little lets it fail or restart.
    """
    subject = case.subject
    assert subject is not None
    if not regulator_of(case.build, subject) and subject.supply in ("", "none", "pack"):
        return
    volts = _fed_voltage(case, subject)
    yield from _outside(case, volts, Level.CAUTION)


def _fed_voltage(case: Case, position: PositionRecord) -> float:
    regulator = regulator_of(case.build, position)
    if regulator is not None:
        return float(case.need((regulator, "voltage_out_v"))[0])
    if position.supply in BOARD_V:
        return BOARD_V[position.supply]
    return _servo_rail_voltage(case)


def _outside(case: Case, volts: float, level_below: Level) -> Iterator[Finding]:
    subject = case.subject
    assert subject is not None
    (least, most), missing = case.look((subject, "voltage_min_v"), (subject, "voltage_max_v"))
    if most is not None and is_above(volts, most):
        level, limit = Level.WARNING, f"takes {number(most)} V at most"
    elif least is not None and is_below(volts, least):
        level, limit = level_below, f"needs {number(least)} V"
    elif missing:
        raise MissingValue(missing)
    else:
        return
    who = told_by(
        case, "voltage_min_v", "voltage_max_v", "position.supply", "position.regulator_key"
    )
    if not who:
        return
    yield case.finding(
        level,
        f"{who} {limit}; its supply gives {number(volts)} V.",
        "Feed it from another rail or regulator, or set the regulator's voltage.",
        supply_v=volts,
        min_v=least,
        max_v=most,
    )


@book.rule(
    group="rails",
    each="servo",
    needs=(
        *RAIL_VOLTS,
        "servo.voltage_min_v",
        "servo.voltage_max_v",
        "figure.pack_full_v",
        "pack.cell_count",
        "pack.chemistry",
        "build.packs_wiring",
    ),
    source=SHEET,
)
def servo_voltage_unsuitable(case: Case) -> Iterator[Finding]:
    """Is the servo fed with a voltage outside its range?

    The voltage is that of the regulator or rail that feeds the servo; a servo straight on the
    pack sees the full pack and the pack at landing.
    """
    subject, pack = case.subject, case.build.pack
    assert subject is not None
    supply = supply_of(case.build, subject)
    if supply == "none":
        return
    if supply != "pack":
        yield from _outside(case, _fed_voltage(case, subject), Level.WARNING)
        return
    above = list(_outside(case, case.need_figure("pack_full_v").value, Level.WARNING))
    yield from above
    if above or pack is None:
        return
    landing = landing_voltage(cell_count=need_cells(case), chemistry=case.ask(pack, "chemistry"))
    yield from _outside(case, landing, Level.WARNING)


@book.rule(
    group="rails",
    needs=(
        "flight_controller.servo_rail_v",
        "speed_controller.regulator_voltage_v",
        "speed_controller.has_regulator",
    ),
    source=PRACTICE,
)
def servo_rail_without_supply(case: Case) -> Iterator[Finding]:
    """Does nothing feed the rail on which the servos hang?

    An opto-isolated speed controller has no regulator; without another source the servos and
    whatever shares their rail stay dead.
    """
    hanging = loads_on(case.build, supply="servo_rail")
    if not hanging:
        return
    # What feeds the rail is found by places, not by a figure: that too is a check made.
    case.has_read = True
    if servo_rail_source(case.build) is not None:
        return
    controllers = case.build.fitted("speed_controller")
    answers, missing = case.look(*((controller, "has_regulator") for controller in controllers))
    if any(answers):
        return
    board = case.build.first("flight_controller")
    if board is not None:
        missing = (*case.look((board, "servo_rail_v"))[1], *missing)
    if missing or not controllers:
        raise MissingValue(missing or ("what feeds the servo rail",))
    names = ", ".join(position.name for position in hanging)
    yield case.finding(
        Level.WARNING,
        f"Nothing feeds the servo rail, on which hang: {names}.",
        "Add a regulator and name it as their source.",
    )


@book.rule(
    group="rails",
    each="regulator",
    needs=("regulator.topology", "regulator.voltage_out_v", "figure.pack_full_v", *DRAWS),
    source="physics: (input - output) × current; the limits of 2 W and 5 W are common practice",
    limits=(
        Limit("caution_w", 2.0, "heat without a heat sink, caution above", 0.0, 100.0),
        Limit("warning_w", 5.0, "heat without a heat sink, warning above", 0.0, 100.0),
    ),
)
def linear_regulator_hot(case: Case) -> Iterator[Finding]:
    """Does a linear regulator turn more into heat than it can shed?

    It turns into heat all the voltage it takes away. Without a heat sink some 2 W are the limit.
    """
    subject = case.subject
    assert subject is not None
    rail = next(rails_of(case.build, subject))
    if not rail.loads or supply_of(case.build, subject) != "pack":
        return
    (topology,) = case.need((subject, "topology"))
    if topology != "linear":
        return
    (out,) = case.need((subject, "voltage_out_v"))
    full = case.need_figure("pack_full_v").value
    if is_below(full, out):
        return
    current, missing = _sum(case, rail, stalled=False)
    heat = linear_regulator_heat(supply=full, output=out, current=current)
    if is_above(heat, case.limit("caution_w")):
        yield case.finding(
            Level.WARNING if is_above(heat, case.limit("warning_w")) else Level.CAUTION,
            f"{subject.title} turns ({number(full)} − {number(out)}) V × {number(current)} A = "
            f"{number(heat)} W into heat.",
            "Fit a switching regulator.",
            heat_w=heat,
            current_a=current,
        )
        return
    if missing:
        raise MissingValue(missing)
