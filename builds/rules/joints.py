"""What holds parts together: splines, threads, what can come off, and work not to be undone."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_below, number
from builds.records import PositionRecord

PRACTICE = "common practice, no source"
METAL = "metal"
RETAINERS = ("strap", "band", "latch", "retainer", "clip")


@book.rule(
    group="joints",
    each="servo",
    needs=("servo.spline_teeth", "servo.arm_spline_teeth"),
    source="the makers' sheets; geometry",
)
def arm_spline_differs(case: Case) -> Iterator[Finding]:
    """Has the servo's arm another number of teeth than the servo's spline?

    Such an arm can be pressed on, and then slips or strips under load.
    """
    subject = case.subject
    assert subject is not None
    servo, arm = case.need((subject, "spline_teeth"), (subject, "arm_spline_teeth"))
    if servo == arm:
        return
    yield case.finding(
        Level.WARNING,
        f"{subject.title} has a spline of {servo} teeth, its arm one of {arm}.",
        "Fit an arm made for this spline.",
        spline_teeth=servo,
        arm_spline_teeth=arm,
    )


@book.rule(
    group="joints",
    each="hardware",
    needs=("hardware.purpose", "hardware.engaged_mm", "hardware.diameter_mm"),
    source=PRACTICE,
    limits=(Limit("engaged_ratio", 1.0, "least thread that holds, in diameters", maximum=4),),
)
def screw_holds_by_too_little(case: Case) -> Iterator[Finding]:
    """Does a screw hold by less thread than its diameter?

    Asked of hardware whose purpose says screw. Motor screws are judged by their length and the
    plate under the motor. Plastic and wood want more than metal.
    """
    subject = case.subject
    assert subject is not None
    if not _is_screw(case, subject) or _is_of_motor(case, subject):
        return
    engaged, diameter = case.need((subject, "engaged_mm"), (subject, "diameter_mm"))
    wanted = case.limit("engaged_ratio") * diameter
    if not is_below(engaged, wanted):
        return
    yield case.finding(
        Level.CAUTION,
        f"{subject.title} hold by {number(engaged)} mm of thread; {number(wanted)} mm are wanted.",
        "Use longer screws, or a nut behind.",
        engaged_mm=engaged,
        wanted_mm=round(wanted, 6),
    )


@book.rule(
    group="joints",
    each="hardware",
    needs=("hardware.purpose", "hardware.thread_in", "hardware.is_locked"),
    source=PRACTICE,
)
def screw_not_locked(case: Case) -> Iterator[Finding]:
    """Are screws in metal not kept from turning?

    Asked of hardware whose purpose says screw; motor screws go into metal. Vibration turns such
    screws out. Thread lock attacks many plastics: it is for metal in metal.
    """
    subject = case.subject
    assert subject is not None
    if not _is_screw(case, subject):
        return
    thread_in = case.ask(subject, "thread_in")
    if thread_in is None and _is_of_motor(case, subject):
        thread_in = METAL
    if thread_in is None:
        (thread_in,) = case.need((subject, "thread_in"))
    if thread_in != METAL:
        return
    (is_locked,) = case.need((subject, "is_locked"))
    if is_locked:
        return
    yield case.finding(
        Level.CAUTION,
        f"{subject.title} are not locked.",
        "Lock them with thread lock for metal or a lock nut, and look at them after some flights.",
        is_locked=is_locked,
    )


def _is_screw(case: Case, position: PositionRecord) -> bool:
    return "screw" in _purpose(case, position)


def _is_of_motor(case: Case, position: PositionRecord) -> bool:
    return "motor" in _purpose(case, position)


def _purpose(case: Case, position: PositionRecord) -> str:
    return str(case.ask(position, "purpose") or "").casefold()


@book.rule(
    group="joints",
    each="hardware",
    needs=("hardware.purpose",),
    source=PRACTICE,
    limits=(Limit("spare_count", 1.0, "fewest spares of what holds wing, hatch or pack", 0, 10),),
)
def retainer_without_spare(case: Case) -> Iterator[Finding]:
    """Is there no spare of what holds wing, hatch or pack?

    Asked of hardware whose purpose says strap, band, latch, clip or retainer. A spare is what is
    in the same bag and not fitted here.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    if not any(word in _purpose(case, subject) for word in RETAINERS):
        return
    spares = subject.part.count - subject.quantity
    if not is_below(spares, case.limit("spare_count")):
        return
    yield case.finding(
        Level.NOTE,
        f"{subject.title}: {subject.quantity} fitted, {max(spares, 0)} spare.",
        "Put a spare into the field kit.",
        fitted_count=subject.quantity,
        spare_count=max(spares, 0),
    )


@book.rule(group="joints", needs=("build.work_planned",), source=PRACTICE)
def work_cannot_be_undone(case: Case) -> Iterator[Finding]:
    """Is work still planned that cannot be undone?

    What was cut, drilled or glued stays so, and a part worked on goes back to nobody.
    """
    planned = case.ask(case.build, "work_planned")
    if planned is None:
        raise MissingValue(())
    yield case.finding(
        Level.NOTE,
        f"Still planned: {planned}",
        "It cannot be undone: try the fit first, take a photograph, and record it on the airframe.",
    )
