"""Magnetic field of straight conductors, and how far a compass should stay away from them.

The field of a pair falls with its spacing, so that touching or twisting the leads comes first and
distance second. Magnets and ferrous screws are outside these formulas.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_not_negative,
    require_positive,
)

MAGNETIC_CONSTANT = 4e-7 * math.pi
"""Magnetic constant mu0 [T m/A], the value fixed before 2019, true to 1e-9."""

Point = tuple[float, float, float]


def wire_field(*, current: float, distance: float) -> float:
    """Flux density [T] beside an infinitely long straight wire.

    Parameters
    ----------
    current : float
        Current [A].
    distance : float
        Distance from the wire's axis [m], greater than zero.

    Returns
    -------
    float
        Magnitude of the flux density [T].

    Raises
    ------
    OutOfRange
        If `distance` is not greater than zero.

    Notes
    -----
    Source: law of Biot and Savart, B = mu0 I / (2 pi r).

    Examples
    --------
    >>> round(wire_field(current=40.0, distance=0.1) * 1e6, 6)
    80.0
    """
    require_positive(distance=distance)
    return MAGNETIC_CONSTANT * abs(current) / (2 * math.pi * distance)


def segment_field(*, current: float, length: float, distance: float) -> float:
    """Flux density [T] opposite the mid-point of a straight wire of finite length.

    Parameters
    ----------
    current : float
        Current [A].
    length : float
        Length of the wire [m].
    distance : float
        Distance from the mid-point, square to the wire [m].

    Returns
    -------
    float
        Magnitude of the flux density [T].

    Raises
    ------
    OutOfRange
        If `length` or `distance` is not greater than zero.

    Notes
    -----
    Source: law of Biot and Savart, B = mu0 I L / (4 pi r sqrt(r2 + L2/4)).

    Examples
    --------
    >>> round(segment_field(current=40.0, length=0.2, distance=0.1) * 1e6, 4)
    56.5685
    """
    require_positive(length=length, distance=distance)
    half_diagonal = math.hypot(distance, length / 2)
    return MAGNETIC_CONSTANT * abs(current) * length / (4 * math.pi * distance * half_diagonal)


def pair_field(*, current: float, spacing: float, distance: float, in_plane: bool = True) -> float:
    """Flux density [T] beside a long go-and-return pair of parallel leads.

    Parameters
    ----------
    current : float
        Current in each lead [A].
    spacing : float
        Distance between the axes of the two leads [m].
    distance : float
        Distance from the middle of the pair [m]; in the plane more than half the spacing.
    in_plane : bool
        True in the plane of the two leads (the worst direction), False square to it.

    Returns
    -------
    float
        Magnitude of the flux density [T].

    Raises
    ------
    OutOfRange
        If the point lies on or between the leads, or a length is not greater than zero.

    Notes
    -----
    Source: two wires of `wire_field` with opposite currents; B = mu0 I s / (2 pi (r2 -+ s2/4)).

    Examples
    --------
    >>> round(pair_field(current=40.0, spacing=0.004, distance=0.1) * 1e6, 4)
    3.2013
    """
    require_positive(spacing=spacing, distance=distance)
    if in_plane and distance <= spacing / 2:
        raise OutOfRange("distance must be more than half the spacing of the leads")
    sign = -1 if in_plane else 1
    reach = distance**2 + sign * spacing**2 / 4
    return MAGNETIC_CONSTANT * abs(current) * spacing / (2 * math.pi * reach)


def distance_for_fraction(
    *, current: float, spacing: float, horizontal_field: float, fraction: float = 0.05
) -> float:
    """Distance [m] at which a pair adds a given fraction of the earth's horizontal field.

    Parameters
    ----------
    current : float
        Current in each lead [A].
    spacing : float
        Distance between the axes of the two leads [m].
    horizontal_field : float
        Horizontal flux density of the earth at the place [T], about 15e-6 to 40e-6.
    fraction : float
        Fraction allowed, 0 to 1; 0.05 turns the heading by at most atan 0.05 = 2.9 degrees.

    Returns
    -------
    float
        Distance from the middle of the pair, in the plane of the leads [m].

    Raises
    ------
    OutOfRange
        If a value is not greater than zero or the fraction is above 1.

    Notes
    -----
    Source: `pair_field` in the plane, solved for the distance.

    Examples
    --------
    >>> d = distance_for_fraction(current=40.0, spacing=0.004, horizontal_field=19551.7e-9)
    >>> round(d, 3)
    0.181
    """
    require_positive(spacing=spacing)
    reach = MAGNETIC_CONSTANT * abs(current) * spacing
    field = _allowed_field(horizontal_field, fraction)
    return math.sqrt(reach / (2 * math.pi * field) + spacing**2 / 4)


def single_wire_distance_for_fraction(
    *, current: float, horizontal_field: float, fraction: float = 0.05
) -> float:
    """Distance [m] at which one lead, its return elsewhere, adds a fraction of the earth's field.

    Parameters
    ----------
    current : float
        Current [A].
    horizontal_field : float
        Horizontal flux density of the earth at the place [T].
    fraction : float
        Fraction allowed, 0 to 1.

    Returns
    -------
    float
        Distance from the lead [m].

    Raises
    ------
    OutOfRange
        If the field or the fraction is not greater than zero, or the fraction is above 1.

    Notes
    -----
    Source: `wire_field` solved for the distance.

    Examples
    --------
    >>> d = single_wire_distance_for_fraction(current=40.0, horizontal_field=19551.7e-9)
    >>> round(d, 2)
    8.18
    """
    field = _allowed_field(horizontal_field, fraction)
    return MAGNETIC_CONSTANT * abs(current) / (2 * math.pi * field)


def heading_error(*, disturbance: float, horizontal_field: float) -> float:
    """Largest heading error [rad] that a horizontal disturbance across the field can cause.

    Parameters
    ----------
    disturbance : float
        Flux density of the disturbance [T].
    horizontal_field : float
        Horizontal flux density of the earth [T].

    Returns
    -------
    float
        Angle [rad].

    Raises
    ------
    OutOfRange
        If the disturbance is negative, or not weaker than the earth's field: then any heading
        can be shown.

    Notes
    -----
    Source: vector sum of two fields: the resultant turns most, by asin(b/H), when the disturbance
    stands square to the resultant.

    Examples
    --------
    >>> e = heading_error(disturbance=0.05, horizontal_field=1.0)
    >>> round(math.degrees(e), 3)
    2.866
    """
    require_not_negative(disturbance=disturbance)
    require_positive(horizontal_field=horizontal_field)
    if disturbance >= horizontal_field:
        raise OutOfRange("the disturbance is not weaker than the earth's field: no heading is left")
    return math.asin(disturbance / horizontal_field)


def path_field(*, current: float, path: Sequence[Point], point: Point) -> Point:
    """Flux density vector [T] of a current along a path of straight segments.

    Parameters
    ----------
    current : float
        Current [A], positive along the order of the points.
    path : sequence of (x, y, z)
        Corner points of the lead [m]; repeat the first point at the end for a closed loop.
    point : (x, y, z)
        Where the field is wanted [m], off the lead.

    Returns
    -------
    (float, float, float)
        Flux density [T] along x, y, z.

    Raises
    ------
    OutOfRange
        If the path has fewer than two points or the point lies on the lead.

    Notes
    -----
    Source: law of Biot and Savart, a finite segment from r1 to r2:
    B = mu0 I / (4 pi) (r1 x r2)(|r1| + |r2|) / (|r1||r2|(|r1||r2| + r1.r2)).

    Examples
    --------
    >>> b = path_field(current=40.0, path=[(-0.1, 0, 0), (0.1, 0, 0)], point=(0, 0.1, 0))
    >>> round(b[2] * 1e6, 4)
    56.5685
    """
    if len(path) < 2:
        raise OutOfRange("a path needs at least two points")
    total = (0.0, 0.0, 0.0)
    for start, end in zip(path, path[1:], strict=False):
        piece = _segment_vector(start, end, point)
        total = (total[0] + piece[0], total[1] + piece[1], total[2] + piece[2])
    scale = MAGNETIC_CONSTANT * current / (4 * math.pi)
    return (scale * total[0], scale * total[1], scale * total[2])


def _segment_vector(start: Point, end: Point, point: Point) -> Point:
    a = tuple(p - s for p, s in zip(point, start, strict=True))
    b = tuple(p - e for p, e in zip(point, end, strict=True))
    length_a, length_b = math.hypot(*a), math.hypot(*b)
    inner = sum(x * y for x, y in zip(a, b, strict=True))
    cross = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    lengths = length_a * length_b
    # Beside the lead the plain form subtracts nearly equal numbers, so the cross product is used.
    if inner <= 0:
        square = sum(x * x for x in cross)
        if square <= (1e-12 * lengths) ** 2:
            raise OutOfRange("the point lies on the lead")
        scale = (length_a + length_b) * (lengths - inner) / (lengths * square)
    else:
        scale = (length_a + length_b) / (lengths * (lengths + inner))
    return (scale * cross[0], scale * cross[1], scale * cross[2])


def _allowed_field(horizontal_field: float, fraction: float) -> float:
    require_positive(horizontal_field=horizontal_field, fraction=fraction)
    require_between(0, 1, fraction=fraction)
    return fraction * horizontal_field
