"""Control surfaces and the servos that move them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from builds.controls import Conflict, SurfaceSetUp, set_ups_of
from builds.controls.holes import LEAST_TRAVEL, HoleTable, travel_of
from builds.figures.results import Figure, Unknown
from builds.figures.surfaces import surface_figures
from builds.figures.units import MILLIMETRE, PERCENT
from builds.findings import Case, Finding, Level, Limit, MissingValue, book, words_of
from builds.findings.alike_surfaces import Fault, fault, together
from builds.limits import is_above, is_below, number
from builds.records import GUESSES, PositionRecord, SurfaceRecord

PRACTICE = "common practice, no source"
LINKAGE = "geometry of the linkage: F. Freudenstein, Trans. ASME 76 (1954)"
THROWS = ("throw_roll_mm", "throw_pitch_mm", "throw_yaw_mm")
OF_SURFACES = (
    "build.surfaces",
    *(f"airframe.{throw}" for throw in THROWS),
    "airframe.surface_chord_mm",
    "airframe.horn_radius_mm",
    "servo.arm_radii_mm",
    "servo.travel_deg",
    "servo.pulse_span_us",
    "servo.pulse_centre_us",
)
ALONE = ("aileron", "elevator", "rudder", "flap", "throttle", "wheel")
"""Names of what one servo moves alone."""
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
    needs=(*(f"servo.{name}" for name in PAIR), "build.surfaces"),
    source=PRACTICE,
)
def servos_of_pair_differ(case: Case) -> Iterator[Finding]:
    """Do the left and right servo differ in torque, speed, direction or centre?

    Unlike servos roll the aircraft when it should only pitch. Pairs are places whose names differ
    only in left and right, or the only two servos, unless they move surfaces of two kinds.
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
        return [] if _move_unlike(case, first, second) else [(first, second)]
    return named


def _move_unlike(case: Case, first: PositionRecord, second: PositionRecord) -> bool:
    """Do two servos move a rudder and an elevator, say: by their surfaces, else by their names."""
    kinds = [
        {one.mixing for one in case.build.surfaces if one.servo_key == servo.key}
        or {word for word in ALONE if word in f"{servo.key} {servo.name}".casefold()}
        for servo in (first, second)
    ]
    return all(kinds) and kinds[0].isdisjoint(kinds[1])


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


@book.rule(group="controls", needs=OF_SURFACES, source=LINKAGE)
def throw_out_of_reach(case: Case) -> Iterator[Finding]:
    """Does the hole in use not give a throw that is wanted?

    A throw is out of reach when it takes more than 100 % travel, when arm and pushrod come into
    line on the way, or when the hinge stops first.
    """
    yield from together(case, _out_of_reach(case))


def _out_of_reach(case: Case) -> Iterator[Fault]:
    for set_up in _worked_out(case):
        for table in set_up.tables:
            why = _why_short(set_up, table)
            if not why:
                continue
            best = table.best
            move = f"Put the pushrod into the hole at {_mm(best.arm)} mm" if best else "Lengthen"
            yield fault(
                set_up.surface,
                Level.CAUTION,
                f"{number(table.wanted_mm)} mm of {table.what} is wanted; {why}.",
                f"{move}." if best else f"{move} the arm, or shorten the horn.",
                wanted_mm=table.wanted_mm,
                arm_radius_mm=set_up.surface.arm_radius_mm,
            )


def _why_short(set_up: SurfaceSetUp, table: HoleTable) -> str:
    """Why the hole in use falls short of a throw; nothing when it does not."""
    setting = set_up.setting
    assert setting is not None
    if table.problem:
        return table.problem
    row = table.at(setting.arm)
    if row is None:
        return ""
    if row.problem:
        return row.problem
    share = travel_of(row) or 0.0
    if not row.is_within_travel:
        return f"the hole in use needs {number(share / PERCENT)} % travel"
    reach = next((one for one in set_up.reaches if one.arm == row.arm), None)
    if reach and reach.stopped_by == "hinge" and is_below(reach.least_mm, table.wanted_mm):
        return f"the hinge stops at {number(reach.least_mm)} mm"
    return ""


@book.rule(
    group="controls",
    needs=OF_SURFACES,
    source=PRACTICE,
    limits=(
        Limit("travel_percent", LEAST_TRAVEL / PERCENT, "least travel of the servo in use", 0, 100),
    ),
)
def travel_too_small(case: Case) -> Iterator[Finding]:
    """Does the largest throw take only a small part of the servo's travel?

    The rest of the travel is resolution and torque given away: mechanics come first, a hole nearer
    the shaft, and only then the travel.
    """
    yield from together(case, _small_travels(case))


def _small_travels(case: Case) -> Iterator[Fault]:
    for set_up in _worked_out(case):
        if not set_up.tables:
            continue
        assert set_up.setting is not None
        main = max(set_up.tables, key=lambda table: table.wanted_mm)
        row = main.at(set_up.setting.arm)
        share = travel_of(row) if row else None
        if (
            row is None
            or share is None
            or not is_below(share / PERCENT, case.limit("travel_percent"))
        ):
            continue
        best = main.best
        is_better = best is not None and best.arm < row.arm
        yield fault(
            set_up.surface,
            Level.NOTE,
            f"{number(main.wanted_mm)} mm of {main.what} takes {number(share / PERCENT)} % travel.",
            f"Put the pushrod into the hole at {_mm(best.arm)} mm."
            if best and is_better
            else "Use a hole nearer the shaft, or one of the horn farther from the hinge.",
            travel_percent=share / PERCENT,
            arm_radius_mm=_mm(row.arm),
        )


