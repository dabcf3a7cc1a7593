"""Where rails get their power from: one source each, and what shares one."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_below, number
from builds.records import BuildSnapshot, PositionRecord
from builds.supply import loads_on, regulator_of

PRACTICE = "common practice, no source"


@book.rule(
    group="sources",
    needs=(
        "flight_controller.servo_rail_v",
        "speed_controller.has_regulator",
        "position.supply",
        "position.is_regulator_cut",
    ),
    source=PRACTICE,
)
def two_sources_on_one_rail(case: Case) -> Iterator[Finding]:
    """Do two regulators feed the servo rail at once?

    Two regulators never give quite the same voltage: one carries all, the other is fed backwards.
    A speed controller's regulator counts unless its red wire is lifted.
    """
    if not loads_on(case.build, supply="servo_rail"):
        return
    board = case.build.first("flight_controller")
    sources = [board] if board and case.ask(board, "servo_rail_v") is not None else []
    controllers = [
        controller
        for controller in case.build.fitted("speed_controller")
        if not case.ask(controller, "position.is_regulator_cut")
    ]
    answers, missing = case.look(*((one, "has_regulator") for one in controllers))
    count = len(sources)
    for controller, has_regulator in zip(controllers, answers, strict=True):
        if has_regulator:
            sources.append(controller)
            count += controller.quantity
    if count >= 2:
        yield case.finding(
            Level.WARNING,
            f"{count} regulators feed the servo rail: {_names(sources)}.",
            "Lift the red wire of all but one, and note it at the place of the speed controller.",
            source_count=count,
        )
    elif missing and count + len(missing) >= 2:
        raise MissingValue(missing)


def _names(positions: list[PositionRecord]) -> str:
    return ", ".join(position.title for position in positions)


@book.rule(
    group="sources",
    each=("camera", "video_unit"),
    needs=("position.supply", "position.regulator_key"),
    source=PRACTICE,
)
def video_shares_rail_with_servos(case: Case) -> Iterator[Finding]:
    """Does the video equipment hang on the same rail as the servos?

    Servos draw in bursts: the voltage dips and the noise shows as lines in the picture.
    """
    subject, servos = case.subject, case.build.fitted("servo")
    assert subject is not None
    if not servos:
        return
    feed = _feed_of(case, subject)
    if feed in ("none", "pack"):
        return
    sharing = [servo for servo in servos if _feed_of(case, servo) == feed]
    if not sharing:
        return
    yield case.finding(
        Level.NOTE,
        f"{subject.title} hangs on the same rail as: {', '.join(one.name for one in sharing)}.",
        "Give the video equipment a supply of its own, or a filter.",
        servo_count=sum(servo.quantity for servo in sharing),
    )


def _feed_of(case: Case, position: PositionRecord) -> str:
    regulator = regulator_of(case.build, position)
    if regulator is not None:
        case.ask(position, "position.regulator_key")
        return f"regulator {regulator.key}"
    return str(case.need((position, "position.supply"))[0])


@book.rule(
    group="sources",
    each="receiver",
    needs=("figure.auw_g", "regulator.is_isolated"),
    source=PRACTICE,
    limits=(
        Limit("mass_g", 7000.0, "mass from which the receiver wants two sources", 0.0, 150_000.0),
    ),
)
def single_source_of_power(case: Case) -> Iterator[Finding]:
    """Does a large aircraft hang on a single source of power?

    From some mass on a second source is wanted, so that one broken wire is not the end. A
    regulator counts as a second one when it may share a rail.
    """
    subject = case.subject
    assert subject is not None
    weight = case.need_figure("auw_g")
    mass, limit = weight.value, case.limit("mass_g")
    if is_below(mass, limit):
        if weight.is_lower_bound:
            raise MissingValue(weight.left_out)
        return
    others = _other_regulators(case.build, subject)
    answers, missing = case.look(*((other, "is_isolated") for other in others))
    if any(answers):
        return
    if missing:
        raise MissingValue(missing)
    yield case.finding(
        Level.NOTE,
        f"{subject.title} has a single source of power; the aircraft weighs {number(mass)} g, and "
        f"from {number(limit)} g two are wanted.",
        "Add a second source that may share the rail.",
        mass_g=mass,
        limit_g=limit,
        source_count=1,
    )


def _other_regulators(build: BuildSnapshot, receiver: PositionRecord) -> list[PositionRecord]:
    own = regulator_of(build, receiver)
    return [other for other in build.fitted("regulator") if other is not own]
