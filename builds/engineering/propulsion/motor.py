"""Direct-current motor with three constants, brushless motors with their controller included.

Validity: steady running; resistance at the winding's temperature (copper rises 0.393 % a kelvin)
and idle current taken as constant, though it rises somewhat with speed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from builds.engineering.checks import OutOfRange, require_not_negative, require_positive


@dataclass(frozen=True)
class Motor:
    """Speed constant [rad/s/V], winding resistance [ohm], idle current [A]."""

    speed_constant: float
    resistance: float
    idle_current: float

    def __post_init__(self) -> None:
        """Refuse constants that no motor has."""
        require_positive(speed_constant=self.speed_constant, resistance=self.resistance)
        require_not_negative(idle_current=self.idle_current)

    @property
    def torque_constant(self) -> float:
        """Torque per ampere [N m/A], the reciprocal of the speed constant."""
        return 1 / self.speed_constant


def speed_constant(*, rpm_per_volt: float) -> float:
    """Speed constant [rad/s/V] from the trade's revolutions per minute and volt.

    Parameters
    ----------
    rpm_per_volt : float
        Speed constant [1/min/V].

    Returns
    -------
    float
        Speed constant [rad/s/V].

    Raises
    ------
    OutOfRange
        If the value is not greater than zero.

    Notes
    -----
    Source: 1 rpm = pi/30 rad/s.

    Examples
    --------
    >>> round(1 / speed_constant(rpm_per_volt=1000), 8)
    0.0095493
    """
    require_positive(rpm_per_volt=rpm_per_volt)
    return rpm_per_volt * math.pi / 30


def motor_speed(*, motor: Motor, voltage: float, current: float) -> float:
    """Speed [rad/s] of a motor.

    Parameters
    ----------
    motor : Motor
        Its constants (SI).
    voltage : float
        Voltage at the motor [V].
    current : float
        Motor current [A].

    Returns
    -------
    float
        Speed [rad/s].

    Raises
    ------
    OutOfRange
        If the voltage is spent in the winding: the motor does not turn.

    Notes
    -----
    Source: M. Drela, First-Order DC Electric Motor Model (2007): w = Kv (V - I R).
    """
    back_voltage = voltage - current * motor.resistance
    if back_voltage <= 0:
        raise OutOfRange("the motor does not turn: the winding takes the whole voltage")
    return motor.speed_constant * back_voltage


def motor_torque(*, motor: Motor, current: float) -> float:
    """Shaft torque [N m] of a motor.

    Parameters
    ----------
    motor : Motor
        Its constants (SI).
    current : float
        Motor current [A], at least the idle current.

    Returns
    -------
    float
        Torque [N m].

    Raises
    ------
    OutOfRange
        If the current is below the idle current.

    Notes
    -----
    Source: M. Drela, First-Order DC Electric Motor Model (2007): Q = (I - I0) / Kq,
    Kq = Kv.
    """
    if current < motor.idle_current:
        raise OutOfRange("the current is below the idle current: the motor would be driven")
    return (current - motor.idle_current) / motor.speed_constant


def motor_efficiency(*, motor: Motor, voltage: float, current: float) -> float:
    """Shaft power over electrical power, 0 to 1.

    Parameters
    ----------
    motor : Motor
        Its constants (SI).
    voltage : float
        Voltage at the motor [V].
    current : float
        Motor current [A].

    Returns
    -------
    float
        Efficiency [1].

    Raises
    ------
    OutOfRange
        If the motor does not turn or would be driven.

    Notes
    -----
    Source: M. Drela, First-Order DC Electric Motor Model (2007):
    (1 - I0/I)(1 - I R/V).

    Examples
    --------
    >>> motor = Motor(speed_constant(rpm_per_volt=1000), 0.1, 1.0)
    >>> round(motor_efficiency(motor=motor, voltage=10.0, current=20.0), 6)
    0.76
    """
    require_positive(voltage=voltage, current=current)
    speed = motor_speed(motor=motor, voltage=voltage, current=current)
    return motor_torque(motor=motor, current=current) * speed / (voltage * current)


def best_current(*, motor: Motor, voltage: float) -> float:
    """Current [A] of best efficiency.

    Parameters
    ----------
    motor : Motor
        Its constants (SI).
    voltage : float
        Voltage at the motor [V].

    Returns
    -------
    float
        Current [A].

    Raises
    ------
    OutOfRange
        If the voltage is too low to turn the motor even without load, or the motor has no idle
        current.

    Notes
    -----
    Source: derivative of `motor_efficiency`: sqrt(I0 V / R).

    Examples
    --------
    >>> motor = Motor(speed_constant(rpm_per_volt=1000), 0.1, 1.0)
    >>> round(best_current(motor=motor, voltage=10.0), 6)
    10.0
    """
    require_positive(voltage=voltage, idle_current=motor.idle_current)
    if voltage <= motor.idle_current * motor.resistance:
        raise OutOfRange("the motor does not turn: the winding takes the whole voltage")
    return math.sqrt(motor.idle_current * voltage / motor.resistance)


def rewound(*, motor: Motor, speed_ratio: float) -> Motor:
    """Return the same motor wound for another speed constant.

    Parameters
    ----------
    motor : Motor
        The motor as it is (SI).
    speed_ratio : float
        New speed constant over the old one [1].

    Returns
    -------
    Motor
        Resistance [ohm] divided by the ratio squared, idle current [A] times the ratio: the same
        copper in the same slots.

    Raises
    ------
    OutOfRange
        If the ratio is not greater than zero.

    Notes
    -----
    Source: turns N: Kv ~ 1/N, R ~ N2, I0 ~ 1/N at the same speed; independent derivation.
    """
    require_positive(speed_ratio=speed_ratio)
    return Motor(
        speed_constant=motor.speed_constant * speed_ratio,
        resistance=motor.resistance / speed_ratio**2,
        idle_current=motor.idle_current * speed_ratio,
    )


def warmed(*, motor: Motor, rise: float) -> Motor:
    """Return the motor with its winding warmer than when the resistance was measured.

    Parameters
    ----------
    motor : Motor
        The motor as measured near 20 degC (SI).
    rise : float
        Rise of temperature [K], not negative.

    Returns
    -------
    Motor
        With the resistance [ohm] raised by 0.393 % a kelvin.

    Raises
    ------
    OutOfRange
        If the rise is negative.

    Notes
    -----
    Source: IEC 60028, temperature coefficient of copper at 20 degC.
    """
    require_not_negative(rise=rise)
    return replace(motor, resistance=motor.resistance * (1 + 0.00393 * rise))
