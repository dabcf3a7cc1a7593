"""What momentum theory allows, and two figures of a turning blade."""

from __future__ import annotations

import math

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_not_negative,
    require_positive,
)


def static_figure_of_merit(*, thrust_coefficient: float, power_coefficient: float) -> float:
    """Ideal over actual power at rest [1].

    Parameters
    ----------
    thrust_coefficient, power_coefficient : float
        Static coefficients [1].

    Returns
    -------
    float
        Figure of merit [1], below 1.

    Raises
    ------
    OutOfRange
        If a coefficient is not greater than zero or the figure is 1 or more: no propeller can.

    Notes
    -----
    Source: actuator disc at rest, Brandt and Selig, AIAA 2011-1255 definitions:
    Ct^1.5 sqrt(2/pi) / Cp.

    Examples
    --------
    >>> f = static_figure_of_merit(thrust_coefficient=0.1259, power_coefficient=0.0493)
    >>> round(f, 3)
    0.723
    """
    require_positive(thrust_coefficient=thrust_coefficient, power_coefficient=power_coefficient)
    merit = math.sqrt(2 * thrust_coefficient**3 / math.pi) / power_coefficient
    if merit >= 1:
        raise OutOfRange(
            f"more thrust than momentum theory allows for this power (figure of merit {merit:.2f}):"
            " check the readings and their units"
        )
    return merit


def static_thrust_bound(*, density: float, diameter: float, power: float) -> float:
    """Greatest static thrust [N] that any propeller can make of a shaft power.

    Parameters
    ----------
    density : float
        Air density [kg/m3].
    diameter : float
        Diameter [m].
    power : float
        Shaft power [W], not negative.

    Returns
    -------
    float
        Thrust [N].

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: Rankine and Froude, actuator disc at rest: (2 rho A P2)^(1/3).

    Examples
    --------
    >>> round(static_thrust_bound(density=1.225, diameter=0.254, power=88.570), 2)
    9.91
    """
    require_positive(density=density, diameter=diameter)
    require_not_negative(power=power)
    disc = math.pi * diameter**2 / 4
    return math.cbrt(2 * density * disc * power**2)


def flight_efficiency_bound(*, thrust_coefficient: float, advance_ratio: float) -> float:
    """Greatest efficiency [1] that any propeller can have in flight.

    Parameters
    ----------
    thrust_coefficient : float
        Thrust coefficient [1], not negative.
    advance_ratio : float
        Advance ratio [1], greater than zero.

    Returns
    -------
    float
        Efficiency [1].

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: Rankine and Froude, actuator disc in flight: 2 / (1 + sqrt(1 + 8 Ct / (pi J2))).

    Examples
    --------
    >>> round(flight_efficiency_bound(thrust_coefficient=0.1115, advance_ratio=0.3121), 3)
    0.671
    """
    require_not_negative(thrust_coefficient=thrust_coefficient)
    require_positive(advance_ratio=advance_ratio)
    loading = 8 * thrust_coefficient / (math.pi * advance_ratio**2)
    return 2 / (1 + math.sqrt(1 + loading))


def pitch_speed(*, speed: float, pitch: float) -> float:
    """Pitch times revolutions [m/s]: a label for comparing propellers, not a top speed.

    Parameters
    ----------
    speed : float
        Speed of the propeller under load [rad/s].
    pitch : float
        Pitch as marked [m].

    Returns
    -------
    float
        Pitch speed [m/s]; zero thrust was measured 19 % and 43 % above it on two propellers.

    Raises
    ------
    OutOfRange
        If a value is negative.

    Notes
    -----
    Source: definition of geometric pitch. The two measured: Brandt and Selig, AIAA 2011-1255, and
    Deters et al., AIAA 2014-2151.

    Examples
    --------
    >>> round(pitch_speed(speed=10000 * math.pi / 30, pitch=4.5 * 0.0254), 2)
    19.05
    """
    require_not_negative(speed=speed, pitch=pitch)
    return speed / (2 * math.pi) * pitch


def tip_mach(
    *, speed: float, diameter: float, airspeed: float = 0.0, temperature: float = 288.15
) -> float:
    """Mach number [1] of the blade tip along its helix.

    Parameters
    ----------
    speed : float
        Speed of the propeller [rad/s].
    diameter : float
        Diameter [m].
    airspeed : float
        Airspeed [m/s].
    temperature : float
        Air temperature [K], 200 to 340.

    Returns
    -------
    float
        Mach number [1].

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: US Standard Atmosphere 1976, speed of sound: a = sqrt(1.4 R T).

    Examples
    --------
    >>> round(tip_mach(speed=24623 * math.pi / 30, diameter=0.1524), 3)
    0.577
    """
    require_not_negative(speed=speed)
    require_positive(diameter=diameter)
    require_not_negative(airspeed=airspeed)
    require_between(200, 340, temperature=temperature)
    return math.hypot(speed * diameter / 2, airspeed) / math.sqrt(1.4 * 287.05287 * temperature)
