"""How far two places are apart, as far as a rule can know it. Plain Python."""

from __future__ import annotations

import math

from builds.findings import Case
from builds.records import PositionRecord

PLACE = ("position.x_mm", "position.y_mm", "position.z_mm")


def distance_known(
    case: Case, one: PositionRecord, other: PositionRecord
) -> tuple[float, tuple[str, ...]]:
    """Distance over the axes known of both [mm], at most the true one, and what is missing."""
    squares = 0.0
    gaps: list[str] = []
    for axis in PLACE:
        (ours, theirs), missing = case.look((one, axis), (other, axis))
        gaps += missing
        if not missing:
            squares += (ours - theirs) ** 2
    return math.sqrt(squares), tuple(gaps)
