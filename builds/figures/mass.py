"""Mass, balance, and where the pack must sit. Masses in g and lengths in mm in, SI inside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from builds.engineering.mass import (
    Item,
    ballast_for_cg,
    cg_change_by_shift,
    position_for_cg,
    position_window_for_cg_range,
)
from builds.engineering.wing import x_at_percent_of_mean_chord
from builds.figures.aboard import Aboard, weigh_in_inputs
from builds.figures.loads import (
    Axis,
    has_mass,
    load_of,
    mass_gaps,
    mass_inputs,
    place_inputs,
    place_named,
)
from builds.figures.reading import Reading
from builds.figures.results import Figures, Input, NotKnown, Unknown, Worked, propagate
from builds.figures.units import GRAM, MILLIMETRE
from builds.figures.weighing import (
    balance_point,
    centre_of_sum,
    read_aboard,
    sum_against_scale,
)
from builds.figures.wing import read_wing
from builds.findings import words_of
from builds.records import PositionRecord

SUM_SOURCE = (
    "Sum of the masses, FAA-H-8083-1B, chapter 2. Uncertainty: JCGM 100:2008, 5.1.2 and 5.2.2,"
    " weighed parts sharing one scale's error; limits as rectangular, 4.3.7."
)
MOMENT_SOURCE = (
    "Moments about the datum over the mass, FAA-H-8083-1B, chapter 2. Uncertainty: JCGM 100:2008,"
    " 5.1.2 and 5.2.2, weighed parts sharing one scale's error."
)
PACK_SOURCE = (
    "Balance of moments about the datum, FAA-H-8083-1B, chapter 2. The interval is the window that"
    " keeps the centre of gravity in its range."
)


WEIGHED_SOURCE = (
    "Weighed whole. The difference to the sum of the parts is shared out by their variances (least"
    " squares with one constraint, covariances JCGM 100:2008, F.1.2); what came or went since adds"
    " up as FAA-H-8083-1B, chapter 2."
)
BALANCED_SOURCE = (
    "Balanced whole; moments of what came, went or moved since, FAA-H-8083-1B, chapter 2."
    " Uncertainty: JCGM 100:2008, 5.1.2 and 5.2.2."
)
WEIGHED_NOTE = "The weigh-in of this revision leads over the sum of the parts."
DIFFERENCE_SOURCE = (
    "What the scale showed less the sum of the parts on it. Uncertainty: JCGM 100:2008, 5.2.2."
)
FORGOTTEN = "glue, tape, wire, screws and straps"
"""What is mostly missing in a sum: common practice, no source."""


def total(figures: Figures, *, with_pack: bool) -> Worked:
    """Mass of what is fitted, with or without the pack [g]."""
    aboard = _aboard(figures, with_pack=with_pack)
    if not aboard.now:
        raise NotKnown(aboard.gaps or ["a part with a mass"])
    notes = [_weighed_note(aboard)] if aboard.weigh_in else []
    if aboard.gaps:
        notes.append(f"At least this much: left out are {'; '.join(aboard.gaps)}.")
    return Worked(
        value=aboard.mass / GRAM,
        uncertainty=aboard.u_mass / GRAM,
        inputs=aboard.mass_inputs(),
        source=WEIGHED_SOURCE if aboard.weigh_in else SUM_SOURCE,
        note=" ".join(notes),
        left_out=aboard.gaps,
    )


def centre(figures: Figures, *, axis: Axis, with_pack: bool = True) -> Worked:
    """Centre of gravity along one axis [mm]."""
    aboard = _aboard(figures, with_pack=with_pack)
    gaps = [*aboard.gaps, *aboard.place_gaps(axis)]
    if gaps or not aboard.now:
        raise NotKnown(gaps or ["a part with a mass"])
    x, uncertainty = aboard.centre(axis)
    return Worked(
        value=x / MILLIMETRE,
        uncertainty=uncertainty / MILLIMETRE,
        inputs=aboard.centre_inputs(axis),
        source=_centre_source(aboard, axis),
        note=_weighed_note(aboard) if aboard.weigh_in else "",
    )


def _weighed_note(aboard: Aboard) -> str:
    if not aboard.not_listed:
        return WEIGHED_NOTE
    return (
        f"{WEIGHED_NOTE} {aboard.not_listed / GRAM:.1f} g of it are in no part: they are taken to"
        " sit where the parts balance, as far off as the parts are."
    )


def _centre_source(aboard: Aboard, axis: Axis) -> str:
    if aboard.weigh_in is None:
        return MOMENT_SOURCE
    return BALANCED_SOURCE if aboard.has_balance_point(axis) else WEIGHED_SOURCE


def weighed_difference(figures: Figures) -> Worked:
    """What the scale showed more than the sum of the parts on it [g]."""
    told, loads, weigh_in = sum_against_scale(figures.snapshot)
    times = abs(told.difference) / told.u_difference
    return Worked(
        value=told.difference / GRAM,
        uncertainty=told.u_difference / GRAM,
        inputs=(*weigh_in_inputs(weigh_in), *mass_inputs(loads)),
        source=DIFFERENCE_SOURCE,
        note=(
            f"{times:.1f} times its standard uncertainty; beyond about 2 a part is missing, counted"
            f" twice or wrong. Mostly forgotten: {FORGOTTEN} (common practice, no source)."
        ),
    )


def balance_point_difference(figures: Figures) -> Worked:
    """How far the measured balance point lies aft of that of the sum of the parts [mm]."""
    _, loads, weigh_in = sum_against_scale(figures.snapshot)
    point = balance_point(weigh_in)
    if point is None:
        raise NotKnown((), "The balance point was not measured in this revision.")
    x, u_x = centre_of_sum(loads)
    difference = point[0] - x / MILLIMETRE
    uncertainty = (point[1] ** 2 + (u_x / MILLIMETRE) ** 2) ** 0.5
    times = abs(difference) / uncertainty
    return Worked(
        value=difference,
        uncertainty=uncertainty,
        inputs=(*weigh_in_inputs(weigh_in), *mass_inputs(loads), *place_inputs(loads, "x")),
        source=f"{MOMENT_SOURCE} Measured balance point less that of the sum.",
        note=f"{times:.1f} times its standard uncertainty; beyond about 2 something is wrong.",
    )


def limit(figures: Figures, *, name: str) -> Worked:
    """A limit of the centre of gravity [mm]: the build's own, else the airframe's.

    Of the airframe's, millimetres come before percent of the mean chord.
    """
    own = getattr(figures.snapshot, name)
    if own is not None:
        given = Input(f"this build: {words_of(name)}", float(own), "mm", "build")
        return Worked(float(own), 0.0, (given,), "As set for this build.")
    reading = Reading()
    airframes = reading.fitted(figures.snapshot, "airframe")
    reading.check()
    percent = name.replace("_x_mm", "_percent")
    part = airframes[0].part
    if part and part.known(name) is None and part.known(percent) is not None:
        return _limit_of_mean_chord(figures, airframes[0], percent)
    value = reading.take(airframes[0], name, "mm")
    reading.check()
    return Worked(value, 0.0, tuple(reading.inputs), "Data sheet of the airframe.")


def _limit_of_mean_chord(figures: Figures, airframe: PositionRecord, name: str) -> Worked:
    reading = Reading()
    percent = reading.take(airframe, name, "%")
    wing, _ = read_wing(figures)
    x, uncertainty = propagate(
        lambda numbers: x_at_percent_of_mean_chord(percent=percent, wing=wing.moved(numbers)),
        wing.estimates(),
    )
    inputs = (*reading.inputs, *wing.inputs)
    source = "Data sheet of the airframe, in percent of the mean aerodynamic chord."
    return Worked(x / MILLIMETRE, uncertainty / MILLIMETRE, inputs, source)


def pack_place(figures: Figures, *, target: str = "cg_target_x_mm") -> Worked:
    """Where the pack's middle must sit for a centre of gravity, by default the one wanted [mm]."""
    pack, rest, mass = balance_without_pack(figures)
    wanted = figures.need(target)
    x = position_for_cg(others=[rest], movable_mass=mass, cg=wanted.value * MILLIMETRE)
    whole = _moved(figures, pack, x / MILLIMETRE)
    window, limits = _window(figures, [rest], mass)
    u_cg = (whole.centre("x", exact={pack.key})[1] ** 2 + _in_si(wanted.uncertainty) ** 2) ** 0.5
    return Worked(
        value=x / MILLIMETRE,
        # A millimetre of pack moves the whole by its share of the mass.
        uncertainty=u_cg * whole.mass / mass / MILLIMETRE,
        inputs=(wanted.as_input(), *limits, *_without_place_of(pack, whole.centre_inputs("x"))),
        source=PACK_SOURCE,
        note=_tray_note(pack, x / MILLIMETRE),
        interval=window,
    )


