"""The propeller's way: free of the airframe and of the ground."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, book
from builds.limits import is_above, is_below, number

PRACTICE = "common practice, no source"
NEEDS = ("propeller.diameter_mm", "airframe.propeller_diameter_max_mm", "airframe.layout")


def _gap(case: Case, distance: str) -> float | None:
    """From the propeller's tip to what is beside it [mm].

    None where nobody measured it and the maker's largest propeller answers instead.
    """
    subject, airframe = case.subject, case.build.airframe
    assert subject is not None
    reach = case.ask(subject, f"position.{distance}")
    if reach is None and airframe and case.ask(airframe, "propeller_diameter_max_mm"):
        return None
    reach, diameter = case.need((subject, f"position.{distance}"), (subject, "diameter_mm"))
    return float(reach - diameter / 2)


@book.rule(
    group="clearance",
    each="propeller",
    needs=("position.axis_to_airframe_mm", *NEEDS),
    source=f"geometry; the room wanted is {PRACTICE}",
    limits=(Limit("airframe_mm", 5.0, "least room from tip to airframe", maximum=50),),
)
def propeller_near_airframe(case: Case) -> Iterator[Finding]:
    """Does the propeller turn too close to the airframe?

    Motor mounts flex and blades bend. Where the distance was not measured, the largest propeller
    that the maker allows is judged instead. Measure with the propeller turned by hand and the
    pack out.
    """
    gap = _gap(case, "axis_to_airframe_mm")
    if gap is None:
        return
    wanted = case.limit("airframe_mm")
    if not is_below(gap, wanted):
        return
    assert case.subject is not None
    yield case.finding(
        Level.CAUTION if is_above(gap, 0) else Level.WARNING,
        f"{case.subject.title}: from tip to airframe there are {number(gap)} mm; "
        f"{number(wanted)} mm are wanted.",
        "Fit a smaller propeller, or move the motor out.",
        gap_mm=round(gap, 6),
        wanted_mm=wanted,
    )


@book.rule(
    group="clearance",
    each="propeller",
    needs=("position.axis_to_ground_mm", *NEEDS),
    source=f"geometry; the room wanted is {PRACTICE}",
    limits=(Limit("ground_mm", 10.0, "least room from tip to ground", maximum=100),),
)
def propeller_near_ground(case: Case) -> Iterator[Finding]:
    """Does the propeller come close to the ground, or strike it?

    As it stands and as it lands. A multirotor's propellers turn above it. Where the height was
    not measured, the largest propeller that the maker allows is judged instead.
    """
    airframe = case.build.airframe
    if airframe is not None and case.ask(airframe, "layout") == "multirotor":
        return
    gap = _gap(case, "axis_to_ground_mm")
    if gap is None:
        return
    wanted = case.limit("ground_mm")
    if not is_below(gap, wanted):
        return
    assert case.subject is not None
    yield case.finding(
        Level.CAUTION if is_above(gap, 0) else Level.WARNING,
        f"{case.subject.title}: from tip to ground there are {number(gap)} mm; "
        f"{number(wanted)} mm are wanted.",
        "Fit a smaller propeller, a skid or a higher undercarriage.",
        gap_mm=round(gap, 6),
        wanted_mm=wanted,
    )
