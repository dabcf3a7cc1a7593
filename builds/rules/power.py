"""Currents and thrust at full throttle against what each part is rated for."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.alike_parts import told_by
from builds.limits import is_above, is_below, number

SHEET = "the maker's sheet"
PRACTICE = "common practice, no source"
MM = 1e-3
SECONDS = 60.0


@book.rule(
    group="power",
    each="speed_controller",
    needs=(
        "figure.motor_current_max_a",
        "motor.current_max_a",
        "speed_controller.current_continuous_a",
    ),
    source="the maker's sheet; the margin of a quarter is common practice, no source",
    limits=(Limit("margin_ratio", 1.25, "least rating over the motor's current", 1.0, 3.0),),
)
def motor_current_above_controller_rating(case: Case) -> Iterator[Finding]:
    """Does a motor draw more than its speed controller may carry, or nearly so?

    The current is the calculated one at full throttle with a fresh pack; where that cannot be
    told, the highest that the motor's maker allows. Ratings assume good cooling, so a quarter
    more than the current is wanted.
    """
    assert case.subject is not None
    if not case.build.fitted("motor"):
        return
    (rating,) = case.need((case.subject, "current_continuous_a"))
    figure = case.ask_figure("motor_current_max_a")
    current = figure.value if figure else _current_on_sheets(case)
    margin = rating / current
    if not is_below(margin, case.limit("margin_ratio")):
        return
    who = told_by(case, "current_continuous_a")
    if not who:
        return
    origin = "draws" if figure else "may draw, by its maker,"
    yield case.finding(
        Level.WARNING if is_below(margin, 1.0) else Level.CAUTION,
        f"{who} carries {number(rating)} A; a motor {origin} {number(current)} A, "
        f"a margin of {margin:.2f}.",
        "Fit a smaller propeller, a motor with a lower speed constant or a larger controller.",
        current_a=current,
        rating_a=rating,
        margin=margin,
    )


def _current_on_sheets(case: Case) -> float:
    motors = case.build.fitted("motor")
    currents, missing = case.look(*((motor, "current_max_a") for motor in motors))
    if missing:
        raise MissingValue((*missing, *case.figures["motor_current_max_a"].missing))
    return float(max(currents))


@book.rule(
    group="power",
    each="motor",
    needs=(
        "figure.motor_current_max_a",
        "figure.power_max_w",
        "motor.current_max_a",
        "motor.power_max_w",
    ),
    source=SHEET,
)
def motor_overloaded(case: Case) -> Iterator[Finding]:
    """Does the motor draw more than its maker allows?

    An overloaded motor burns its winding within seconds. Where the maker gives a highest power
    too, the power into each motor is held against it.
    """
    assert case.subject is not None
    (most, most_w), missing = case.look(
        (case.subject, "current_max_a"), (case.subject, "power_max_w")
    )
    if most is None and most_w is None:
        raise MissingValue(missing)
    current = None if most is None else case.need_figure("motor_current_max_a").value
    who = told_by(case, "current_max_a", "power_max_w")
    if current is not None and is_above(current, most):
        if who:
            yield _overload(case, f"{who} draws", current, most, "A")
        return
    if most_w is None:
        return
    power = case.need_figure("power_max_w").value
    power /= sum(motor.quantity for motor in case.build.fitted("motor"))
    if who and is_above(power, most_w):
        yield _overload(case, f"{who} takes", power, most_w, "W")


def _overload(case: Case, start: str, value: float, most: float, unit: str) -> Finding:
    return case.finding(
        Level.WARNING,
        f"{start} {number(value)} {unit}; its maker allows {number(most)} {unit}.",
        "Fit a smaller propeller, fly fewer cells or fit a motor with a lower speed constant.",
        **{f"{'current' if unit == 'A' else 'power'}_{unit.lower()}": value},
        **{f"max_{unit.lower()}": most},
    )


@book.rule(
    group="power",
    each="pack",
    needs=(
        "figure.pack_current_each_max_a",
        "pack.current_continuous_a",
        "pack.continuous_c_rate",
        "pack.capacity_mah",
    ),
    source="the maker's sheet; 70 % is common practice, no source: labels are hopeful",
    limits=(Limit("share_percent", 70.0, "most of the pack's rating in use", 10.0, 100.0),),
)
def pack_current_too_high(case: Case) -> Iterator[Finding]:
    """Is more drawn from the pack than it can give continuously, or nearly so?

    The rating is the current that the maker states, else the label's multiple of the capacity.
    Packs in parallel share the current; each is judged by the share of the one that gives most.
    """
    assert case.subject is not None
    if not any(position.kind == "motor" for position in case.build.positions):
        return
    rating = _pack_rating(case)
    current = case.need_figure("pack_current_each_max_a").value
    if not is_above(current, case.limit("share_percent") / 100 * rating):
        return
    yield case.finding(
        Level.WARNING if is_above(current, rating) else Level.CAUTION,
        f"{case.subject.title} gives {number(rating)} A; full throttle draws {number(current)} A "
        f"({current / rating * 100:.0f} %).",
        "Limit the throttle, fit a smaller propeller or fly a pack that can give more.",
        current_a=current,
        rating_a=rating,
    )


def _pack_rating(case: Case) -> float:
    pack = case.subject
    assert pack is not None
    stated = case.ask(pack, "current_continuous_a")
    if stated is not None:
        return float(stated)
    c_rate, capacity_mah = case.need((pack, "continuous_c_rate"), (pack, "capacity_mah"))
    return float(c_rate * capacity_mah / 1000)


@book.rule(
    group="power",
    each=("flight_controller", "speed_controller"),
    needs=(
        "figure.current_max_a",
        "flight_controller.current_sensor_max_a",
        "speed_controller.current_sensor_max_a",
    ),
    source=SHEET,
)
def current_beyond_sensor(case: Case) -> Iterator[Finding]:
    """Is more drawn than the current sensor can measure?

    The charge used is then told too low and the pack flown too far. A sheet without a range means
    a part without a sensor; controllers share the current.
    """
    assert case.subject is not None
    most = case.ask(case.subject, "current_sensor_max_a")
    if most is None or not case.build.fitted("motor"):
        return
    current = case.need_figure("current_max_a").value
    if case.subject.kind == "speed_controller":
        current /= sum(p.quantity for p in case.build.fitted("speed_controller"))
    if not is_above(current, most):
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} measures {number(most)} A at most; full throttle draws "
        f"{number(current)} A.",
        "Do not trust its charge counter; check it against the charge put back.",
        current_a=current,
        max_a=most,
    )


@book.rule(
    group="power",
    needs=("figure.thrust_to_weight", "airframe.layout", "build.is_hand_launched"),
    source=PRACTICE,
    limits=(
        Limit("wing_ratio", 0.5, "least thrust over weight, aeroplane", 0.0, 5.0),
        Limit("hand_launch_ratio", 0.6, "least thrust over weight, hand launch", 0.0, 5.0),
        Limit("multirotor_ratio", 2.0, "least thrust over weight, multirotor", 0.0, 10.0),
    ),
)
def thrust_too_low(case: Case) -> Iterator[Finding]:
    """Is the static thrust too low for the weight?

    A multirotor wants twice its weight to be steered, an aeroplane half of it to climb away and
    more when it is thrown by hand.
    """
    airframe = case.build.airframe
    if airframe is None or not any(p.kind == "motor" for p in case.build.positions):
        return
    (layout,) = case.need((airframe, "layout"))
    ratio = case.need_figure("thrust_to_weight").value
    is_multirotor = layout == "multirotor"
    is_thrown = case.ask(case.build, "is_hand_launched")
    start = "multirotor" if is_multirotor else "hand_launch" if is_thrown else "wing"
    wanted = case.limit(f"{start}_ratio")
    if not is_below(ratio, wanted):
        if is_thrown is None and not is_multirotor:
            _check_thrown(case, ratio)
        return
    yield case.finding(
        Level.CAUTION,
        f"Thrust is {ratio:.2f} of the weight; {number(wanted)} is wanted.",
        "Save weight, or fit a stronger drive.",
        thrust_to_weight=ratio,
        wanted=wanted,
    )


def _check_thrown(case: Case, ratio: float) -> None:
    """Stop where it depends on how the aircraft takes off, which nobody said."""
    if is_below(ratio, case.limit("hand_launch_ratio")):
        case.need((case.build, "is_hand_launched"))


@book.rule(
    group="power",
    needs=(
        "figure.rpm_max",
        "figure.stall_speed_m_s",
        "propeller.pitch_mm",
        "airframe.layout",
    ),
    source="physics: pitch × speed; the factor of 2 is common practice, no source",
    limits=(Limit("stall_ratio", 2.0, "least pitch speed over stall speed", 0.0, 10.0),),
)
def pitch_speed_too_low(case: Case) -> Iterator[Finding]:
    """Is the propeller's pitch speed too low beside the stall speed?

    The propeller then pulls little at flying speed, however strong it is at rest.
    """
    airframe, propeller = case.build.airframe, case.build.first("propeller")
    if airframe is None or propeller is None or case.ask(airframe, "layout") == "multirotor":
        return
    (pitch,) = case.need((propeller, "pitch_mm"))
    speed = case.need_figure("rpm_max").value / SECONDS * pitch * MM
    slowest = case.need_figure("stall_speed_m_s")
    stall = slowest.value
    if not is_below(speed, case.limit("stall_ratio") * stall):
        if slowest.is_lower_bound:
            raise MissingValue(slowest.left_out)
        return
    yield case.finding(
        Level.CAUTION,
        f"Pitch speed is {number(speed)} m/s; stall speed {number(stall)} m/s.",
        "Fit a propeller with more pitch.",
        pitch_speed_m_s=speed,
        stall_speed_m_s=stall,
    )
