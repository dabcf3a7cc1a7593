"""Whether one thing goes into or onto another: boxes, shims, tolerances, holes, screws, rods."""

from builds.engineering.fit.bay import (
    Box,
    Clearance,
    Placement,
    placements_in_bay,
    rod_in_bore,
    shim_each_side,
)
from builds.engineering.fit.holes import (
    HolePattern,
    cross_pattern,
    has_matching_holes,
    hole_offset,
    rectangular_pattern,
    square_pattern,
)
from builds.engineering.fit.screws import CLEARANCE_HOLES, ScrewSeat, clearance_hole, screw_seat
from builds.engineering.fit.stack import FEWEST_FOR_STATISTICS, Contributor, Stack, tolerance_stack

__all__ = [
    "Box",
    "CLEARANCE_HOLES",
    "Clearance",
    "Contributor",
    "FEWEST_FOR_STATISTICS",
    "HolePattern",
    "Placement",
    "ScrewSeat",
    "Stack",
    "clearance_hole",
    "cross_pattern",
    "has_matching_holes",
    "hole_offset",
    "placements_in_bay",
    "rectangular_pattern",
    "rod_in_bore",
    "screw_seat",
    "shim_each_side",
    "square_pattern",
    "tolerance_stack",
]
