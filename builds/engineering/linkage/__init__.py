"""Servo linkages: planar four-bar, throw at the trailing edge, table of arm holes; SI units."""

from builds.engineering.linkage.edge import EdgeMeasure, angle_for_edge, edge_distance
from builds.engineering.linkage.fourbar import (
    Binds,
    Linkage,
    servo_angle,
    spline_step,
    surface_angle,
    transmission_ratio,
)
from builds.engineering.linkage.holes import HoleRow, best_hole, hole_table

__all__ = [
    "Binds",
    "EdgeMeasure",
    "HoleRow",
    "Linkage",
    "angle_for_edge",
    "best_hole",
    "edge_distance",
    "hole_table",
    "servo_angle",
    "spline_step",
    "surface_angle",
    "transmission_ratio",
]
