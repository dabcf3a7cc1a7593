"""Neutral point and static margin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builds.engineering.mass import rectangular_uncertainty
from builds.engineering.wing import (
    NEUTRAL_POINT_LIMIT_TAILLESS,
    NEUTRAL_POINT_LIMIT_WITH_TAIL,
    LiftingSurface,
    Planform,
    cg_for_static_margin,
    combined_neutral_point,
    downwash_gradient,
    lift_curve_slope,
    quarter_chord_neutral_point,
)
from builds.engineering.wing import static_margin as static_margin_of
from builds.figures.reading import named
from builds.figures.results import Figures, Input, NotKnown, Worked, propagate
from builds.figures.units import MILLIMETRE, PERCENT
from builds.figures.wing import OfWing, Wing, read_surface, read_wing
from builds.records import PartRecord, PositionRecord

TAIL_PRESSURE_RATIO = 0.9
"""Dynamic pressure at a tail over that of the free stream: common practice, no source."""
CHECKED_ASPECT_RATIO = (4.6, 6.3)
CHECKED_SLOPE = 0.577
"""Tangent of 30 degrees: sweep up to which the neutral point was compared with other programs."""

TAILLESS_SOURCE = (
    "Quarter of the mean chord, thin-airfoil theory; within 2.5 % of the mean chord of two"
    " vortex-lattice programs."
)
TAIL_SOURCE = (
    "Moment balance of the lift of wing and tail, Etkin and Reid, Dynamics of Flight, section 2.3"
    " (from memory, not verified); within about 5 % of the mean chord."
)
NEUTRAL_NOTE = (
    "Without body, propeller and bending foam, which mostly move it forward: leave a margin."
)
SUGGESTED_MARGIN_PERCENT = (5.0, 15.0)
"""Static margins that most models of this kind fly with: common practice, no source."""
SUGGESTED_NOTE = (
    "Common practice, no source: with less than 5 % it turns twitchy and stalls without warning,"
    " with more than 15 % it gets sluggish and needs much up elevator. It counts where the maker"
    " gives no range; the maker's range comes first."
)
MARGIN_SOURCE = "Neutral point less centre of gravity, over the mean chord: definition."


def neutral_point(figures: Figures) -> Worked:
    """Neutral point aft of the datum [mm]."""
    wing, airframe = read_wing(figures)
    rule = _neutral_rule(airframe)
    value, from_stations = propagate(lambda n: rule.at(wing.moved(n)), wing.estimates())
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
    rule = _neutral_rule(airframe)
    cg = figures.need("cg_x_mm")
    from_rule = rectangular_uncertainty(half_width=rule.limit)

    def margin(numbers: Sequence[float]) -> float:
        plan = wing.moved(numbers[2:])
        share = static_margin_of(
            neutral_point=rule.at(plan), cg=numbers[0], mean_chord=plan.mean_chord
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
    rule = _neutral_rule(airframe)

    def place(numbers: Sequence[float]) -> float:
        plan = wing.moved(numbers[1:])
        return cg_for_static_margin(
            neutral_point=rule.at(plan),
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
    at: OfWing
    limit: float
    source: str
    inputs: tuple[Input, ...] = ()


def _neutral_rule(airframe: PositionRecord) -> _NeutralRule:
    part: PartRecord | None = airframe.part
    layout = part.get("layout", "") if part else ""
    if layout == "flying_wing":
        return _NeutralRule(
            lambda plan: quarter_chord_neutral_point(wing=plan),
            NEUTRAL_POINT_LIMIT_TAILLESS,
            TAILLESS_SOURCE,
        )
    if layout == "conventional":
        return _rule_with_tail(read_surface(airframe, "tail_stations"))
    if layout == "canard":
        raise NotKnown((), "The neutral point of a canard is not calculated here.")
    raise NotKnown([named(airframe, "layout")])


def _rule_with_tail(tail: Wing) -> _NeutralRule:
    plan_of_tail = tail.plan

    def at(plan: Planform) -> float:
        slope = _lift_slope(plan)
        behind = LiftingSurface(
            neutral_point=quarter_chord_neutral_point(wing=plan_of_tail),
            area=plan_of_tail.area,
            lift_slope=_lift_slope(plan_of_tail),
            pressure_ratio=TAIL_PRESSURE_RATIO,
            downwash_gradient=downwash_gradient(lift_slope=slope, aspect_ratio=plan.aspect_ratio),
        )
        front = LiftingSurface(quarter_chord_neutral_point(wing=plan), plan.area, slope)
        return combined_neutral_point(surfaces=[front, behind])

    assumed = Input("dynamic pressure at the tail, share", TAIL_PRESSURE_RATIO, "", "assumed")
    return _NeutralRule(at, NEUTRAL_POINT_LIMIT_WITH_TAIL, TAIL_SOURCE, (*tail.inputs, assumed))


def _lift_slope(plan: Planform) -> float:
    return lift_curve_slope(aspect_ratio=plan.aspect_ratio, half_chord_slope=plan.half_chord_slope)


def _neutral_note(plan: Planform) -> str:
    low, high = CHECKED_ASPECT_RATIO
    is_checked = low <= plan.aspect_ratio <= high and abs(plan.half_chord_slope) <= CHECKED_SLOPE
    if is_checked:
        return NEUTRAL_NOTE
    return (
        f"{NEUTRAL_NOTE} Aspect ratio {plan.aspect_ratio:.1f} or sweep lies outside what the rule"
        " was compared for, so it may be further off."
    )
