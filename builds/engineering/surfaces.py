"""Control surfaces: hinge moment and the mixing of two commands onto two surfaces."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from builds.engineering.checks import require_between, require_not_negative, require_positive

Saturation = Literal["clip", "scale"]


@dataclass(frozen=True)
class FlapDerivatives:
    """Thin-aerofoil derivatives [1/rad] of a plain flap, and its effectiveness [1].

    lift by deflection, hinge moment by incidence, hinge moment by deflection; `effectiveness` is
    the change of incidence that one unit of deflection is worth.
    """

    effectiveness: float
    lift_by_deflection: float
    hinge_by_incidence: float
    hinge_by_deflection: float


def flap_derivatives(*, chord_fraction: float) -> FlapDerivatives:
    """Thin-aerofoil derivatives of a plain flap hinged at its nose.

    Parameters
    ----------
    chord_fraction : float
        Chord of the flap over chord of wing and flap [1], 0.01 to 0.99.

    Returns
    -------
    FlapDerivatives
        Ideal values [1/rad]; small models at low Reynolds number have smaller ones.

    Raises
    ------
    OutOfRange
        If the fraction is out of range.

    Notes
    -----
    Source: H. Glauert, Theoretical relationships for an aerofoil with hinged flap, ARC R&M 1095
    (1927). The integrals over the flap are done in closed form here (independent derivation).

    Examples
    --------
    >>> flap = flap_derivatives(chord_fraction=0.25)
    >>> round(flap.effectiveness, 4), round(flap.hinge_by_deflection, 4)
    (0.609, -0.9436)
    """
    require_between(0.01, 0.99, chord_fraction=chord_fraction)
    hinge = math.acos(2 * chord_fraction - 1)
    rest = math.pi - hinge
    sine, cosine = math.sin(hinge), math.cos(hinge)
    by_incidence = rest * (cosine - 0.5) + sine * (1 - cosine / 2)
    by_camber = sine / 2 * (cosine * rest + sine)
    return FlapDerivatives(
        effectiveness=(rest + sine) / math.pi,
        lift_by_deflection=2 * (rest + sine),
        hinge_by_incidence=-by_incidence / chord_fraction**2,
        hinge_by_deflection=-(rest * by_incidence + by_camber) / (math.pi * chord_fraction**2),
    )


def hinge_moment(
    *,
    dynamic_pressure: float,
    span: float,
    chord: float,
    chord_fraction: float,
    deflection: float,
    incidence: float = 0.0,
) -> float:
    """Aerodynamic hinge moment [N m] of a plain flap; negative moments turn the edge up.

    Parameters
    ----------
    dynamic_pressure : float
        Half of density times airspeed squared [Pa].
    span, chord : float
        Of the surface behind its hinge [m].
    chord_fraction : float
        Chord of the surface over chord of wing and surface [1].
    deflection : float
        Deflection, edge down positive [rad], within 0.6.
    incidence : float
        Incidence of the wing from its zero-lift line [rad], within 0.35.

    Returns
    -------
    float
        Moment [N m]: an upper bound below separation; take 1.5 to 2 times for the servo (from
        memory, not verified).

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: see `flap_derivatives`; H = q S c (Ch_a a + Ch_d d), symmetric section.

    Examples
    --------
    >>> moment = hinge_moment(
    ...     dynamic_pressure=0.5 * 1.225 * 25**2, span=0.30, chord=0.040, chord_fraction=0.20,
    ...     deflection=math.radians(20),
    ... )
    >>> round(moment, 5)
    -0.05919
    """
    require_not_negative(dynamic_pressure=dynamic_pressure)
    require_positive(span=span, chord=chord)
    require_between(-0.6, 0.6, deflection=deflection)
    require_between(-0.35, 0.35, incidence=incidence)
    flap = flap_derivatives(chord_fraction=chord_fraction)
    slope = flap.hinge_by_incidence * incidence + flap.hinge_by_deflection * deflection
    return dynamic_pressure * span * chord**2 * slope


def servo_torque(*, hinge_moment: float, transmission_ratio: float) -> float:
    """Torque [N m] that the servo holds against a hinge moment.

    Parameters
    ----------
    hinge_moment : float
        Moment at the hinge [N m].
    transmission_ratio : float
        Turn of the surface per turn of the servo [1].

    Returns
    -------
    float
        Torque, without sign [N m].

    Raises
    ------
    OutOfRange
        If a value is not finite.

    Notes
    -----
    Source: virtual work, friction left out.

    Examples
    --------
    >>> round(servo_torque(hinge_moment=-0.05919, transmission_ratio=0.8) / 0.0980665, 4)
    0.4829
    """
    torque = abs(hinge_moment * transmission_ratio)
    require_not_negative(torque=torque)
    return torque


@dataclass(frozen=True)
class Mixed:
    """Throws of the two surfaces, and what is left of both commands; all in one unit of length."""

    left: float
    right: float
    common: float
    opposed: float
    is_limited: bool


def mix(*, common: float, opposed: float, limit: float, saturation: Saturation = "clip") -> Mixed:
    """Mix a command that both surfaces share with one that they answer in opposite senses.

    Parameters
    ----------
    common : float
        Pitch, for elevons and V-tails [m or rad].
    opposed : float
        Roll for elevons, yaw for V-tails [same unit]; positive adds on the left.
    limit : float
        Greatest throw of one surface, either way [same unit].
    saturation : {"clip", "scale"}
        Each surface stopped at its limit, or both scaled alike so that their ratio stays.

    Returns
    -------
    Mixed
        Throws, and the commands that the limited throws amount to [same unit].

    Raises
    ------
    OutOfRange
        If the limit is not greater than zero or a command is not finite.

    Notes
    -----
    Source: sum and difference; left = c + o, right = c - o.

    Examples
    --------
    >>> mix(common=12.0, opposed=10.0, limit=18.0)
    Mixed(left=18.0, right=2.0, common=10.0, opposed=8.0, is_limited=True)
    """
    require_positive(limit=limit)
    require_between(-1e6, 1e6, common_command=common, opposed_command=opposed)
    left, right = common + opposed, common - opposed
    largest = max(abs(left), abs(right))
    is_limited = largest > limit
    if is_limited and saturation == "scale":
        left, right = left * limit / largest, right * limit / largest
    left, right = max(-limit, min(limit, left)), max(-limit, min(limit, right))
    back = unmix(left=left, right=right)
    return Mixed(left, right, back[0], back[1], is_limited)


def unmix(*, left: float, right: float) -> tuple[float, float]:
    """Commands behind two throws.

    Parameters
    ----------
    left, right : float
        Throws [m or rad].

    Returns
    -------
    (float, float)
        Common and opposed command [same unit].

    Raises
    ------
    OutOfRange
        If a throw is not finite.

    Notes
    -----
    Source: inverse of `mix`.

    Examples
    --------
    >>> common, opposed = unmix(left=9.6, right=-2.4)
    >>> round(common, 6), round(opposed, 6)
    (3.6, 6.0)
    """
    require_between(-1e7, 1e7, left_throw=left, right_throw=right)
    return (left + right) / 2, (left - right) / 2
