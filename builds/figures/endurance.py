"""How long a charge lasts: the chosen flight, in cruise or hover alone, at full throttle alone."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial

from builds.engineering.mass import rectangular_uncertainty
from builds.engineering.propulsion import (
    Circuit,
    Endurance,
    OperatingPoint,
    Propeller,
    endurance_from_currents,
    level_drag,
    operating_point,
    point_for_thrust,
)
from builds.figures.air import Air, read_air
from builds.figures.drive import Drive, propeller_in_flight, read_drive
from builds.figures.packs import capacity_mah
from builds.figures.reading import Reading
from builds.figures.results import COVERAGE_FACTOR, Figures, Input, Maker, Worked
from builds.figures.units import (
    GRAM_FORCE,
    MILLIAMPERE_HOUR,
    MILLIMETRE,
    MINUTE,
    PERCENT,
    SQUARE_DECIMETRE,
)

CRUISE_OVER_STALL = 1.6
ZERO_LIFT_DRAG = 0.035
SPAN_EFFICIENCY = 0.8
OTHER_POWER_W = 8.0
RESERVE_PERCENT = 20.0
FULL_SHARE_PERCENT = 0.0
"""What a flight is taken to be, where nobody said: common practice, no source."""
LIMIT = 0.30
"""Limit of the whole estimate as a share of it: engineering judgement, no source."""
LEAST_POWER_SHARE, POWER_STEPS = 0.4, 16

SOURCE = (
    "Thrust equal to drag (parabolic polar, lifting-line theory) or, for a multirotor, to weight;"
    " drive by the first-order motor model (Drela 2007); the battery's current is the duty times"
    " the motors'; charge over current."
)
NOTE = (
    "A flight without wind, climb or turns, landing with the reserve left. An estimate to about"
    " 30 %: the log of real flights is better."
)


@dataclass(frozen=True)
class Flight:
    """The chosen flight in SI: cruise or hover, full throttle at that speed, times, inputs."""

    airspeed: float
    cruise: OperatingPoint
    full: OperatingPoint
    circuit: Circuit
    times: Endurance
    inputs: tuple[Input, ...]


@dataclass(frozen=True)
class MinutePoint:
    """Minutes in cruise at an electrical power [W], with the ends of their 95 % interval."""

    power_w: float
    minutes: float
    low_min: float
    high_min: float


Of = Callable[[Flight], float]
Make = Callable[[Flight, Of], Worked]


def endurance(figures: Figures) -> Worked:
    """Minutes that a charge lasts in the chosen flight."""
    return _estimate(read_flight(figures), lambda flight: flight.times.mixed / MINUTE)


def flight_figures(figures: Figures) -> Figures:
    """The chosen flight by name: its cruise or hover, and how long a charge lasts."""
    read = cache(partial(read_flight, figures))
    makers = {
        name: Maker(unit, partial(_work, make=make, read=read, of=of))
        for name, (unit, make, of) in MAKERS.items()
    }
    return Figures(figures.snapshot, makers)


def _work(_: Figures, *, make: Make, read: Callable[[], Flight], of: Of) -> Worked:
    return make(read(), of)


def read_flight(figures: Figures) -> Flight:
    """The flight that the build's set-up chooses, with its packs and air.

    Raises
    ------
    NotKnown
        Naming every value that is missing.
    OutOfRange
        When a value cannot be true, or the drive cannot hold the flight.
    """
    auw = figures.need_complete("auw_g")
    drive, air, reading = read_drive(figures), read_air(figures.snapshot), Reading()
    charge = capacity_mah(figures.snapshot, reading) * MILLIAMPERE_HOUR
    weight = auw.value * GRAM_FORCE
    airframe = figures.snapshot.airframe
    if airframe is not None and airframe.get("layout") == "multirotor":
        propeller, thrust, airspeed = drive.blades.propeller(), weight, 0.0
    else:
        cruise_speed = figures.need("cruise_speed_m_s")
        reading.inputs.append(cruise_speed.as_input())
        airspeed = cruise_speed.value
        thrust = _drag(figures, weight, airspeed, air, reading)
        propeller = propeller_in_flight(figures.snapshot, drive.blades, reading)
    cruise = _at_thrust(drive, propeller, air, thrust, airspeed)
    full = operating_point(
        motor=drive.motor,
        propeller=propeller,
        circuit=drive.circuit,
        density=air.density,
        airspeed=airspeed,
    )
    times = endurance_from_currents(
        charge=charge,
        reserve=_percent(figures, "reserve_percent", RESERVE_PERCENT, reading),
        cruise_current=cruise.pack_current,
        full_current=full.pack_current,
        full_share=_percent(figures, "full_throttle_share_percent", FULL_SHARE_PERCENT, reading),
        other_current=reading.assume("everything but the motors", OTHER_POWER_W, "W")
        / cruise.pack_voltage,
    )
    inputs = (auw.as_input(), *drive.inputs, *air.inputs, *reading.inputs)
    return Flight(airspeed, cruise, full, drive.circuit, times, inputs)


def endurance_over_power(flight: Flight) -> tuple[MinutePoint, ...]:
    """Minutes in cruise over the electrical power of cruise [W], from little to full power."""
    least = LEAST_POWER_SHARE * flight.cruise.electrical_power
    ratio = flight.full.electrical_power / least
    powers = [least * ratio ** (step / POWER_STEPS) for step in range(POWER_STEPS + 1)]
    return tuple(_point(power, _minutes_at(flight, power)) for power in powers)


def _point(power: float, minutes: float) -> MinutePoint:
    half_width = COVERAGE_FACTOR * rectangular_uncertainty(half_width=LIMIT * minutes)
    return MinutePoint(power, minutes, minutes - half_width, minutes + half_width)


def _minutes_at(flight: Flight, power: float) -> float:
    """Minutes at a power into the controllers [W], which is what pack and lead leave over."""
    source = flight.circuit.source
    resistance = source.resistance + flight.circuit.shared_lead
    root = math.sqrt(max(0.0, source.voltage**2 - 4 * resistance * power))
    # This form of the root keeps its digits when there is hardly any resistance.
    current = 2 * power / (source.voltage + root)
    other = OTHER_POWER_W / flight.cruise.pack_voltage
    return flight.times.charge_used / (current + other) / MINUTE


def _estimate(flight: Flight, of: Of) -> Worked:
    value = of(flight)
    return Worked(
        value, rectangular_uncertainty(half_width=LIMIT * value), flight.inputs, SOURCE, NOTE
    )


def _chosen(flight: Flight, of: Of) -> Worked:
    return Worked(of(flight), 0.0, flight.inputs, SOURCE)


def _drag(figures: Figures, weight: float, airspeed: float, air: Air, reading: Reading) -> float:
    area, span = figures.need("wing_area_dm2"), figures.need("wing_span_mm")
    reading.inputs.extend(one.as_input() for one in (area, span))
    return level_drag(
        weight=weight,
        wing_area=area.value * SQUARE_DECIMETRE,
        span=span.value * MILLIMETRE,
        airspeed=airspeed,
        density=air.density,
        zero_lift_drag=reading.assume("drag coefficient without lift", ZERO_LIFT_DRAG, ""),
        span_efficiency=reading.assume("span efficiency", SPAN_EFFICIENCY, ""),
    )


def _percent(figures: Figures, name: str, otherwise: float, reading: Reading) -> float:
    chosen = getattr(figures.snapshot, name)
    words = f"this build: {name.removesuffix('_percent').replace('_', ' ')} (%)"
    if chosen is None:
        return reading.assume(words, otherwise, "%") * PERCENT
    reading.inputs.append(Input(words, chosen, "%", "build"))
    return float(chosen) * PERCENT


def _at_thrust(
    drive: Drive, propeller: Propeller, air: Air, thrust: float, airspeed: float
) -> OperatingPoint:
    return point_for_thrust(
        motor=drive.motor,
        propeller=propeller,
        circuit=drive.circuit,
        density=air.density,
        thrust=thrust,
        airspeed=airspeed,
    )


MAKERS: dict[str, tuple[str, Make, Of]] = {
    "endurance_min": ("min", _estimate, lambda flight: flight.times.mixed / MINUTE),
    "endurance_cruise_min": ("min", _estimate, lambda flight: flight.times.cruise_only / MINUTE),
    "endurance_full_min": ("min", _estimate, lambda flight: flight.times.full_only / MINUTE),
    "flight_throttle_percent": ("%", _estimate, lambda flight: flight.cruise.duty / PERCENT),
    "flight_current_a": ("A", _estimate, lambda flight: flight.cruise.pack_current),
    "flight_power_w": ("W", _estimate, lambda flight: flight.cruise.electrical_power),
    "charge_used_mah": (
        "mAh", _chosen, lambda flight: flight.times.charge_used / MILLIAMPERE_HOUR,
    ),
}  # fmt: skip