@book.rule(group="controls", needs=OF_SURFACES, source=LINKAGE)
def combined_throw_out_of_reach(case: Case) -> Iterator[Finding]:
    """Do both commands of an elevon or V-tail together ask more than the surface can give?

    With both sticks at full the surface stops at what hinge, linkage or travel allow, and the rest
    of both commands is lost.
    """
    yield from together(case, _combined(case))


def _combined(case: Case) -> Iterator[Fault]:
    for set_up in _worked_out(case):
        setting, mixing = set_up.setting, set_up.mixing
        assert setting is not None
        reach = next((one for one in set_up.reaches if one.arm == setting.arm), None)
        if mixing is None or reach is None or not is_above(mixing.total_mm, reach.least_mm):
            continue
        yield fault(
            set_up.surface,
            Level.CAUTION,
            f"{' and '.join(mixing.axes)} together ask {number(mixing.total_mm)} mm; the surface "
            f"stops at {number(reach.least_mm)} mm ({reach.stopped_by}).",
            "Limit the mix so that both together stay within it, or know which command is lost.",
            wanted_mm=mixing.total_mm,
            reached_mm=reach.least_mm,
        )


@book.rule(
    group="controls",
    needs=(*OF_SURFACES, "build.speed_max_m_s", "servo.torque_kgcm", "figure.mean_chord_mm"),
    source="thin-aerofoil flap, Glauert, ARC R&M 1095 (1927); margins: common practice, no source",
    limits=(Limit("margin_ratio", 2.0, "least torque of the servo over torque needed", 1, 10),),
)
def servo_torque_too_small(case: Case) -> Iterator[Finding]:
    """Has a servo little torque left against its surface at the highest speed?

    Below the torque needed the surface blows back; below twice of it friction, gusts and a low
    rail can use up the rest.
    """
    yield from together(case, _weak_servos(case))


def _weak_servos(case: Case) -> Iterator[Fault]:
    gaps: list[str] = []
    for surface in case.build.surfaces:
        figures = surface_figures(case.build, surface, _FiguresOf(case))
        margin = figures["servo_torque_margin_ratio"]
        if isinstance(margin, Unknown):
            gaps += margin.missing
            continue
        case.guesses += margin.guesses
        if not is_below(margin.value, case.limit("margin_ratio")):
            continue
        needed = figures.need("servo_torque_needed_kgcm")
        is_too_little = is_below(margin.value, 1)
        yield fault(
            surface,
            Level.WARNING if is_too_little else Level.CAUTION,
            f"The servo has {number(margin.value)} times the torque its surface needs at "
            f"{number(case.build.speed_max_m_s or 0.0)} m/s.",
            "Use a hole nearer the shaft, a stronger servo, less throw, or fly slower.",
            margin_ratio=margin.value,
            needed_kgcm=needed.value,
        )
    if gaps:
        raise MissingValue(dict.fromkeys(gaps))


@book.rule(
    group="controls",
    needs=OF_SURFACES,
    source="geometry; a tenth as the most that two readings differ: common practice, no source",
)
def throw_records_disagree(case: Case) -> Iterator[Finding]:
    """Do records of a throw contradict each other, or the size of the surface?

    Two records of one throw that differ by more than a tenth, or one larger than the chord of the
    surface, cannot be right; none of them is chosen and no mean is taken.
    """
    yield from together(case, _conflicts(case))


def _conflicts(case: Case) -> Iterator[Fault]:
    for set_up in set_ups_of(case.build):
        for conflict in set_up.conflicts:
            yield _conflict_fault(set_up.surface, conflict)


def _conflict_fault(surface: SurfaceRecord, conflict: Conflict) -> Fault:
    values = " and ".join(f"{number(value)} mm" for value in conflict.values_mm)
    what = f"{conflict.axis} {conflict.side}"
    if conflict.chord_mm is not None:
        return fault(
            surface,
            Level.WARNING,
            f"{what} is recorded as {values}, on a chord of {number(conflict.chord_mm)} mm.",
            "Read both figures again; one of them is wrong.",
            throw_mm=conflict.values_mm,
            chord_mm=conflict.chord_mm,
        )
    return fault(
        surface,
        Level.CAUTION,
        f"{what} is recorded as {values}.",
        "Measure it again; until then none of them is used.",
        throw_mm=conflict.values_mm,
    )


class _FiguresOf(Mapping[str, Figure | Unknown]):
    """The figures of the build as a rule may ask for them: what was not declared is refused."""

    def __init__(self, case: Case) -> None:
        self._case = case

    def __getitem__(self, name: str) -> Figure | Unknown:
        self._case.ask_figure(name)
        found: Figure | Unknown = self._case.figures[name]
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(self._case.figures)

    def __len__(self) -> int:
        return len(self._case.figures)


def _worked_out(case: Case) -> Iterator[SurfaceSetUp]:
    """Every surface whose hole in use is known; what the others lack is told at the end."""
    gaps: list[str] = []
    for set_up in set_ups_of(case.build):
        gaps += set_up.missing
        if set_up.setting is None:
            continue
        case.guesses += [one.name for one in set_up.inputs if one.source in GUESSES]
        if set_up.setting.arm is None:
            gaps.append(f"{set_up.surface.name}: {words_of('arm_radius_mm')}")
            continue
        yield set_up
    if gaps:
        raise MissingValue(dict.fromkeys(gaps))


def _mm(length: float) -> float:
    return round(length / MILLIMETRE, 6)
