"""The propeller: does it clear the airframe, sit on the shaft and stand the speed."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, book
from builds.limits import is_above, is_below, number

BORE_PLAY_MM = 0.1
TIP_MACH_MAX = 0.75


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
    if not is_above(diameter, most):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} is {number(diameter)} mm across; {airframe.name} takes "
        f"{number(most)} mm at most.",
        "Fit a smaller propeller.",
        diameter_mm=diameter,
        max_mm=most,
    )


@book.rule(
    group="propeller",
    each="propeller",
    needs=("propeller.bore_mm", "motor.shaft_diameter_mm"),
    source="geometry",
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
    if not is_tight and not is_above(bore - shaft, BORE_PLAY_MM):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} has a bore of {number(bore)} mm; the shaft is {number(shaft)} mm.",
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
    if not is_above(speed, most):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} turns at {speed:.0f} rpm; its maker allows {most:.0f} rpm.",
        "Fly fewer cells, or fit a motor with a lower speed constant or another propeller.",
        rpm=speed,
        max_rpm=most,
    )


@book.rule(
    group="propeller",
    needs=("figure.tip_mach",),
    source="physics; the limit of 0.75 is common practice, no source",
)
def tip_too_fast(case: Case) -> Iterator[Finding]:
    """Do the propeller's tips come near the speed of sound?

    Above three quarters of it noise and loss grow steeply.
    """
    if not case.build.fitted("propeller"):
        return
    mach = case.need_figure("tip_mach").value
    if not is_above(mach, TIP_MACH_MAX):
        return
    yield case.finding(
        Level.CAUTION,
        f"The propeller's tips run at {mach:.2f} of the speed of sound; {TIP_MACH_MAX} is plenty.",
        "Lower the speed or fit a smaller propeller.",
        mach=mach,
        max_mach=TIP_MACH_MAX,
    )
