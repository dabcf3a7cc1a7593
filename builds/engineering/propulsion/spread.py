"""How far the figures of a drive may be off, and which input decides.

One input at a time is moved by its standard uncertainty both ways, and the changes are combined as
independent (JCGM 100:2008, 5.1.2 and 5.1.3 note 2). No random numbers, so the same build always
shows the same band.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace

from builds.engineering.checks import require_between
from builds.engineering.propulsion.circuit import Circuit, Source
from builds.engineering.propulsion.motor import Motor
from builds.engineering.propulsion.operating import OperatingPoint, operating_point
from builds.engineering.propulsion.propeller import Propeller, ScaledCoefficients

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
class Moved:
    """Operating points: with the inputs as they are, and with each moved up and down."""

    settled: OperatingPoint
    either_way: Mapping[str, tuple[OperatingPoint, OperatingPoint]]


def move_inputs(
    *,
    motor: Motor,
    propeller: Propeller,
    circuit: Circuit,
    density: float,
    limits: Limits,
    duty: float = 1.0,
    airspeed: float = 0.0,
) -> Moved:
    """Operating points of a drive whose inputs are moved one at a time.

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
    duty, airspeed : float
        As for `operating_point` [1], [m/s].

    Returns
    -------
    Moved
        Eleven points, from which `band` reads any figure.

    Raises
    ------
    OutOfRange
        If a value is out of range or the motor does not turn.

    Notes
    -----
    Source: JCGM 100:2008, 4.3.7 (rectangular limits) and 5.1.3 note 2.
    """

    def at(factors: Factors) -> OperatingPoint:
        drive, blades, wires = _scaled(motor, propeller, circuit, factors)
        return operating_point(
            motor=drive,
            propeller=blades,
            circuit=wires,
            density=density,
            duty=duty,
            airspeed=airspeed,
        )

    shares = {field.name: getattr(limits, field.name) / math.sqrt(3) for field in fields(limits)}
    return Moved(
        settled=at(Factors()),
        either_way={
            name: (at(Factors(**{name: 1 + share})), at(Factors(**{name: 1 - share})))
            for name, share in shares.items()
        },
    )


def band(*, moved: Moved, figure: Callable[[OperatingPoint], float]) -> Band:
    """Band of one figure over the points of `move_inputs`.

    Parameters
    ----------
    moved : Moved
        The points (SI).
    figure : callable
        Takes the OperatingPoint and gives the figure, for instance its pack current [A].

    Returns
    -------
    Band
        Value, 95 % low and high in the figure's own unit, and the input that decides.

    Notes
    -----
    Source: JCGM 100:2008, 5.1.2 (combination), 6.2.1 (coverage).
    """
    changes = {
        name: abs(figure(up) - figure(down)) / 2 for name, (up, down) in moved.either_way.items()
    }
    half_width = COVERAGE * math.hypot(*changes.values())
    value = figure(moved.settled)
    dominant = max(changes, key=lambda name: changes[name])
    return Band(value, value - half_width, value + half_width, dominant)


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
    moved = move_inputs(
        motor=motor,
        propeller=propeller,
        circuit=circuit,
        density=density,
        limits=limits,
        duty=duty,
        airspeed=airspeed,
    )
    return band(moved=moved, figure=figure)


def _scaled(
    motor: Motor, propeller: Propeller, circuit: Circuit, factors: Factors
) -> tuple[Motor, Propeller, Circuit]:
    scaled_motor = replace(
        motor,
        speed_constant=motor.speed_constant * factors.speed_constant,
        resistance=motor.resistance * factors.winding_resistance,
    )
    blades = ScaledCoefficients(
        propeller.coefficients, factors.thrust_coefficient, factors.power_coefficient
    )
    source = Source(circuit.source.voltage, circuit.source.resistance * factors.pack_resistance)
    return (
        scaled_motor,
        replace(propeller, coefficients=blades),
        replace(circuit, source=source),
    )
