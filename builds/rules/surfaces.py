"""Linkages as they were built: angles at neutral, play, and what play does at speed."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book, words_of
from builds.findings.alike_surfaces import Fault, fault, together
from builds.limits import is_above, number
from builds.records import SurfaceRecord

PRACTICE = "common practice, no source"
PERCENT = 1e-2
SQUARE_DEG = 90.0
ANGLES = {"arm_angle_deg": "arm", "horn_angle_deg": "horn"}
PLAY_NEEDS = ("build.surfaces", "airframe.surface_chord_mm")
LIMIT_PLAY = (
    Limit("play_percent", 2.0, "most play at the edge, of the surface's chord", maximum=20),
    Limit("play_mm", 1.0, "most play at the edge", maximum=10),
)


@book.rule(
    group="surfaces",
    needs=("build.surfaces",),
    source=f"geometry of a four-bar linkage; the angle allowed is {PRACTICE}",
    limits=(Limit("off_deg", 5.0, "most that arm or horn may stand off square", maximum=45),),
)
def arm_or_horn_not_square(case: Case) -> Iterator[Finding]:
    """Does an arm or a horn not stand square to its pushrod at neutral?

    Then the surface goes further one way than the other. Asked where an angle was entered; a
    blank one stands for square.
    """
    yield from together(case, _skew(case))


def _skew(case: Case) -> Iterator[Fault]:
    for surface in case.build.surfaces:
        off = {
            word: abs(angle - SQUARE_DEG)
            for name, word in ANGLES.items()
            if (angle := getattr(surface, name)) is not None
        }
        case.has_read = case.has_read or bool(off)
        most = case.limit("off_deg")
        skew = {word: by for word, by in off.items() if is_above(by, most)}
        if not skew:
            continue
        words = " and ".join(f"the {word} stands {number(by)}° off" for word, by in skew.items())
        yield fault(
            surface,
            Level.NOTE,
            f"{words} square at neutral.",
            "Turn the arm on its spline, or put the horn's hole over the hinge line.",
            **{f"{word}_off_deg": round(by, 6) for word, by in skew.items()},
        )


@book.rule(group="surfaces", needs=PLAY_NEEDS, source=PRACTICE, limits=LIMIT_PLAY)
def too_much_play(case: Case) -> Iterator[Finding]:
    """Has a surface too much play at its edge?

    Hold the servo still and move the edge. Play makes neutral a guess, and flutter begins with
    it: the faster, the worse.
    """
    yield from together(case, _loose(case))


def _loose(case: Case) -> Iterator[Fault]:
    for surface, play, most in _plays(case):
        if not is_above(play, most):
            continue
        yield fault(
            surface,
            Level.CAUTION,
            f"it has {number(play)} mm of play at the edge; {number(most)} mm are the most.",
            "Fit a ball link or a new arm, and do not dive it until then.",
            play_mm=play,
            allowed_mm=round(most, 6),
        )


@book.rule(
    group="surfaces",
    needs=(*PLAY_NEEDS, "build.speed_max_m_s"),
    source=PRACTICE,
    limits=(*LIMIT_PLAY, Limit("speed_m_s", 30.0, "speed up to which that play holds", 1, 200)),
)
def play_at_high_speed(case: Case) -> Iterator[Finding]:
    """Has a fast aircraft play that would do at lower speed, but invites flutter at its own?

    The play allowed shrinks as the highest speed grows beyond 30 m/s. A caution from play and
    speed alone, no calculation of flutter: stiffness and mass balance are not in it. Play that is
    too much at any speed is the business of `too_much_play`.
    """
    yield from together(case, _loose_at_speed(case))


def _loose_at_speed(case: Case) -> Iterator[Fault]:
    if not case.build.surfaces:
        return
    (speed,) = case.need((case.build, "speed_max_m_s"))
    holds = case.limit("speed_m_s")
    for surface, play, most in _plays(case):
        allowed = most if speed <= holds else most * holds / speed
        if is_above(play, most) or not is_above(play, allowed):
            continue
        yield fault(
            surface,
            Level.CAUTION,
            f"it has {number(play)} mm of play at the edge; at {number(speed)} m/s "
            f"{number(allowed)} mm are the most.",
            "Take the play out, use a stiffer pushrod, or fly slower.",
            play_mm=play,
            allowed_mm=round(allowed, 6),
            speed_max_m_s=speed,
        )


def _plays(case: Case) -> Iterator[tuple[SurfaceRecord, float, float]]:
    """Each surface with its play and the most of it [mm]; what others lack is told at the end."""
    airframe = case.build.first("airframe")
    gaps: list[str] = []
    for surface in case.build.surfaces:
        chord = surface.chord_mm
        if chord is None and airframe is not None:
            chord = case.ask(airframe, "surface_chord_mm")
        if surface.play_mm is None:
            gaps.append(f"{surface.name}: {words_of('play_mm')}")
        if chord is None:
            gaps.append(f"{surface.name}: {words_of('chord_mm')}")
        if chord is None or surface.play_mm is None:
            continue
        case.has_read = True
        share = case.limit("play_percent") * PERCENT * chord
        yield surface, surface.play_mm, min(share, case.limit("play_mm"))
    if gaps:
        raise MissingValue(dict.fromkeys(gaps))
