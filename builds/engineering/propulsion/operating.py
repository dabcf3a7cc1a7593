"""Where motor, propeller, leads and pack settle together.

The controller is taken as an ideal transformer with a resistance: at duty d the pack gives d times
the motor current. Validity: steady running, ripple and switching losses left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_not_negative,
    require_positive,
)
from builds.engineering.propulsion.circuit import Circuit
from builds.engineering.propulsion.motor import Motor, motor_torque
from builds.engineering.propulsion.propeller import Coefficients, Propeller

LOWEST_DUTY = 0.01
"""Duty below which a controller's timing, not these formulas, decides."""


@dataclass(frozen=True)
class OperatingPoint:
    """State of the drive; per motor unless the name says otherwise.

    speed [rad/s], motor_current [A], thrust [N], torque [N m], shaft_power [W], advance_ratio [1];
    for all motors: pack_current [A], pack_voltage at the pack's plug [V], controller_voltage [V],
    electrical_power into the controllers [W], total_thrust [N]. `is_held`: coefficients were held
    at the end of what was measured.
    """

    duty: float
    speed: float
    motor_current: float
    thrust: float
    torque: float
    shaft_power: float
    advance_ratio: float
    pack_current: float
    pack_voltage: float
    controller_voltage: float
    electrical_power: float
    total_thrust: float
    is_held: bool


@dataclass(frozen=True)
class EnergyBalance:
    """Where the power from the cells goes, all motors together [W]."""

    cells: float
    pack_heat: float
    lead_heat: float
    controller_heat: float
    winding_heat: float
    idle_loss: float
    shaft: float

    @property
    def residual(self) -> float:
        """What does not add up [W]: zero but for rounding."""
        used = self.pack_heat + self.lead_heat + self.controller_heat
        return self.cells - used - self.winding_heat - self.idle_loss - self.shaft


def static_point(
    *,
    motor: Motor,
    coefficients: Coefficients,
    diameter: float,
    circuit: Circuit,
    density: float,
    duty: float = 1.0,
) -> OperatingPoint:
    """Operating point at rest with given coefficients, in closed form.

    Parameters
    ----------
    motor : Motor
        Constants (SI).
    coefficients : Coefficients
        Static coefficients [1].
    diameter : float
        Diameter of the propeller [m].
    circuit : Circuit
        Pack, leads, controllers (V, ohm).
    density : float
        Air density [kg/m3].
    duty : float
        Share of the time that the controller is on [1], 0.01 to 1.

    Returns
    -------
    OperatingPoint
        SI.

    Raises
    ------
    OutOfRange
        If a value is out of range or the motor does not turn.

    Notes
    -----
    Source: M. Drela, First-Order DC Electric Motor Model (2007), with the torque of the propeller,
    Cp rho D5 w2 / (8 pi3); quadratic in the speed; independent derivation.
    """
    require_positive(density=density, diameter=diameter, power_coefficient=coefficients.power)
    _check_duty(duty)
    drag = coefficients.power * density * diameter**5 / (8 * math.pi**3)
    resistance = motor.resistance + circuit.resistance_per_motor(duty=duty)
    square = motor.speed_constant * drag * resistance
    linear = motor.torque_constant
    drive = duty * circuit.source.voltage - motor.idle_current * resistance
    if drive <= 0:
        raise OutOfRange("the motor does not turn: the idle current takes the whole voltage")
    # This form of the root keeps its digits when the propeller is very small.
    speed = 2 * drive / (linear + math.sqrt(linear**2 + 4 * square * drive))
    return _point(motor, coefficients, diameter, circuit, density, duty, speed, 0.0)


def operating_point(
    *,
    motor: Motor,
    propeller: Propeller,
    circuit: Circuit,
    density: float,
    duty: float = 1.0,
    airspeed: float = 0.0,
) -> OperatingPoint:
    """Operating point at an airspeed, with coefficients that may depend on it.

    Parameters
    ----------
    motor : Motor
        Constants (SI).
    propeller : Propeller
        Diameter [m] and coefficients [1].
    circuit : Circuit
        Pack, leads, controllers (V, ohm).
    density : float
        Air density [kg/m3].
    duty : float
        Share of the time that the controller is on [1], 0.01 to 1.
    airspeed : float
        Airspeed along the shaft [m/s], not negative.

    Returns
    -------
    OperatingPoint
        SI; look at `is_held` before believing it.

    Raises
    ------
    OutOfRange
        If a value is out of range or the motor does not turn.

    Notes
    -----
    Source: as `static_point`; the root in the speed is bracketed between rest and the speed of a
    motor without load (Brent's method, scipy).
    A pack pulled below half its voltage at rest gives less thrust at full than at part throttle.
    """
    require_positive(density=density)
    require_not_negative(airspeed=airspeed)
    _check_duty(duty)
    resistance = motor.resistance + circuit.resistance_per_motor(duty=duty)
    drive = duty * circuit.source.voltage - motor.idle_current * resistance
    if drive <= 0:
        raise OutOfRange("the motor does not turn: the idle current takes the whole voltage")
    unloaded = motor.speed_constant * drive

    def coefficients(speed: float) -> Coefficients:
        ratio = 2 * math.pi * airspeed / (speed * propeller.diameter)
        return propeller.coefficients.at(advance_ratio=ratio, speed=speed)

    def torque_left(speed: float) -> float:
        offered = (unloaded - speed) / (motor.speed_constant**2 * resistance)
        taken = _torque(coefficients(speed), density, propeller.diameter, speed)
        return offered - taken

    speed = float(brentq(torque_left, unloaded * 1e-9, unloaded, xtol=1e-12, rtol=1e-14))
    found = coefficients(speed)
    return _point(motor, found, propeller.diameter, circuit, density, duty, speed, airspeed)


