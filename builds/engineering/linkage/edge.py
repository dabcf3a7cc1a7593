"""Throw of a surface at its trailing edge: three ways to measure it, which differ."""

from __future__ import annotations

import math
from typing import Literal

from builds.engineering.checks import OutOfRange, require_between, require_positive

EdgeMeasure = Literal["height", "ruler", "arc"]


def edge_distance(*, angle: float, chord: float, measure: EdgeMeasure = "height") -> float:
    """Distance [m] that the trailing edge moves, for one of three ways to measure it.

    Parameters
    ----------
    angle : float
        Deflection [rad], within a quarter turn.
    chord : float
        From hinge line to trailing edge [m].
    measure : {"height", "ruler", "arc"}
        Height over neutral, r sin d; straight ruler from edge to edge, 2 r sin(d/2); along the
        arc, r d.

    Returns
    -------
    float
        Distance [m], with the sign of the angle.

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: geometry of the circle.

    Examples
    --------
    >>> angle = math.radians(23.63598)
    >>> round(edge_distance(angle=angle, chord=40.0), 3)
    16.037
    >>> round(edge_distance(angle=angle, chord=40.0, measure="ruler"), 3)
    16.384
    """
    require_positive(chord=chord)
    require_between(-math.pi / 2, math.pi / 2, angle=angle)
    if measure == "height":
        return chord * math.sin(angle)
    if measure == "ruler":
        return 2 * chord * math.sin(angle / 2)
    return chord * angle


def angle_for_edge(*, distance: float, chord: float, measure: EdgeMeasure = "height") -> float:
    """Deflection [rad] for a distance of the trailing edge.

    Parameters
    ----------
    distance : float
        Distance wanted [m], either sign.
    chord : float
        From hinge line to trailing edge [m].
    measure : {"height", "ruler", "arc"}
        As in `edge_distance`.

    Returns
    -------
    float
        Deflection [rad].

    Raises
    ------
    OutOfRange
        If a quarter turn does not give the distance.

    Notes
    -----
    Source: inverse of `edge_distance`.

    Examples
    --------
    >>> round(math.degrees(angle_for_edge(distance=10.0, chord=40.0)), 5)
    14.47751
    """
    require_positive(chord=chord)
    limit = edge_distance(angle=math.pi / 2, chord=chord, measure=measure)
    if not abs(distance) <= limit:
        raise OutOfRange(
            "the throw is more than a quarter turn of the surface: check throw and chord"
        )
    if measure == "height":
        return math.asin(distance / chord)
    if measure == "ruler":
        return 2 * math.asin(distance / (2 * chord))
    return distance / chord
