"""Where the aerials run, and what they hear of each other."""

from __future__ import annotations

import math
from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.distances import distance_known
from builds.limits import is_below, number
from builds.records import PositionRecord

PRACTICE = "common practice, no source"
PLACE = ("position.x_mm", "position.y_mm", "position.z_mm")
HALF_TURN_DEG = 180.0


@book.rule(
    group="aerials",
    each=("receiver", "video_unit"),
    needs=("receiver.antenna_count", "video_unit.antenna_count", "position.aerial_angle_deg"),
    source=f"an aerial hears least along its own line: physics; the angle wanted is {PRACTICE}",
    limits=(Limit("angle_deg", 60.0, "least angle between the two aerials of a pair", 0, 90),),
)
def diversity_pair_parallel(case: Case) -> Iterator[Finding]:
    """Do the two aerials of a unit point nearly the same way?

    Two aerials help when one hears where the other does not: a V of 90 degrees is best. Asked of
    units with two aerials or more.
    """
    subject = case.subject
    assert subject is not None
    if (case.ask(subject, "antenna_count") or 0) < 2:
        return
    (angle,) = case.need((subject, "position.aerial_angle_deg"))
    between = min(angle, HALF_TURN_DEG - angle)
    wanted = case.limit("angle_deg")
    if not is_below(between, wanted):
        return
    yield case.finding(
        Level.CAUTION,
        f"The aerials of {subject.title} stand at {number(between)}° to each other; "
        f"{number(wanted)}° are the least.",
        "Spread them to a V of 90°.",
        angle_deg=between,
        wanted_deg=wanted,
    )


@book.rule(
    group="aerials",
    each=("receiver", "antenna"),
    needs=("position.aerial_clearance_mm", "receiver.antenna_connector"),
    source=PRACTICE,
    limits=(Limit("clearance_mm", 20.0, "least way from an aerial's live end", maximum=100),),
)
def aerial_near_carbon_or_wire(case: Case) -> Iterator[Finding]:
    """Does the live end of an aerial lie near carbon, the pack or a motor wire?

    Carbon and metal swallow the signal, motor wires add noise. Asked of aerials, and of receivers
    whose aerials are soldered on.
    """
    subject = case.subject
    assert subject is not None
    if subject.kind == "receiver" and case.ask(subject, "antenna_connector"):
        return
    (clearance,) = case.need((subject, "position.aerial_clearance_mm"))
    wanted = case.limit("clearance_mm")
    if not is_below(clearance, wanted):
        return
    yield case.finding(
        Level.CAUTION,
        f"The live end of the aerial of {subject.title} lies {number(clearance)} mm from carbon, "
        f"pack or motor wire; {number(wanted)} mm are wanted.",
        "Lead the live end out into the open.",
        clearance_mm=clearance,
        wanted_mm=wanted,
    )


@book.rule(
    group="aerials",
    each="receiver",
    needs=(*PLACE, "video_unit.band_mhz", "antenna.band_min_mhz", "antenna.band_max_mhz"),
    source=PRACTICE,
    limits=(Limit("apart_mm", 100.0, "least way from receiver to video aerial", maximum=1000),),
)
def receiver_near_video_aerial(case: Case) -> Iterator[Finding]:
    """Does the receiver sit close to the aerial of the video unit?

    The video unit then deafens it, and range is lost. Where the video unit has no aerial of its
    own in the build, its own place counts.
    """
    subject = case.subject
    assert subject is not None
    wanted = case.limit("apart_mm")
    sources = {
        source.key: source
        for unit in case.build.fitted("video_unit")
        for source in _video_aerials(case, unit) or (unit,)
    }
    near: list[tuple[float, PositionRecord]] = []
    gaps: list[str] = []
    for source in sources.values():
        apart, missing = distance_known(case, subject, source)
        if is_below(apart, wanted) and missing:
            gaps += missing
        elif is_below(apart, wanted):
            near.append((apart, source))
    if near:
        names = ", ".join(f"{number(apart)} mm from {source.title}" for apart, source in near)
        yield case.finding(
            Level.CAUTION,
            f"{subject.title} sits {names}; {number(wanted)} mm are wanted.",
            "Move one of them to the other end.",
            apart_mm=round(min(apart for apart, _ in near), 6),
            wanted_mm=wanted,
        )
    if gaps:
        raise MissingValue(dict.fromkeys(gaps))


def _video_aerials(case: Case, unit: PositionRecord) -> tuple[PositionRecord, ...]:
    """Aerials that are made for the band of the video unit, or whose band nobody gave."""
    band = case.ask(unit, "band_mhz")
    aerials = case.build.fitted("antenna")
    if band is None:
        return aerials
    return tuple(one for one in aerials if _suits(case, one, band))


def _suits(case: Case, aerial: PositionRecord, band_mhz: float) -> bool:
    low, high = case.ask(aerial, "band_min_mhz"), case.ask(aerial, "band_max_mhz")
    return low is None or high is None or low <= band_mhz <= high


@book.rule(
    group="aerials",
    each="receiver",
    needs=("receiver.band_mhz", "video_unit.band_mhz"),
    source=f"harmonics of a transmitter: physics; the width is {PRACTICE}",
    limits=(Limit("width_mhz", 50.0, "least way from a harmonic to the receiver's band", 0, 500),),
)
def video_unit_in_receiver_band(case: Case) -> Iterator[Finding]:
    """Does the video unit transmit in the receiver's band, or with a harmonic in it?

    A transmitter radiates a little at two, three and more times its frequency. A hand's breadth
    from the receiver a little is enough.
    """
    subject = case.subject
    assert subject is not None
    units = case.build.fitted("video_unit")
    if not units:
        return
    (ours,) = case.need((subject, "band_mhz"))
    for unit in units:
        (theirs,) = case.need((unit, "band_mhz"))
        times = max(1, round(ours / theirs)) if theirs else 1
        width = case.limit("width_mhz")
        if not is_below(math.fabs(times * theirs - ours), width):
            continue
        what = "in the band" if times == 1 else f"with {times} times its frequency in the band"
        yield case.finding(
            Level.CAUTION,
            f"{unit.title} transmits at {theirs:g} MHz, {what} of {subject.title} at {ours:g} MHz.",
            "Use another band for one of them, a filter, and all the distance there is.",
            video_mhz=theirs,
            receiver_mhz=ours,
            times=times,
        )
