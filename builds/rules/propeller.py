"""The propeller: does it clear the airframe, sit on the shaft and stand the speed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.alike_parts import told_by
from builds.limits import is_above, is_below, number
from builds.records import PositionRecord

AXES = ("x_mm", "y_mm")
OTHER_WAY = {"cw": "ccw", "ccw": "cw"}
TIGHTENING = {"right": "ccw", "left": "cw"}
"""Which way a shaft turns, seen on its nut, that tightens a thread of that hand."""


@book.rule(
    group="propeller",
    each="propeller",
    needs=("propeller.diameter_mm", "airframe.propeller_diameter_max_mm"),
    source="the airframe maker's sheet",
)
def propeller_too_large(case: Case) -> Iterator[Finding]:
    """Is the propeller larger than the airframe allows?

    A propeller that strikes airframe or ground breaks, and its pieces fly.
    """
    airframe = case.build.airframe
    assert case.subject is not None
    if airframe is None:
        return
    diameter, most = case.need(
        (case.subject, "diameter_mm"), (airframe, "propeller_diameter_max_mm")
    )
    who = told_by(case, "diameter_mm")
    if not is_above(diameter, most) or not who:
        return
    yield case.finding(
        Level.WARNING,
        f"{who} is {number(diameter)} mm across; {airframe.name} takes {number(most)} mm at most.",
        "Fit a smaller propeller.",
        diameter_mm=diameter,
        max_mm=most,
    )


@book.rule(
    group="propeller",
    each="propeller",
    needs=("propeller.bore_mm", "motor.shaft_diameter_mm"),
    source="geometry; the play is common practice, no source",
    limits=(Limit("play_mm", 0.1, "most play of the bore on the shaft", 0.0, 1.0),),
)
def propeller_bore_differs(case: Case) -> Iterator[Finding]:
    """Does the propeller's bore not match the motor's shaft?

    Too small a bore must never be drilled off centre; too large a one runs out of true and shakes
    loose unless a ring fills it. With unlike motors the nearest shaft counts.
    """
    motors = case.build.fitted("motor")
    assert case.subject is not None
    if not motors:
        return
    (bore,) = case.need((case.subject, "bore_mm"))
    shafts = case.need(*((motor, "shaft_diameter_mm") for motor in motors))
    shaft = min(shafts, key=lambda each: abs(each - bore))
    is_tight = is_below(bore, shaft)
    if not is_tight and not is_above(bore - shaft, case.limit("play_mm")):
        return
    who = told_by(case, "bore_mm")
    if not who:
        return
    yield case.finding(
        Level.WARNING,
        f"{who} has a bore of {number(bore)} mm; the shaft is {number(shaft)} mm.",
        "Fit a propeller with the right bore." if is_tight else "Put a ring into the bore.",
        bore_mm=bore,
        shaft_mm=shaft,
    )


@book.rule(
    group="propeller",
    each="propeller",
    needs=("figure.rpm_max", "propeller.speed_max_rpm"),
    source="the propeller maker's sheet",
)
def propeller_too_fast(case: Case) -> Iterator[Finding]:
    """Does the propeller turn faster than its maker allows?

    Beyond that speed blades can come off. Stand clear of the disc whenever it turns.
    """
    assert case.subject is not None
    (most,) = case.need((case.subject, "speed_max_rpm"))
    speed = case.need_figure("rpm_max").value
    who = told_by(case, "speed_max_rpm")
    if not is_above(speed, most) or not who:
        return
    yield case.finding(
        Level.WARNING,
        f"{who} turns at {speed:.0f} rpm; its maker allows {most:.0f} rpm.",
        "Fly fewer cells, or fit a motor with a lower speed constant or another propeller.",
        rpm=speed,
        max_rpm=most,
    )


@book.rule(
    group="propeller",
    needs=("figure.tip_mach",),
    source="physics; the limit of 0.75 is common practice, no source",
    limits=(Limit("mach_ratio", 0.75, "highest speed of the tips over that of sound", 0.1, 1.0),),
)
def tip_too_fast(case: Case) -> Iterator[Finding]:
    """Do the propeller's tips come near the speed of sound?

    Above three quarters of it noise and loss grow steeply.
    """
    if not case.build.fitted("propeller"):
        return
    mach = case.need_figure("tip_mach").value
    most = case.limit("mach_ratio")
    if not is_above(mach, most):
        return
    yield case.finding(
        Level.CAUTION,
        f"The propeller's tips run at {mach:.2f} of the speed of sound; {most:.2f} is plenty.",
        "Lower the speed or fit a smaller propeller.",
        mach=mach,
        max_mach=most,
    )


@book.rule(
    group="propeller",
    each="propeller",
    needs=(
        "propeller.hand",
        "propeller.mounting",
        "airframe.layout",
        "position.turning",
        *(f"position.{axis}" for axis in AXES),
    ),
    source="geometry",
)
def turns_the_wrong_way(case: Case) -> Iterator[Finding]:
    """Does the motor turn the propeller the wrong way, or sit on the wrong side of it?

    Turned backwards a propeller pushes weakly the other way, and the aircraft dives at the launch.
    Both directions are seen from behind the aircraft. A propeller whose hand is that of its motor
    does its work on either side of it, its front facing the way of flight: that is a note. A
    multirotor's set of propellers is not looked at: it has both hands.
    """
    subject = case.subject
    assert subject is not None
    motors = case.build.fitted("motor")
    if not motors or subject.quantity > 1 or _is_multirotor(case):
        return
    motor = _nearest(case, motors)
    (hand, turning, mounting), missing = case.look(
        (subject, "hand"), (motor, "position.turning"), (subject, "mounting")
    )
    if hand and turning and hand != turning:
        yield case.finding(
            Level.WARNING,
            f"{subject.title} is made to turn {_word(hand)}; {motor.name} turns {_word(turning)}.",
            "Swap two of the motor's three wires, or fit a propeller of the other hand. Take the "
            "propeller off first.",
            propeller=hand,
            motor=turning,
        )
    elif mounting in ("tractor", "pusher"):
        level = Level.NOTE if hand and turning else Level.WARNING
        yield from _on_wrong_side(case, motor, mounting, level)
    if missing:
        raise MissingValue(missing)


def _on_wrong_side(
    case: Case, motor: PositionRecord, mounting: str, level: Level
) -> Iterator[Finding]:
    assert case.subject is not None
    place = "pusher" if _is_behind(case, case.subject, motor) else "tractor"
    if place == mounting:
        return
    yield case.finding(
        level,
        f"{case.subject.title} is made as a {mounting}; here it sits as a {place}.",
        f"Fit a propeller made as a {place}."
        if level == Level.WARNING
        else "It turns the way it is made for: see that its front faces the way of flight.",
        mounting=mounting,
        place=place,
    )


def _is_multirotor(case: Case) -> bool:
    airframe = case.build.airframe
    return airframe is not None and case.ask(airframe, "layout") == "multirotor"


def _word(hand: str) -> str:
    return "clockwise" if hand == "cw" else "counter-clockwise"


def _is_behind(case: Case, propeller: PositionRecord, motor: PositionRecord) -> bool:
    ours, theirs = case.need((propeller, "position.x_mm"), (motor, "position.x_mm"))
    if ours == theirs:
        raise MissingValue((f"the place “{propeller.name}”: before or behind {motor.name} (mm)",))
    return bool(ours > theirs)


def _nearest(case: Case, others: Sequence[PositionRecord]) -> PositionRecord:
    """Of motors or propellers the one that sits next to the subject."""
    subject = case.subject
    assert subject is not None
    if len(others) == 1:
        return others[0]
    here = case.need(*((subject, f"position.{axis}") for axis in AXES))

    def distance(other: PositionRecord) -> float:
        return math.dist(here, case.need(*((other, f"position.{axis}") for axis in AXES)))

    return min(others, key=distance)


@book.rule(
    group="propeller",
    each="motor",
    needs=(
        "motor.thread_hand",
        "motor.propeller_fixing",
        "airframe.layout",
        "position.turning",
        *(f"position.{axis}" for axis in AXES),
    ),
    source="physics: the air's drag turns the propeller back against its shaft",
)
def nut_turns_loose(case: Case) -> Iterator[Finding]:
    """Does the motor turn so that the propeller's nut works loose?

    The propeller is held back by the air, and drags the nut with it: seen on the nut, a right-hand
    thread tightens on a shaft that turns counter-clockwise. A lock nut holds either way.
    """
    subject = case.subject
    assert subject is not None
    propellers = case.build.fitted("propeller")
    if not propellers or _is_multirotor(case):
        return
    (fixing,) = case.need((subject, "propeller_fixing"))
    words = fixing.casefold()
    if "nut" not in words or "lock" in words:
        return
    thread, turning = case.need((subject, "thread_hand"), (subject, "position.turning"))
    is_pusher = _is_behind(case, _nearest(case, propellers), subject)
    seen_on_nut = turning if is_pusher else OTHER_WAY[turning]
    if TIGHTENING[thread] == seen_on_nut:
        return
    yield case.finding(
        Level.CAUTION,
        f"{subject.title} has a {thread}-hand thread and turns {_word(seen_on_nut)} seen on the "
        "nut: the nut works loose.",
        "Fit a lock nut, or let the motor turn the other way with a propeller of the other hand.",
        thread=thread,
        turning=seen_on_nut,
    )
