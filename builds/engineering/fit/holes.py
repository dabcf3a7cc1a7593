"""Patterns of four holes: squares by their side, motors by their pitch circles."""

import math
from dataclasses import dataclass
from itertools import permutations

from builds.engineering.checks import (
    require_between,
    require_positive,
)

# Sums of decimal lengths are off by some 1e-17 m; a gap that equals the clearance must count.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class HolePattern:
    """Four holes by their two diagonals [m] and the angle between these [rad]."""

    diagonals: tuple[float, float]
    angle: float


def square_pattern(*, pitch: float) -> HolePattern:
    """Return four holes at the corners of a square [m].

    Parameters
    ----------
    pitch : float
        Side of the square, between neighbouring holes [m].

    Returns
    -------
    HolePattern
        The holes by their diagonals [m].

    Raises
    ------
    OutOfRange
        When the pitch is not positive.

    Source
    ------
    Geometry. Sides of 16, 20, 25.5 and 30.5 mm are common practice, no source.

    >>> round(square_pattern(pitch=0.0305).diagonals[0], 6)
    0.043134
    """
    return rectangular_pattern(pitch_a=pitch, pitch_b=pitch)


def rectangular_pattern(*, pitch_a: float, pitch_b: float) -> HolePattern:
    """Return four holes at the corners of a rectangle [m].

    Parameters
    ----------
    pitch_a, pitch_b : float
        Sides of the rectangle [m].

    Returns
    -------
    HolePattern
        The holes by their diagonals [m] and the angle between these [rad].

    Raises
    ------
    OutOfRange
        When a side is not positive.

    Source
    ------
    Geometry.

    >>> round(rectangular_pattern(pitch_a=0.03, pitch_b=0.04).diagonals[0], 6)
    0.05
    """
    require_positive(pitch_a=pitch_a, pitch_b=pitch_b)
    diagonal = math.hypot(pitch_a, pitch_b)
    angle = 2 * math.atan2(min(pitch_a, pitch_b), max(pitch_a, pitch_b))
    return HolePattern(diagonals=(diagonal, diagonal), angle=angle)


def cross_pattern(*, diameter_a: float, diameter_b: float) -> HolePattern:
    """Return two pairs of holes across the centre, at right angles [m].

    Parameters
    ----------
    diameter_a, diameter_b : float
        Pitch-circle diameters of the two pairs [m]; equal for one circle of four holes.

    Returns
    -------
    HolePattern
        The holes by their diagonals [m].

    Raises
    ------
    OutOfRange
        When a diameter is not positive.

    Notes
    -----
    A motor sold as "16x16" or "16x19" means these diameters, not the sides of a square: one
    circle of 16 mm has its neighbouring holes 11.3 mm apart (common practice, no source).

    Source
    ------
    Geometry.

    >>> cross_pattern(diameter_a=0.016, diameter_b=0.019).diagonals
    (0.016, 0.019)
    """
    require_positive(diameter_a=diameter_a, diameter_b=diameter_b)
    return HolePattern(diagonals=(diameter_a, diameter_b), angle=math.pi / 2)


def hole_offset(*, part: HolePattern, mount: HolePattern) -> float:
    """Return how far the worst hole of a part lies from its hole in the mount [m].

    Parameters
    ----------
    part, mount : HolePattern
        Both laid centre on centre and turned to match [m, rad].

    Returns
    -------
    float
        Distance between centres at the worst hole [m].

    Raises
    ------
    OutOfRange
        When a diagonal is not positive or an angle not from 0 to a right angle.

    Source
    ------
    Geometry, law of cosines.

    >>> offset = hole_offset(part=square_pattern(pitch=0.030), mount=square_pattern(pitch=0.0305))
    >>> round(offset * 1e3, 3)
    0.354
    """
    for pattern in (part, mount):
        require_positive(diagonal_a=pattern.diagonals[0], diagonal_b=pattern.diagonals[1])
        require_between(0, math.pi / 2, angle=pattern.angle)
    turn = (part.angle - mount.angle) / 2
    a, b = part.diagonals
    return min(
        max(_distance(a, c, turn), _distance(b, d, turn)) for c, d in permutations(mount.diagonals)
    )


def has_matching_holes(
    *, part: HolePattern, mount: HolePattern, hole_diameter: float, screw_diameter: float
) -> bool:
    """Return whether all four screws go through the mount into the part.

    Parameters
    ----------
    part, mount : HolePattern
        Threads in the part and through holes in the mount [m].
    hole_diameter : float
        Of the through holes [m].
    screw_diameter : float
        Of the screws [m].

    Returns
    -------
    bool
        Whether the worst offset stays within the room of a screw in its hole.

    Raises
    ------
    OutOfRange
        When a diameter is not positive.

    Source
    ------
    Fixed fastener: the centres may differ by half of hole minus screw; ASME Y14.5, annex on
    fastener formulas (from memory, not verified).

    >>> has_matching_holes(
    ...     part=square_pattern(pitch=0.030), mount=square_pattern(pitch=0.0305),
    ...     hole_diameter=0.0032, screw_diameter=0.003)
    False
    """
    require_positive(hole_diameter=hole_diameter, screw_diameter=screw_diameter)
    room = (hole_diameter - screw_diameter) / 2
    return hole_offset(part=part, mount=mount) <= room + _ROUNDING


def _distance(diameter_a: float, diameter_b: float, turn: float) -> float:
    a, b = diameter_a / 2, diameter_b / 2
    return math.hypot(a - b * math.cos(turn), b * math.sin(turn))
