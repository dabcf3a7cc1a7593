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
from builds.engineering.wing.lattice import SurfaceLift, lattice_lifts, surface_lifts
from builds.engineering.wing.margin import cg_for_static_margin, static_margin
from builds.engineering.wing.neutral_point import (
    NEUTRAL_POINT_LIMIT_TAILLESS,
    NEUTRAL_POINT_LIMIT_WITH_TAIL,
    neutral_point,
)

__all__ = [
    "NEUTRAL_POINT_LIMIT_TAILLESS",
    "NEUTRAL_POINT_LIMIT_WITH_TAIL",
    "Planform",
    "Station",
    "SurfaceLift",
    "cg_for_static_margin",
    "lattice_lifts",
    "neutral_point",
    "percent_of_mean_chord",
    "planform",
    "static_margin",
    "surface_lifts",
    "x_at_percent_of_mean_chord",
]