def pack_place_for_margin(figures: Figures) -> Worked:
    """Rearmost place of the pack's middle that keeps at least the static margin chosen [mm]."""
    worked = pack_place(figures, target="cg_for_margin_mm")
    source = "Balance of moments about the datum, FAA-H-8083-1B, chapter 2."
    return replace(worked, source=source, interval=None)


def ballast(figures: Figures, *, x_mm: float) -> Worked:
    """Mass to add at one place for the centre of gravity wanted [g]."""
    auw, cg = figures.need_complete("auw_g"), figures.need("cg_x_mm")
    wanted = figures.need("cg_target_x_mm")
    whole = Item("the aircraft", auw.value * GRAM, _in_si(cg.value), 0.0, 0.0)
    value = ballast_for_cg(items=[whole], cg=_in_si(wanted.value), ballast_x=_in_si(x_mm))
    place = Input("place of the ballast: x (mm)", x_mm, "mm", "assumed")
    lever = abs(wanted.value - x_mm)
    return Worked(
        value=value / GRAM,
        uncertainty=(auw.value * cg.uncertainty / lever) if lever else 0.0,
        inputs=(auw.as_input(), cg.as_input(), wanted.as_input(), place),
        source="Ballast, FAA-H-8083-1B, chapter 2: M (x - wanted) / (wanted - place).",
        note="A lighter or heavier pack, or a part moved, costs no mass.",
    )


