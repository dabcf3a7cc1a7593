"""How long a pack lasts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from builds.engineering.checks import require_between, require_not_negative, require_positive


@dataclass(frozen=True)
class Endurance:
    """Times [s] mixed, all cruise and all full throttle; mean current [A]; charge used [C]."""

    mixed: float
    cruise_only: float
    full_only: float
    mean_current: float
    charge_used: float


def endurance_from_currents(
    *,
    charge: float,
    reserve: float,
    cruise_current: float,
    full_current: float,
    full_share: float,
    other_current: float = 0.0,
) -> Endurance:
    """Time that a pack lasts, from pack currents.

    Parameters
    ----------
    charge : float
        Charge that the pack still holds when full [C], 3.6 times the mAh.
    reserve : float
        Share of it left in the pack at landing [1], 0 up to below 1; 0.2 is common practice, no
        source.
    cruise_current, full_current : float
        Pack (not motor) currents in cruise and at full throttle [A].
    full_share : float
        Share of the flying time at full throttle [1], 0 to 1.
    other_current : float
        Current of everything else [A].

    Returns
    -------
    Endurance
        Times [s], mean current [A], charge used [C].

    Raises
    ------
    OutOfRange
        If a value is out of range or full throttle draws less than cruise.

    Notes
    -----
    Source: charge is current times time; the loss of capacity at high current is left out.

    Examples
    --------
    >>> e = endurance_from_currents(
    ...     charge=3600.0, reserve=0.2, cruise_current=4.0, full_current=20.0, full_share=0.25
    ... )
    >>> round(e.mixed, 6), round(e.mean_current, 6)
    (360.0, 8.0)
    """
    require_positive(charge=charge)
    require_between(0, 1, reserve=reserve)
    require_positive(usable_share=1 - reserve)
    require_between(0, 1, full_throttle_share=full_share)
    require_positive(cruise_current=cruise_current, full_throttle_current=full_current)
    require_not_negative(
        other_current=other_current,
        full_throttle_current_over_cruise=full_current - cruise_current,
    )
    mean = full_share * full_current + (1 - full_share) * cruise_current + other_current
    usable = charge * (1 - reserve)
    return Endurance(
        mixed=usable / mean,
        cruise_only=usable / (cruise_current + other_current),
        full_only=usable / (full_current + other_current),
        mean_current=mean,
        charge_used=usable,
    )


def endurance_from_power(*, energy: float, reserve: float, power: float) -> float:
    """Time [s] that a pack lasts at a constant power.

    Parameters
    ----------
    energy : float
        Energy in the full pack [J], 3600 times the Wh.
    reserve : float
        Share of it left at landing [1], 0 up to below 1.
    power : float
        Power drawn [W].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: energy is power times time.

    Examples
    --------
    >>> round(endurance_from_power(energy=22.2 * 3600, reserve=0.2, power=45.348) / 60, 2)
    23.5
    """
    require_positive(energy=energy)
    require_between(0, 1, reserve=reserve)
    require_positive(usable_share=1 - reserve, power=power)
    return energy * (1 - reserve) / power


def level_drag(
    *,
    weight: float,
    wing_area: float,
    span: float,
    airspeed: float,
    density: float,
    zero_lift_drag: float,
    span_efficiency: float,
) -> float:
    """Drag [N] in level flight, which the thrust must equal.

    Parameters
    ----------
    weight : float
        Weight [N].
    wing_area : float
        Wing area [m2].
    span : float
        Span [m].
    airspeed : float
        Airspeed [m/s], above the stall.
    density : float
        Air density [kg/m3].
    zero_lift_drag : float
        Drag coefficient without lift [1], 0.02 to 0.06 for these models (common practice).
    span_efficiency : float
        Span efficiency [1], above 0 up to 1.

    Returns
    -------
    float
        Drag [N].

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: parabolic polar, CD = CD0 + CL2 / (pi e AR), lifting-line theory (Prandtl).

    Examples
    --------
    >>> round(
    ...     level_drag(
    ...         weight=0.656 * 9.80665, wing_area=0.191, span=1.0, airspeed=15.0, density=1.225,
    ...         zero_lift_drag=0.035, span_efficiency=0.8,
    ...     ),
    ...     3,
    ... )
    1.041
    """
    require_positive(
        weight=weight,
        wing_area=wing_area,
        span=span,
        airspeed=airspeed,
        density=density,
        zero_lift_drag=zero_lift_drag,
        span_efficiency=span_efficiency,
    )
    require_between(0, 1, span_efficiency=span_efficiency)
    pressure = density * airspeed**2 / 2
    lift_coefficient = weight / (pressure * wing_area)
    aspect_ratio = span**2 / wing_area
    induced = lift_coefficient**2 / (math.pi * span_efficiency * aspect_ratio)
    return pressure * wing_area * (zero_lift_drag + induced)


def cruise_power(
    *,
    drag: float,
    airspeed: float,
    propeller_efficiency: float,
    motor_efficiency: float,
    controller_efficiency: float,
    other_power: float = 0.0,
) -> float:
    """Electrical power [W] for level flight from assumed efficiencies.

    Parameters
    ----------
    drag : float
        Drag [N].
    airspeed : float
        Airspeed [m/s].
    propeller_efficiency, motor_efficiency, controller_efficiency : float
        Efficiencies [1], above 0 up to 1.
    other_power : float
        Power of everything else [W].

    Returns
    -------
    float
        Power from the pack [W].

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: conservation of energy; prefer `point_for_thrust` when motor and propeller are known.
    """
    require_positive(drag=drag, airspeed=airspeed)
    require_not_negative(other_power=other_power)
    chain = 1.0
    for name, efficiency in (
        ("propeller efficiency", propeller_efficiency),
        ("motor efficiency", motor_efficiency),
        ("controller efficiency", controller_efficiency),
    ):
        require_positive(**{name: efficiency})
        require_between(0, 1, **{name: efficiency})
        chain *= efficiency
    return drag * airspeed / chain + other_power
