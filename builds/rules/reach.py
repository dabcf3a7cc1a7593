"""Do leads reach what they plug into."""

from __future__ import annotations

import math
from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_below, number
from builds.records import BuildSnapshot, PositionRecord

AXES = ("x_mm", "y_mm", "z_mm")


@book.rule(
    group="reach",
    each=("servo", "camera"),
    needs=(
        "servo.lead_length_mm",
        "camera.lead_length_mm",
        "position.route_mm",
        "position.extension_mm",
        *(f"position.{axis}" for axis in AXES),
    ),
    source="geometry; the slack is common practice, no source",
    limits=(Limit("slack_mm", 15.0, "slack that a lead wants", 0.0, 500.0),),
)
def lead_too_short(case: Case) -> Iterator[Finding]:
    """Is the lead too short for its way to where it plugs in?

    A lead under pull works loose. The way is the one measured along the aircraft; where nobody
    measured it, a lead that is too short even for the straight line is found all the same.
    """
    subject = case.subject
    assert subject is not None
    ends = _ends(case.build, subject.kind)
    if not ends:
        return
    (lead,) = case.need((subject, "lead_length_mm"))
    reach = lead + (case.ask(subject, "position.extension_mm") or 0.0)
    (route,), missing = case.look((subject, "position.route_mm"))
    way = route if route is not None else _straight(case, subject, ends)
    if way is None:
        raise MissingValue(missing)
    wanted = way + case.limit("slack_mm")
    if not is_below(reach, wanted):
        if missing:
            raise MissingValue(missing)
        return
    straight = "" if route is not None else " in a straight line"
    yield case.finding(
        Level.CAUTION,
        f"{subject.title}: its lead reaches {number(reach)} mm; the way is {number(way)} mm"
        f"{straight}, and with slack {number(wanted)} mm.",
        "Put an extension lead in between and note it at the place; weigh it too.",
        reach_mm=reach,
        wanted_mm=wanted,
    )


def _ends(build: BuildSnapshot, kind: str) -> tuple[PositionRecord, ...]:
    """What the lead of that kind may plug into: a servo's into the receiver without a board."""
    if kind == "camera":
        return build.fitted("video_unit", "flight_controller")
    return build.fitted("flight_controller") or build.fitted("receiver")


def _straight(
    case: Case, subject: PositionRecord, ends: tuple[PositionRecord, ...]
) -> float | None:
    """Straight line to the nearest place it can plug into; None where no place is known."""
    here, _ = case.look(*((subject, f"position.{axis}") for axis in AXES))
    lines = []
    for end in ends:
        there, _ = case.look(*((end, f"position.{axis}") for axis in AXES))
        pairs = [
            (one, other)
            for one, other in zip(here, there, strict=True)
            if one is not None and other is not None
        ]
        if pairs:
            lines.append(math.hypot(*(one - other for one, other in pairs)))
    return min(lines, default=None)