def shift(figures: Figures, *, key: str, by_mm: float) -> Worked:
    """How far the centre of gravity moves when one part does [mm]."""
    auw = figures.need_complete("auw_g")
    position = figures.snapshot.at(key)
    if position is None or position.part is None:
        raise NotKnown(["a part to move"])
    load = load_of(position)
    moved = cg_change_by_shift(
        mass=auw.value * GRAM, shifted_mass=load.mass, distance=_in_si(by_mm)
    )
    u_mass = (load.own**2 + load.shared**2) ** 0.5
    return Worked(
        value=moved / MILLIMETRE,
        uncertainty=abs(by_mm) * u_mass / (auw.value * GRAM),
        inputs=(
            auw.as_input(),
            *mass_inputs([load]),
            Input(f"{position.title}: moved aft by (mm)", by_mm, "mm", "assumed"),
        ),
        source=(
            "FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), chapter 10, weight"
            " shifting: mass moved times the way over the whole mass."
        ),
    )


def _in_si(length_mm: float) -> float:
    return length_mm * MILLIMETRE


def balance_without_pack(figures: Figures) -> tuple[PositionRecord, Item, float]:
    """The pack's position, the rest of the aircraft as one item, and the pack's mass [kg].

    Raises
    ------
    NotKnown
        Naming every mass and place that is missing.
    """
    snapshot = figures.snapshot
    place = next((p for p in snapshot.positions if p.kind == "pack" and p.part), None)
    everything = read_aboard(snapshot, snapshot.positions)
    if place is None:
        raise NotKnown(everything.gaps or ["Pack: nothing fitted"])
    others = read_aboard(snapshot, [p for p in snapshot.positions if p is not place])
    gaps = dict.fromkeys([*everything.gaps, *others.gaps, *others.place_gaps("x")])
    if gaps or not has_mass(place):
        raise NotKnown(gaps or mass_gaps([place]))
    if not others.now:
        return place, Item("the rest", 0.0, 0.0, 0.0, 0.0), load_of(place).mass
    x, u_x = others.centre("x")
    rest = Item("the rest", others.mass, x, 0.0, 0.0, u_x=u_x)
    return place, rest, everything.mass - others.mass


def _moved(figures: Figures, pack: PositionRecord, x_mm: float) -> Aboard:
    snapshot = figures.snapshot
    positions = [replace(p, x_mm=x_mm) if p is pack else p for p in snapshot.positions]
    return read_aboard(snapshot, positions)


def _without_place_of(pack: PositionRecord, inputs: Sequence[Input]) -> tuple[Input, ...]:
    return tuple(one for one in inputs if one.name != place_named(pack, "x"))


def _window(
    figures: Figures, others: Sequence[Item], mass: float
) -> tuple[tuple[float | None, float | None], tuple[Input, ...]]:
    forward, aft = figures["cg_min_x_mm"], figures["cg_max_x_mm"]
    if isinstance(forward, Unknown) or isinstance(aft, Unknown):
        return (None, None), ()
    low, high = position_window_for_cg_range(
        others=others,
        movable_mass=mass,
        cg_forward=forward.value * MILLIMETRE,
        cg_aft=aft.value * MILLIMETRE,
    )
    return (low / MILLIMETRE, high / MILLIMETRE), (forward.as_input(), aft.as_input())


def _tray_note(tray: PositionRecord, x_mm: float) -> str:
    if tray.x_min_mm is None or tray.x_max_mm is None:
        return "How far the pack can move is not known."
    reach = f"from {tray.x_min_mm:g} to {tray.x_max_mm:g} mm"
    if tray.x_min_mm <= x_mm <= tray.x_max_mm:
        return f"The tray allows it: the pack can sit {reach}."
    return f"The tray does not allow it: the pack can only sit {reach}."


def _aboard(figures: Figures, *, with_pack: bool) -> Aboard:
    snapshot = figures.snapshot
    return read_aboard(snapshot, [p for p in snapshot.positions if with_pack or p.kind != "pack"])
