"""Where the lift due to angle of attack acts: a wing alone, or with tail or foreplane."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_finite,
    require_positive,
)
from builds.engineering.wing.geometry import Planform

_TWO_PI = 2 * math.pi

# Half-widths as a fraction of the mean chord, rounded up from the largest difference between the
# rule and a vortex lattice: 2.2 % over nine wings of aspect ratio 4.6 to 6.3, without fuselage.
NEUTRAL_POINT_LIMIT_TAILLESS = 0.025
NEUTRAL_POINT_LIMIT_WITH_TAIL = 0.05


@dataclass(frozen=True)
class LiftingSurface:
    """One surface's part in the balance of lift.

    Its own neutral point [m], area [m2], lift-curve slope [1/rad], dynamic pressure there as a
    share of the free stream's, and the downwash that it feels per angle of attack (negative for
    upwash ahead of a wing).
    """

    neutral_point: float
    area: float
    lift_slope: float
    pressure_ratio: float = 1.0
    downwash_gradient: float = 0.0


def quarter_chord_neutral_point(*, wing: Planform) -> float:
    """Return the neutral point of a wing alone by the quarter-chord rule [m].

    Parameters
    ----------
    wing : Planform
        The wing [m].

    Returns
    -------
    float
        Neutral point aft of the datum [m].

    Raises
    ------
    OutOfRange
        When the mean chord is not positive.

    Notes
    -----
    Valid within 2.5 % of the mean chord for aspect ratio 4.6 to 6.3, sweep up to 30 degrees either
    way and no body. A nose ahead of the wing, a propeller in front and bending foam move it
    forward.

    Source
    ------
    Thin-airfoil theory: lift of an angle acts at the quarter chord; limits from comparison with
    two vortex-lattice programs.

    >>> from builds.engineering.wing.geometry import Station, planform
    >>> wing = planform(stations=[Station(0, 0, 0.2), Station(0.5, 0, 0.2)])
    >>> round(quarter_chord_neutral_point(wing=wing), 6)
    0.05
    """
    require_positive(mean_chord=wing.mean_chord)
    return wing.mean_chord_x + wing.mean_chord / 4


def lift_curve_slope(*, aspect_ratio: float, half_chord_slope: float = 0.0) -> float:
    """Return the lift-curve slope of a straight or swept surface [1/rad].

    Parameters
    ----------
    aspect_ratio : float
        Span squared over area, 1 to 20.
    half_chord_slope : float
        Tangent of the sweep of the half-chord line, -1 to 1.

    Returns
    -------
    float
        Change of lift coefficient per angle of attack [1/rad].

    Raises
    ------
    OutOfRange
        When an argument is outside its range.

    Source
    ------
    2 pi A / (2 + sqrt(4 + A2 (1 + tan2 sweep))) for incompressible flow and an ideal section;
    Polhamus form as used in USAF DATCOM 4.1.3.2 (from memory, not verified).

    >>> round(lift_curve_slope(aspect_ratio=5.0), 3)
    4.254
    """
    require_between(1, 20, aspect_ratio=aspect_ratio)
    require_between(-1, 1, half_chord_slope=half_chord_slope)
    root: float = (4 + aspect_ratio**2 * (1 + half_chord_slope**2)) ** 0.5
    return _TWO_PI * aspect_ratio / (2 + root)


def downwash_gradient(*, lift_slope: float, aspect_ratio: float) -> float:
    """Return the downwash far behind a wing per angle of attack [rad/rad].

    Parameters
    ----------
    lift_slope : float
        Lift-curve slope of the wing [1/rad].
    aspect_ratio : float
        Of the wing.

    Returns
    -------
    float
        Downwash angle per angle of attack [rad/rad].

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Notes
    -----
    For an elliptic load, far behind and near the plane of the wing.

    Source
    ------
    Lifting-line theory, 2 a / (pi A); Glauert, The Elements of Aerofoil and Airscrew Theory
    (from memory, not verified).

    >>> round(downwash_gradient(lift_slope=4.5471, aspect_ratio=1.2**2 / 0.21), 3)
    0.422
    """
    require_positive(lift_slope=lift_slope, aspect_ratio=aspect_ratio)
    return 4 * lift_slope / (_TWO_PI * aspect_ratio)


def combined_neutral_point(*, surfaces: Sequence[LiftingSurface]) -> float:
    """Return the neutral point of a wing with its tail or foreplane [m].

    Parameters
    ----------
    surfaces : sequence of LiftingSurface
        Every lifting surface [m, m2, 1/rad]; at least one.

    Returns
    -------
    float
        Neutral point aft of the datum [m].

    Raises
    ------
    ValueError
        When no surface is given.
    OutOfRange
        When an area or slope is not positive, the pressure ratio is negative or downwash is 1
        or more.

    Notes
    -----
    Within about 5 % of the wing's mean chord for a usual tail, without fuselage and propeller,
    which move it forward.

    Source
    ------
    Moment balance of the lift due to angle of attack: (x_w + k x_t)/(1 + k) with
    k = eta (S_t/S_w)(a_t/a_w)(1 - de/da); Etkin & Reid, Dynamics of Flight, section 2.3
    (from memory, not verified). The common short form drops the 1 + k and errs aft.

    >>> wing = LiftingSurface(neutral_point=0.1, area=0.2, lift_slope=4.0)
    >>> tail = LiftingSurface(neutral_point=0.7, area=0.05, lift_slope=4.0, downwash_gradient=0.5)
    >>> round(combined_neutral_point(surfaces=[wing, tail]), 6)
    0.166667
    """
    if not surfaces:
        raise ValueError("a neutral point needs at least one lifting surface")
    weights = [_lift_per_angle(surface) for surface in surfaces]
    moment = sum(w * s.neutral_point for w, s in zip(weights, surfaces, strict=True))
    return moment / sum(weights)


def tail_volume(*, tail_area: float, tail_arm: float, wing_area: float, mean_chord: float) -> float:
    """Return the volume coefficient of a horizontal tail.

    Parameters
    ----------
    tail_area, wing_area : float
        Areas [m2].
    tail_arm : float
        Distance between the two quarter-chord points [m].
    mean_chord : float
        Mean aerodynamic chord of the wing [m].

    Returns
    -------
    float
        Tail area times arm over wing area times chord [1].

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Definition, as in any text on stability.

    >>> round(tail_volume(tail_area=0.05, tail_arm=0.6, wing_area=0.2, mean_chord=0.2), 6)
    0.75
    """
    require_positive(
        tail_area=tail_area, tail_arm=tail_arm, wing_area=wing_area, mean_chord=mean_chord
    )
    return tail_area * tail_arm / (wing_area * mean_chord)


def _lift_per_angle(surface: LiftingSurface) -> float:
    require_positive(area=surface.area, lift_slope=surface.lift_slope)
    require_positive(pressure_ratio=surface.pressure_ratio)
    require_finite(neutral_point=surface.neutral_point, downwash_gradient=surface.downwash_gradient)
    if surface.downwash_gradient >= 1:
        raise OutOfRange("downwash gradient must be less than 1")
    return (
        surface.pressure_ratio * surface.area * surface.lift_slope * (1 - surface.downwash_gradient)
    )
