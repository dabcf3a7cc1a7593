"""Geometry of a wing in plan, neutral point and static margin.

x runs aft and z up from the datum, y outboard from the plane of symmetry; all in metres.
"""

from builds.engineering.wing.geometry import (
    Planform,
    Station,
    percent_of_mean_chord,
    planform,
    x_at_percent_of_mean_chord,
)
from builds.engineering.wing.margin import (
    cg_for_static_margin,
    cg_range_for_margins,
    static_margin,
)
from builds.engineering.wing.neutral_point import (
    NEUTRAL_POINT_LIMIT_TAILLESS,
    NEUTRAL_POINT_LIMIT_WITH_TAIL,
    LiftingSurface,
    combined_neutral_point,
    downwash_gradient,
    lift_curve_slope,
    quarter_chord_neutral_point,
    tail_volume,
)

__all__ = [
    "LiftingSurface",
    "NEUTRAL_POINT_LIMIT_TAILLESS",
    "NEUTRAL_POINT_LIMIT_WITH_TAIL",
    "Planform",
    "Station",
    "cg_for_static_margin",
    "cg_range_for_margins",
    "combined_neutral_point",
    "downwash_gradient",
    "lift_curve_slope",
    "percent_of_mean_chord",
    "planform",
    "quarter_chord_neutral_point",
    "static_margin",
    "tail_volume",
    "x_at_percent_of_mean_chord",
]
