"""Neutral point and static margin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from builds.engineering.mass import rectangular_uncertainty
from builds.engineering.wing import (
    NEUTRAL_POINT_LIMIT_TAILLESS,
    NEUTRAL_POINT_LIMIT_WITH_TAIL,
    Planform,
    Station,
    SurfaceLift,
    cg_for_static_margin,
    percent_of_mean_chord,
    surface_lifts,
    x_at_percent_of_mean_chord,
)
from builds.engineering.wing import neutral_point as neutral_point_of
from builds.engineering.wing import static_margin as static_margin_of
from builds.figures.reading import named
from builds.figures.results import Figures, Input, NotKnown, Worked, propagate
from builds.figures.units import MILLIMETRE, PERCENT
from builds.figures.wing import Wing, read_surface, read_wing
from builds.records import PartRecord, PositionRecord

TAIL_PRESSURE_RATIO = 0.9
"""Dynamic pressure at a tail over that of the free stream: common practice, no source."""
CHECKED_ASPECT_RATIO = (3.0, 12.0)
CHECKED_SLOPE = 1.0
"""Tangent of 45 degrees: sweep up to which the neutral point was compared with other programs."""

LATTICE_SOURCE = (
    "Vortex lattice, Katz and Plotkin, Low-Speed Aerodynamics, chapter 12 (from memory, not"
    " verified): each surface is cut into panels, the strengths of their vortices let no flow"
    " through, and the neutral point is the sum of lift times place over the sum of lift."
)
TAILLESS_SOURCE = f"{LATTICE_SOURCE} Taken as within 2 % of the mean chord."
TAIL_SOURCE = (
    f"{LATTICE_SOURCE} Both surfaces are solved together, so each feels the wash of the other."
    " Taken as within 5 % of the mean chord."
)
NEUTRAL_NOTE = (
    "Thin, flat, rigid surfaces in attached flow; without body, propeller and bending foam, which"
    " mostly move it forward: leave a margin."
)
SUGGESTED_MARGIN_PERCENT = (5.0, 15.0)
"""Static margins that most models of this kind fly with: common practice, no source."""
SUGGESTED_NOTE = (
    "Common practice, no source: with less than 5 % it turns twitchy and stalls without warning,"
    " with more than 15 % it gets sluggish and needs much up elevator. It counts where the maker"
    " gives no range; the maker's range comes first."
)
ORDER_NOTE = "A tail lies behind the wing, a canard's foreplane ahead of it; here it is not so."
MARGIN_SOURCE = "Neutral point less centre of gravity, over the mean chord: definition."


def neutral_point(figures: Figures) -> Worked:
    """Neutral point aft of the datum [mm]."""
    wing, airframe = read_wing(figures)
    rule = _neutral_rule(wing, airframe)
    value, from_stations = propagate(lambda n: rule.on(wing.moved(n)), wing.estimates())
    half_width = rule.limit * wing.plan.mean_chord
    from_rule = rectangular_uncertainty(half_width=half_width)
    return Worked(
        value / MILLIMETRE,
        (from_stations**2 + from_rule**2) ** 0.5 / MILLIMETRE,
        wing.inputs + rule.inputs,
        rule.source,
        _neutral_note(wing.plan),
    )


def static_margin(figures: Figures) -> Worked:
    """How far the centre of gravity lies ahead of the neutral point, in % of the mean chord."""
    wing, airframe = read_wing(figures)
    rule = _neutral_rule(wing, airframe)
    cg = figures.need("cg_x_mm")
    from_rule = rectangular_uncertainty(half_width=rule.limit)

    def margin(numbers: Sequence[float]) -> float:
        plan = wing.moved(numbers[2:])
        share = static_margin_of(
            neutral_point=rule.on(plan), cg=numbers[0], mean_chord=plan.mean_chord
        )
        return (share + numbers[1]) / PERCENT

    place = (cg.value * MILLIMETRE, cg.uncertainty * MILLIMETRE)
    value, uncertainty = propagate(margin, [place, (0.0, from_rule), *wing.estimates()])
    inputs = (cg.as_input(), *wing.inputs, *rule.inputs)
    source = f"{MARGIN_SOURCE} {rule.source}"
    return Worked(value, uncertainty, inputs, source, _neutral_note(wing.plan))


def suggested(figures: Figures, *, is_foremost: bool) -> Worked:
    """Foremost or rearmost centre of gravity of the usual margins [mm]."""
    return place_for_margin(figures, margin_percent=SUGGESTED_MARGIN_PERCENT[int(is_foremost)])


def place_for_margin(figures: Figures, *, margin_percent: float) -> Worked:
    """Centre of gravity that gives a static margin in % of the mean chord [mm]."""
    wing, airframe = read_wing(figures)
    rule = _neutral_rule(wing, airframe)

    def place(numbers: Sequence[float]) -> float:
        plan = wing.moved(numbers[1:])
        return cg_for_static_margin(
            neutral_point=rule.on(plan),
            margin=margin_percent * PERCENT - numbers[0],
            mean_chord=plan.mean_chord,
        )

    from_rule = rectangular_uncertainty(half_width=rule.limit)
    value, uncertainty = propagate(place, [(0.0, from_rule), *wing.estimates()])
    chosen = Input("static margin", margin_percent, "%", "assumed")
    return Worked(
        value / MILLIMETRE,
        uncertainty / MILLIMETRE,
        (chosen, *wing.inputs, *rule.inputs),
        f"Neutral point less the margin times the mean chord: definition. {rule.source}",
        f"{SUGGESTED_NOTE} {_neutral_note(wing.plan)}",
    )


@dataclass(frozen=True)
class _NeutralRule:
    """Where the neutral point lies on the mean chord [%], and within what share of it."""

    percent: float
    limit: float
    source: str
    inputs: tuple[Input, ...] = ()

    def on(self, plan: Planform) -> float:
        """The neutral point on a wing that differs a little [m].

        The lattice is solved once: a millimetre more of chord moves the point on the mean chord
        far less than it moves the chord.
        """
        return x_at_percent_of_mean_chord(percent=self.percent, wing=plan)


def _neutral_rule(wing: Wing, airframe: PositionRecord) -> _NeutralRule:
    part: PartRecord | None = airframe.part
    layout = part.get("layout", "") if part else ""
    if layout == "flying_wing":
        place = neutral_point_of(lifts=_lifts(wing.stations), pressure_ratios=[1.0])
        percent = percent_of_mean_chord(x=place, wing=wing.plan)
        return _NeutralRule(percent, NEUTRAL_POINT_LIMIT_TAILLESS, TAILLESS_SOURCE)
    if layout not in ("conventional", "canard"):
        raise NotKnown([named(airframe, "layout")])
    other = read_surface(airframe, "tail_stations")
    is_ahead = other.plan.mean_chord_x < wing.plan.mean_chord_x
    if is_ahead != (layout == "canard"):
        raise NotKnown([named(airframe, "layout")], ORDER_NOTE)
    return _rule_of_both(wing, other, is_ahead=is_ahead)


def _rule_of_both(wing: Wing, other: Wing, *, is_ahead: bool) -> _NeutralRule:
    ratio = 1.0 if is_ahead else TAIL_PRESSURE_RATIO
    lifts = _lifts(wing.stations, other.stations)
    place = neutral_point_of(lifts=lifts, pressure_ratios=[1.0, ratio])
    alone = neutral_point_of(lifts=_lifts(wing.stations), pressure_ratios=[1.0])
    share = ratio * lifts[1].per_angle / (lifts[0].per_angle + ratio * lifts[1].per_angle)
    name, way = ("foreplane", "forward") if is_ahead else ("tail", "aft")
    assumed = Input(f"dynamic pressure at the {name}, share", ratio, "", "assumed")
    parts = (
        Input("neutral point of the wing alone", alone / MILLIMETRE, "mm", "computed"),
        Input(f"the {name} moves it {way} by", abs(place - alone) / MILLIMETRE, "mm", "computed"),
        Input(f"lift of an angle that the {name} takes", share / PERCENT, "%", "computed"),
    )
    return _NeutralRule(
        percent_of_mean_chord(x=place, wing=wing.plan),
        NEUTRAL_POINT_LIMIT_WITH_TAIL,
        TAIL_SOURCE,
        (*other.inputs, assumed, *parts),
    )


@lru_cache(maxsize=256)
def _lifts(*surfaces: tuple[Station, ...]) -> tuple[SurfaceLift, ...]:
    # One page asks for the same wing again and again: for the margin, its range and each pack.
    return surface_lifts(surfaces=surfaces)


def _neutral_note(plan: Planform) -> str:
    low, high = CHECKED_ASPECT_RATIO
    is_checked = low <= plan.aspect_ratio <= high and abs(plan.half_chord_slope) <= CHECKED_SLOPE
    if is_checked:
        return NEUTRAL_NOTE
    return (
        f"{NEUTRAL_NOTE} Aspect ratio {plan.aspect_ratio:.1f} or sweep lies outside what was"
        " compared with another program, so it may be further off."
    )
