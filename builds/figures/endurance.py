"""How long a charge lasts in level cruise or in hover."""

from __future__ import annotations

from builds.engineering.atmosphere import SEA_LEVEL_DENSITY
from builds.engineering.mass import rectangular_uncertainty
from builds.engineering.propulsion import (
    OperatingPoint,
    Propeller,
    endurance_from_power,
    generic_propeller,
    level_drag,
    point_for_thrust,
)
from builds.figures.drive import TWO_BLADES, Drive, read_drive
from builds.figures.packs import capacity_mah
from builds.figures.reading import Reading
from builds.figures.results import Figure, Figures, Worked
from builds.figures.units import (
    GRAM_FORCE,
    MILLIAMPERE_HOUR,
    MILLIMETRE,
    MINUTE,
    SQUARE_DECIMETRE,
)

CRUISE_OVER_STALL = 1.6
ZERO_LIFT_DRAG = 0.035
SPAN_EFFICIENCY = 0.8
OTHER_POWER_W = 8.0
RESERVE = 0.2
"""What cruise is taken to be: common practice, no source."""
LIMIT = 0.30
"""Limit of the whole estimate as a share of it: engineering judgement, no source."""

SOURCE = (
    "Thrust equal to drag (parabolic polar, lifting-line theory) or, for a multirotor, to weight;"
    " drive by the first-order motor model (Drela 2007); charge over current; standard sea level."
)
NOTE = (
    "A steady cruise without wind, landing with a fifth of the charge left; full throttle takes"
    " far more. An estimate to about 30 %: the log of real flights is better."
)


def endurance(figures: Figures) -> Worked:
    """Minutes that a charge lasts in level cruise, or in hover for a multirotor."""
    auw = figures.need_complete("auw_g")
    drive = read_drive(figures)
    reading = Reading()
    charge_mah = capacity_mah(figures.snapshot, reading)
    airframe = figures.snapshot.airframe
    is_multirotor = airframe is not None and airframe.get("layout") == "multirotor"
    point = _hover(drive, auw) if is_multirotor else _cruise(figures, drive, auw, reading)
    other = reading.assume("everything but the motors", OTHER_POWER_W, "W")
    reserve = reading.assume("share of the charge left at landing", RESERVE, "")
    # Energy at the voltage under this load, so that charge and current are what is compared.
    seconds = endurance_from_power(
        energy=charge_mah * MILLIAMPERE_HOUR * point.pack_voltage,
        reserve=reserve,
        power=point.pack_voltage * point.pack_current + other,
    )
    return Worked(
        value=seconds / MINUTE,
        uncertainty=rectangular_uncertainty(half_width=LIMIT * seconds) / MINUTE,
        inputs=(auw.as_input(), *drive.inputs, *reading.inputs),
        source=SOURCE,
        note=NOTE,
    )


def _hover(drive: Drive, auw: Figure) -> OperatingPoint:
    return _point(drive, drive.blades.propeller(), thrust=auw.value * GRAM_FORCE)


def _cruise(figures: Figures, drive: Drive, auw: Figure, reading: Reading) -> OperatingPoint:
    area, span = figures.need("wing_area_dm2"), figures.need("wing_span_mm")
    stall = figures.need("stall_speed_m_s")
    faster = reading.assume("cruise over stall speed", CRUISE_OVER_STALL, "")
    drag = level_drag(
        weight=auw.value * GRAM_FORCE,
        wing_area=area.value * SQUARE_DECIMETRE,
        span=span.value * MILLIMETRE,
        airspeed=faster * stall.value,
        density=SEA_LEVEL_DENSITY,
        zero_lift_drag=reading.assume("drag coefficient without lift", ZERO_LIFT_DRAG, ""),
        span_efficiency=reading.assume("span efficiency", SPAN_EFFICIENCY, ""),
    )
    reading.inputs.extend(one.as_input() for one in (area, span, stall))
    propeller = _in_flight(figures, reading)
    return _point(drive, propeller, thrust=drag, airspeed=faster * stall.value)


def _in_flight(figures: Figures, reading: Reading) -> Propeller:
    """The propeller by pitch and diameter: coefficients measured at rest do not hold in flight."""
    propellers = figures.snapshot.fitted("propeller")
    for position in propellers:
        if reading.take_or(position, "blade_count", "", TWO_BLADES) != TWO_BLADES:
            reading.missing.append(f"{position.title}: coefficients in flight")
    diameter = reading.take_alike(propellers, "diameter_mm", "mm")
    pitch = reading.take_alike(propellers, "pitch_mm", "mm")
    reading.check()
    return generic_propeller(diameter=diameter * MILLIMETRE, pitch=pitch * MILLIMETRE)


def _point(
    drive: Drive, propeller: Propeller, *, thrust: float, airspeed: float = 0.0
) -> OperatingPoint:
    return point_for_thrust(
        motor=drive.motor,
        propeller=propeller,
        circuit=drive.circuit,
        density=SEA_LEVEL_DENSITY,
        thrust=thrust,
        airspeed=airspeed,
    )
