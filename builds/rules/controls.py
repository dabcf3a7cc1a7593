"""Control surfaces and the servos that move them."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, MissingValue, book, words_of
from builds.limits import is_above, number
from builds.records import PositionRecord

PRACTICE = "common practice, no source"
THROWS = ("throw_roll_mm", "throw_pitch_mm", "throw_yaw_mm")
PAIR = ("torque_kgcm", "speed_s_60deg", "direction", "pulse_centre_us")


@book.rule(
    group="controls",
    each="airframe",
    needs=(*(f"airframe.{throw}" for throw in THROWS), "airframe.surface_chord_mm"),
    source="geometry",
)
def throw_larger_than_surface(case: Case) -> Iterator[Finding]:
    """Is a throw wanted that is larger than the chord of the surface?

    The edge of a surface cannot move further than its chord is long: a figure is wrong.
    """
    assert case.subject is not None
    throws, _ = case.look(*((case.subject, throw) for throw in THROWS))
    known = [throw for throw in throws if throw is not None]
    if not known:
        return
    (chord,) = case.need((case.subject, "surface_chord_mm"))
    if not is_above(max(known), chord):
        return
    yield case.finding(
        Level.WARNING,
        f"A throw of {number(max(known))} mm is wanted from a surface with a chord of "
        f"{number(chord)} mm.",
        "Read both figures again; one of them is wrong.",
        throw_mm=max(known),
        chord_mm=chord,
    )


@book.rule(
    group="controls",
    needs=(*(f"servo.{name}" for name in PAIR),),
    source=PRACTICE,
)
def servos_of_pair_differ(case: Case) -> Iterator[Finding]:
    """Do the left and right servo differ in torque, speed, direction or centre?

    Unlike servos roll the aircraft when it should only pitch. Pairs are places whose names differ
    only in left and right, or the only two servos.
    """
    gaps: list[str] = []
    for left, right in _pairs(case):
        differing: dict[str, tuple[object, object]] = {}
        for name in PAIR:
            (ours, theirs), missing = case.look((left, name), (right, name))
            if missing and not _is_one_model(left, right):
                gaps += missing
            elif not missing and ours != theirs:
                differing[name] = (ours, theirs)
        if differing:
            yield _pair_finding(case, left, right, differing)
    if gaps:
        raise MissingValue(gaps)


def _is_one_model(left: PositionRecord, right: PositionRecord) -> bool:
    return left.part is not None and right.part is not None and left.part.name == right.part.name


def _pairs(case: Case) -> list[tuple[PositionRecord, PositionRecord]]:
    servos = {position.key.casefold(): position for position in case.build.fitted("servo")}
    named = [
        (left, servos[key.replace("left", "right")])
        for key, left in servos.items()
        if "left" in key and key.replace("left", "right") in servos
    ]
    if not named and len(servos) == 2:
        first, second = servos.values()
        return [(first, second)]
    return named


def _pair_finding(
    case: Case,
    left: PositionRecord,
    right: PositionRecord,
    differing: dict[str, tuple[object, object]],
) -> Finding:
    words = "; ".join(
        f"{words_of(name)} {ours} and {theirs}" for name, (ours, theirs) in differing.items()
    )
    return case.finding(
        Level.CAUTION,
        f"{left.title} and {right.title} are not alike: {words}.",
        "Fit two servos of one model.",
        **differing,
    )