def point_for_thrust(
    *,
    motor: Motor,
    propeller: Propeller,
    circuit: Circuit,
    density: float,
    thrust: float,
    airspeed: float = 0.0,
) -> OperatingPoint:
    """Operating point that gives a wanted thrust, as in level flight or hover.

    Parameters
    ----------
    motor : Motor
        Constants (SI).
    propeller : Propeller
        Diameter [m] and coefficients [1].
    circuit : Circuit
        Pack, leads, controllers (V, ohm).
    density : float
        Air density [kg/m3].
    thrust : float
        Thrust of all motors together [N], not negative.
    airspeed : float
        Airspeed along the shaft [m/s].

    Returns
    -------
    OperatingPoint
        At the duty that gives the thrust (SI).

    Raises
    ------
    OutOfRange
        If full duty does not give the thrust, or the lowest duty gives more.

    Notes
    -----
    Source: root of `operating_point` in the duty (Brent's method, scipy).
    """
    require_not_negative(thrust=thrust)

    def at(duty: float) -> OperatingPoint:
        return operating_point(
            motor=motor,
            propeller=propeller,
            circuit=circuit,
            density=density,
            duty=duty,
            airspeed=airspeed,
        )

    full = at(1.0)
    if full.total_thrust < thrust:
        raise OutOfRange(
            f"full throttle gives {full.total_thrust:.2f} N, less than the {thrust:.2f} N wanted"
        )
    low = _lowest_turning_duty(motor, circuit)
    if at(low).total_thrust > thrust:
        raise OutOfRange(f"the lowest throttle gives more than the {thrust:.2f} N wanted")
    duty = brentq(lambda d: at(d).total_thrust - thrust, low, 1.0, xtol=1e-13, rtol=1e-13)
    return at(float(duty))


def energy_balance(*, motor: Motor, circuit: Circuit, point: OperatingPoint) -> EnergyBalance:
    """Where the power from the cells goes.

    Parameters
    ----------
    motor : Motor
        Constants (SI).
    circuit : Circuit
        Pack, leads, controllers (V, ohm).
    point : OperatingPoint
        As found with the same motor and circuit.

    Returns
    -------
    EnergyBalance
        Powers of all motors together [W].

    Raises
    ------
    OutOfRange
        Never for a point that came from here.

    Notes
    -----
    Source: conservation of energy.
    """
    branch_current = point.duty * point.motor_current
    return EnergyBalance(
        cells=circuit.source.voltage * point.pack_current,
        pack_heat=point.pack_current**2 * circuit.source.resistance,
        lead_heat=point.pack_current**2 * circuit.shared_lead
        + circuit.motors * branch_current**2 * circuit.branch_lead,
        controller_heat=circuit.motors * point.motor_current**2 * circuit.controller,
        winding_heat=circuit.motors * point.motor_current**2 * motor.resistance,
        idle_loss=circuit.motors * motor.idle_current * point.speed / motor.speed_constant,
        shaft=circuit.motors * point.shaft_power,
    )


def _torque(coefficients: Coefficients, density: float, diameter: float, speed: float) -> float:
    return coefficients.power * density * diameter**5 * speed**2 / (8 * math.pi**3)


def _point(
    motor: Motor,
    coefficients: Coefficients,
    diameter: float,
    circuit: Circuit,
    density: float,
    duty: float,
    speed: float,
    airspeed: float,
) -> OperatingPoint:
    torque = _torque(coefficients, density, diameter, speed)
    current = motor.idle_current + torque * motor.speed_constant
    revolutions = speed / (2 * math.pi)
    thrust = coefficients.thrust * density * revolutions**2 * diameter**4
    pack_current = circuit.motors * duty * current
    pack_voltage = circuit.source.voltage - pack_current * circuit.source.resistance
    junction_voltage = pack_voltage - pack_current * circuit.shared_lead
    controller_voltage = junction_voltage - duty * current * circuit.branch_lead
    return OperatingPoint(
        duty=duty,
        speed=speed,
        motor_current=current,
        thrust=thrust,
        torque=motor_torque(motor=motor, current=current),
        shaft_power=torque * speed,
        advance_ratio=airspeed / (revolutions * diameter),
        pack_current=pack_current,
        pack_voltage=pack_voltage,
        controller_voltage=controller_voltage,
        electrical_power=controller_voltage * pack_current,
        total_thrust=circuit.motors * thrust,
        is_held=coefficients.is_held,
    )


def _lowest_turning_duty(motor: Motor, circuit: Circuit) -> float:
    """Duty just above the least that turns the motors: d U = I0 (R + d2 Rs), solved for d."""
    always = motor.resistance + circuit.controller
    with_duty = circuit.resistance_per_motor(duty=1.0) - circuit.controller
    voltage, idle = circuit.source.voltage, motor.idle_current
    root = math.sqrt(max(0.0, voltage**2 - 4 * idle**2 * always * with_duty))
    needed = 2 * idle * always / (voltage + root)
    return min(1.0, max(LOWEST_DUTY, 1.001 * needed))


def _check_duty(duty: float) -> None:
    require_between(LOWEST_DUTY, 1.0, duty=duty)
