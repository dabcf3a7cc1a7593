"""Coefficients of this very motor and propeller from one full-throttle reading on the bench."""

from __future__ import annotations

import math
from dataclasses import dataclass

from builds.engineering.checks import OutOfRange, require_not_negative, require_positive
from builds.engineering.propulsion.bounds import static_figure_of_merit
from builds.engineering.propulsion.motor import Motor, motor_torque


@dataclass(frozen=True)
class Reading:
    """One static full-throttle reading.

    voltage at the controller [V], current [A], speed [rad/s], thrust [N] or None when no scale was
    at hand.
    """

    voltage: float
    current: float
    speed: float
    thrust: float | None = None

    def __post_init__(self) -> None:
        """Refuse readings that no bench gives."""
        require_positive(voltage=self.voltage, current=self.current, speed=self.speed)
        if self.thrust is not None:
            require_positive(thrust=self.thrust)


@dataclass(frozen=True)
class Calibration:
    """Speed constant [rad/s/V], coefficients [1], shaft power [W], figure of merit [1]."""

    speed_constant: float
    power_coefficient: float
    shaft_power: float
    thrust_coefficient: float | None
    figure_of_merit: float | None


def calibrate(
    *,
    reading: Reading,
    motor: Motor,
    controller_resistance: float,
    diameter: float,
    density: float,
) -> Calibration:
    """Speed constant and coefficients that explain one full-throttle reading.

    Parameters
    ----------
    reading : Reading
        Voltage at the controller [V], current [A], speed [rad/s], thrust [N].
    motor : Motor
        Resistance [ohm] and idle current [A] are used; the speed constant [rad/s/V] is found anew.
    controller_resistance : float
        Resistance of the controller [ohm], not negative.
    diameter : float
        Diameter of the propeller [m].
    density : float
        Air density at the bench [kg/m3].

    Returns
    -------
    Calibration
        With about 5 % left over for other packs and altitudes (engineering judgement).

    Raises
    ------
    OutOfRange
        If the current is not above the idle current, the winding takes the whole voltage, or the
        thrust beats momentum theory: then a reading or its unit is wrong.

    Notes
    -----
    Source: M. Drela, First-Order DC Electric Motor Model (2007), solved for Kv and the torque.
    """
    require_not_negative(controller_resistance=controller_resistance)
    require_positive(diameter=diameter, density=density)
    if reading.current <= motor.idle_current:
        raise OutOfRange("the current read is not above the motor's idle current")
    drop = reading.current * (motor.resistance + controller_resistance)
    back_voltage = reading.voltage - drop
    if back_voltage <= 0:
        raise OutOfRange("the winding would take the whole voltage: check current and resistance")
    constant = reading.speed / back_voltage
    measured = Motor(constant, motor.resistance, motor.idle_current)
    shaft_power = motor_torque(motor=measured, current=reading.current) * reading.speed
    revolutions = reading.speed / (2 * math.pi)
    power_coefficient = shaft_power / (density * revolutions**3 * diameter**5)
    if reading.thrust is None:
        return Calibration(constant, power_coefficient, shaft_power, None, None)
    thrust_coefficient = reading.thrust / (density * revolutions**2 * diameter**4)
    merit = static_figure_of_merit(
        thrust_coefficient=thrust_coefficient, power_coefficient=power_coefficient
    )
    return Calibration(constant, power_coefficient, shaft_power, thrust_coefficient, merit)
