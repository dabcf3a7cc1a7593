"""How far the figures of a drive may be off, and which input decides.

One input at a time is moved by its standard uncertainty both ways, and the changes are combined as
independent (JCGM 100:2008, 5.1.2 and 5.1.3 note 2). No random numbers, so the same build always
shows the same band.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace

from builds.engineering.checks import require_between
from builds.engineering.propulsion.circuit import Circuit, Source
from builds.engineering.propulsion.motor import Motor
from builds.engineering.propulsion.operating import OperatingPoint, operating_point
from builds.engineering.propulsion.propeller import CoefficientModel, Coefficients, Propeller

COVERAGE = 1.96
"""Coverage factor for 95 %, normal distribution (JCGM 100:2008, table G.1)."""


@dataclass(frozen=True)
class Limits:
    """Plus and minus limits of the inputs as shares [1], taken as rectangular."""

    thrust_coefficient: float
    power_coefficient: float
    speed_constant: float
    winding_resistance: float
    pack_resistance: float

    def __post_init__(self) -> None:
        """Refuse limits that would let an input vanish."""
        for field in fields(self):
            require_between(0, 0.9, **{field.name.replace("_", " "): getattr(self, field.name)})


GENERIC = Limits(0.15, 0.25, 0.05, 0.30, 0.40)
"""Pitch and diameter only, maker's motor figures (engineering judgement)."""
MEASURED_PROPELLER = Limits(0.05, 0.05, 0.05, 0.30, 0.40)
"""Coefficients measured on this very propeller (engineering judgement)."""
CALIBRATED = Limits(0.03, 0.03, 0.02, 0.10, 0.20)
"""One full-throttle reading of this very drive (engineering judgement)."""


@dataclass(frozen=True)
class Band:
    """A figure with the ends of its 95 % band, and the input that widens it most."""

    value: float
    low: float
    high: float
    dominant: str


@dataclass(frozen=True)
class Factors:
    """What each input is multiplied by [1]."""

    thrust_coefficient: float = 1.0
    power_coefficient: float = 1.0
    speed_constant: float = 1.0
    winding_resistance: float = 1.0
    pack_resistance: float = 1.0


@dataclass(frozen=True)
class _Scaled:
    base: CoefficientModel
    thrust: float
    power: float

    def at(self, *, advance_ratio: float, speed: float) -> Coefficients:
        found = self.base.at(advance_ratio=advance_ratio, speed=speed)
        return replace(found, thrust=found.thrust * self.thrust, power=found.power * self.power)


def spread(
    *,
    motor: Motor,
    propeller: Propeller,
    circuit: Circuit,
    density: float,
    limits: Limits,
    figure: Callable[[OperatingPoint], float],
    duty: float = 1.0,
    airspeed: float = 0.0,
) -> Band:
    """Band of one figure of an operating point.

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
    limits : Limits
        Shares [1] by which the inputs may be off.
    figure : callable
        Takes the OperatingPoint and gives the figure, for instance its pack current [A].
    duty, airspeed : float
        As for `operating_point` [1], [m/s].

    Returns
    -------
    Band
        Value, 95 % low and high in the figure's own unit, and the input that decides.

    Raises
    ------
    OutOfRange
        If a value is out of range or the motor does not turn.

    Notes
    -----
    Source: JCGM 100:2008, 4.3.7 (rectangular limits), 5.1.2 (combination), 6.2.1 (coverage).
    """

    def at(factors: Factors) -> float:
        drive, blades, wires = _scaled(motor, propeller, circuit, factors)
        return figure(
            operating_point(
                motor=drive,
                propeller=blades,
                circuit=wires,
                density=density,
                duty=duty,
                airspeed=airspeed,
            )
        )

    shares = {field.name: getattr(limits, field.name) / math.sqrt(3) for field in fields(limits)}
    changes = {
        name: abs(at(Factors(**{name: 1 + share})) - at(Factors(**{name: 1 - share}))) / 2
        for name, share in shares.items()
    }
    half_width = COVERAGE * math.hypot(*changes.values())
    value = at(Factors())
    dominant = max(changes, key=lambda name: changes[name])
    return Band(value, value - half_width, value + half_width, dominant)


def _scaled(
    motor: Motor, propeller: Propeller, circuit: Circuit, factors: Factors
) -> tuple[Motor, Propeller, Circuit]:
    scaled_motor = replace(
        motor,
        speed_constant=motor.speed_constant * factors.speed_constant,
        resistance=motor.resistance * factors.winding_resistance,
    )
    blades = _Scaled(propeller.coefficients, factors.thrust_coefficient, factors.power_coefficient)
    source = Source(circuit.source.voltage, circuit.source.resistance * factors.pack_resistance)
    return (
        scaled_motor,
        replace(propeller, coefficients=blades),
        replace(circuit, source=source),
    )
