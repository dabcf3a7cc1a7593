"""Loading, stall, turning, Reynolds number and ideal hover."""

import math

from builds.engineering.checks import require_between, require_positive

STANDARD_GRAVITY = 9.80665


def wing_loading(*, mass: float, area: float) -> float:
    """Return the wing loading [kg/m2].

    Parameters
    ----------
    mass : float
        Mass ready to fly [kg].
    area : float
        Wing area [m2].

    Returns
    -------
    float
        Wing loading [kg/m2].

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Definition.

    >>> round(wing_loading(mass=1.0, area=0.25), 6)
    4.0
    """
    require_positive(mass=mass, area=area)
    return mass / area


def cubic_wing_loading(*, mass: float, area: float) -> float:
    """Return the cubic wing loading, which compares models of different size [kg/m3].

    Parameters
    ----------
    mass : float
        Mass ready to fly [kg].
    area : float
        Wing area [m2].

    Returns
    -------
    float
        Mass over area to the power 1.5 [kg/m3]; 1 oz/ft3 is 1.00115 kg/m3.

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Definition by dimension; its classes are common practice, no source.

    >>> round(cubic_wing_loading(mass=1.0, area=0.25), 6)
    8.0
    """
    require_positive(mass=mass, area=area)
    loading: float = mass / area**1.5
    return loading


def stall_speed(
    *,
    mass: float,
    area: float,
    max_lift_coefficient: float,
    density: float,
    load_factor: float = 1.0,
) -> float:
    """Return the stall speed [m/s].

    Parameters
    ----------
    mass : float
        Mass ready to fly [kg].
    area : float
        Wing area [m2].
    max_lift_coefficient : float
        Greatest lift coefficient of the whole wing, 0.2 to 3.
    density : float
        Density of the air [kg/m3].
    load_factor : float
        Lift over weight, 1 in straight and level flight.

    Returns
    -------
    float
        Stall speed [m/s], true airspeed.

    Raises
    ------
    OutOfRange
        When an argument is outside its range.

    Notes
    -----
    No better than the lift coefficient, which at the size of a model is seldom known within 15 %.

    Source
    ------
    Lift equation, FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), chapter 5,
    solved for the speed; grows with the square root of the load factor (same chapter).

    >>> round(stall_speed(mass=1.0, area=0.25, max_lift_coefficient=1.0, density=1.225), 3)
    8.003
    """
    require_positive(mass=mass, area=area, density=density, load_factor=load_factor)
    require_between(0.2, 3, max_lift_coefficient=max_lift_coefficient)
    weight = mass * STANDARD_GRAVITY * load_factor
    speed: float = (2 * weight / (density * area * max_lift_coefficient)) ** 0.5
    return speed


def load_factor_in_bank(*, bank: float) -> float:
    """Return the load factor of a level turn [1].

    Parameters
    ----------
    bank : float
        Angle of bank [rad], from -80 to 80 degrees.

    Returns
    -------
    float
        Lift over weight [1].

    Raises
    ------
    OutOfRange
        When the bank is steeper than 80 degrees.

    Source
    ------
    FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), chapter 5, load factors in steep
    turns: 1 / cos(bank).

    >>> round(load_factor_in_bank(bank=math.radians(60)), 6)
    2.0
    """
    require_between(-math.radians(80), math.radians(80), bank=bank)
    return 1 / math.cos(bank)


def reynolds_number(*, speed: float, chord: float, kinematic_viscosity: float) -> float:
    """Return the Reynolds number of a chord [1].

    Parameters
    ----------
    speed : float
        True airspeed [m/s].
    chord : float
        Chord [m].
    kinematic_viscosity : float
        Of the air [m2/s].

    Returns
    -------
    float
        Reynolds number [1].

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Definition.

    >>> round(reynolds_number(speed=10.0, chord=0.2, kinematic_viscosity=1.46072e-5))
    136919
    """
    require_positive(speed=speed, chord=chord, kinematic_viscosity=kinematic_viscosity)
    return speed * chord / kinematic_viscosity


def disc_area(*, diameter: float, count: int = 1) -> float:
    """Return the area swept by propellers that do not overlap [m2].

    Parameters
    ----------
    diameter : float
        Propeller diameter [m].
    count : int
        Number of propellers.

    Returns
    -------
    float
        Swept area [m2].

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Area of a circle.

    >>> round(disc_area(diameter=0.254), 6)
    0.050671
    """
    require_positive(diameter=diameter, count=count)
    return count * math.pi * diameter**2 / 4


def disc_loading(*, thrust: float, area: float) -> float:
    """Return the disc loading [N/m2].

    Parameters
    ----------
    thrust : float
        Thrust of all propellers [N].
    area : float
        Swept area of all propellers [m2].

    Returns
    -------
    float
        Disc loading [N/m2].

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Definition.

    >>> round(disc_loading(thrust=9.80665, area=0.05), 3)
    196.133
    """
    require_positive(thrust=thrust, area=area)
    return thrust / area


def induced_velocity(*, thrust: float, area: float, density: float) -> float:
    """Return the velocity through an ideal rotor in hover [m/s].

    Parameters
    ----------
    thrust : float
        Thrust of all propellers [N].
    area : float
        Swept area of all propellers [m2].
    density : float
        Density of the air [kg/m3].

    Returns
    -------
    float
        Induced velocity in the plane of the rotor [m/s].

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Momentum theory, sqrt(T / (2 rho A)); Leishman, Principles of Helicopter Aerodynamics,
    section 2.2 (from memory, not verified).

    >>> round(induced_velocity(thrust=9.80665, area=0.050671, density=1.225), 3)
    8.888
    """
    require_positive(thrust=thrust, area=area, density=density)
    velocity: float = (thrust / (2 * density * area)) ** 0.5
    return velocity


def ideal_hover_power(*, thrust: float, area: float, density: float) -> float:
    """Return the least power that can hold a thrust in still air [W].

    Parameters
    ----------
    thrust : float
        Thrust of all propellers [N].
    area : float
        Swept area of all propellers [m2].
    density : float
        Density of the air [kg/m3].

    Returns
    -------
    float
        Ideal power [W]; a real propeller needs half as much again to four times as much at
        its shaft.

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Momentum theory, T sqrt(T / (2 rho A)); Leishman, Principles of Helicopter Aerodynamics,
    section 2.2 (from memory, not verified).

    >>> round(ideal_hover_power(thrust=9.80665, area=0.0506707, density=1.225), 2)
    87.16
    """
    return thrust * induced_velocity(thrust=thrust, area=area, density=density)
