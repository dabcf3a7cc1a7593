"""Loading, speed and Reynolds number in flight, and what a multirotor needs to hover."""

from __future__ import annotations

from builds.engineering.atmosphere import kinematic_viscosity
from builds.engineering.flight import cubic_wing_loading, disc_area, reynolds_number
from builds.engineering.flight import disc_loading as disc_loading_of
from builds.engineering.propulsion import point_for_thrust
from builds.figures.air import read_air
from builds.figures.drive import read_drive
from builds.figures.endurance import CRUISE_OVER_STALL
from builds.figures.reading import Reading
from builds.figures.results import Figures, Input, NotKnown, Worked, propagate
from builds.figures.units import (
    GRAM,
    GRAM_FORCE,
    GRAM_PER_SQUARE_DECIMETRE,
    MILLIMETRE,
    PERCENT,
    SQUARE_DECIMETRE,
)
from builds.figures.wing import read_wing
from builds.records import BuildSnapshot

STANDARD_GRAVITY = 9.80665
CRUISE_LIMIT = 0.1
"""Standard uncertainty of a cruise speed as a share of it: common practice, no source."""

CUBIC_SOURCE = "Mass ready to fly over wing area to the power 1.5: definition."
CUBIC_NOTE = (
    "Compares models of different size; what counts as light is common practice, no source."
)
REYNOLDS_SOURCE = (
    "Speed times mean chord over kinematic viscosity: definition; viscosity by the U.S. Standard"
    " Atmosphere 1976, equations (51) and (52)."
)
REYNOLDS_NOTE = (
    "Below about 100 000 many wing sections lose lift and gain drag suddenly: common practice, no"
    " source."
)
CRUISE_SOURCE = "Stall speed times a usual ratio: common practice, no source."
DISC_SOURCE = "Mass ready to fly over the area that the propellers sweep: definition."
HOVER_SOURCE = (
    "Throttle at which the thrust equals the weight, by the first-order motor model (Drela,"
    " First-Order DC Electric Motor Model, 2007) with a fresh pack."
)
HOVER_NOTE = (
    "A share of the motors' voltage, not of the stick's way. What is left above it lifts and"
    " steers; it gets less as the pack empties."
)
NOT_A_MULTIROTOR = "Only a multirotor hangs on its propellers."


def cubic_loading(figures: Figures) -> Worked:
    """Cubic wing loading [kg/m3]."""
    auw, surface = figures.need("auw_g"), figures.need("wing_area_dm2")
    value, uncertainty = propagate(
        lambda n: cubic_wing_loading(mass=n[0], area=n[1]),
        [
            (auw.value * GRAM, auw.uncertainty * GRAM),
            (surface.value * SQUARE_DECIMETRE, surface.uncertainty * SQUARE_DECIMETRE),
        ],
    )
    inputs = (auw.as_input(), surface.as_input())
    note = f"{CUBIC_NOTE} {auw.note}".strip()
    return Worked(value, uncertainty, inputs, CUBIC_SOURCE, note, auw.left_out)


def cruise_speed(figures: Figures) -> Worked:
    """Speed in level cruise [m/s]: the one set for the build, else from the stall speed."""
    read_wing(figures)
    chosen = figures.snapshot.cruise_speed_m_s
    if chosen is not None:
        given = Input("this build: cruise speed (m/s)", chosen, "m/s", "build")
        return Worked(chosen, CRUISE_LIMIT * chosen, (given,), "As set for this build.")
    stall = figures.need("stall_speed_m_s")
    ratio = Input("cruise over stall speed", CRUISE_OVER_STALL, "", "assumed")
    value, uncertainty = propagate(
        lambda n: n[0] * n[1],
        [
            (stall.value, stall.uncertainty),
            (CRUISE_OVER_STALL, CRUISE_LIMIT * CRUISE_OVER_STALL),
        ],
    )
    inputs = (stall.as_input(), ratio)
    return Worked(value, uncertainty, inputs, CRUISE_SOURCE, stall.note, stall.left_out)


def reynolds(figures: Figures, *, speed: str) -> Worked:
    """Reynolds number of the mean chord at one of the speeds."""
    flown, chord = figures.need(speed), figures.need("mean_chord_mm")
    air = read_air(figures.snapshot)
    viscosity = kinematic_viscosity(temperature=air.temperature, density=air.density)
    value, uncertainty = propagate(
        lambda n: reynolds_number(speed=n[0], chord=n[1], kinematic_viscosity=viscosity),
        [
            (flown.value, flown.uncertainty),
            (chord.value * MILLIMETRE, chord.uncertainty * MILLIMETRE),
        ],
    )
    return Worked(
        value,
        uncertainty,
        (flown.as_input(), chord.as_input(), *air.inputs),
        REYNOLDS_SOURCE,
        " ".join(filter(None, (REYNOLDS_NOTE, air.note))),
        flown.left_out,
    )


def disc_loading(figures: Figures) -> Worked:
    """Mass over the area swept by the propellers of a multirotor [g/dm2]."""
    _check_multirotor(figures.snapshot)
    auw = figures.need("auw_g")
    reading = Reading()
    propellers = reading.fitted(figures.snapshot, "propeller")
    reading.check()
    diameter = reading.take_alike(propellers, "diameter_mm", "mm") * MILLIMETRE
    reading.check()
    count = sum(position.quantity for position in propellers)
    area = disc_area(diameter=diameter, count=count)
    thrust = auw.value * GRAM * STANDARD_GRAVITY
    loading = disc_loading_of(thrust=thrust, area=area) / STANDARD_GRAVITY
    value = loading / GRAM_PER_SQUARE_DECIMETRE
    return Worked(
        value,
        value * auw.uncertainty / auw.value,
        (auw.as_input(), *reading.inputs, Input("propellers", float(count), "", "build")),
        DISC_SOURCE,
        auw.note,
        auw.left_out,
    )


def hover_throttle(figures: Figures) -> Worked:
    """Share of full throttle at which a multirotor hovers [%]."""
    _check_multirotor(figures.snapshot)
    auw, most = figures.need_complete("auw_g"), figures.need("thrust_max_g")
    drive, air = read_drive(figures), figures.need("air_density_kg_m3")

    def duty(mass_g: float, thrust_g: float) -> float:
        # A drive that pulls more than worked out hovers as one with less to lift.
        return point_for_thrust(
            motor=drive.motor,
            propeller=drive.blades.propeller(),
            circuit=drive.circuit,
            density=air.value,
            thrust=mass_g * most.value / thrust_g * GRAM_FORCE,
        ).duty

    value, uncertainty = propagate(
        lambda n: duty(n[0], n[1]) / PERCENT,
        [(auw.value, auw.uncertainty), (most.value, most.uncertainty)],
    )
    return Worked(
        value,
        uncertainty,
        (auw.as_input(), most.as_input(), air.as_input(), *drive.inputs),
        HOVER_SOURCE,
        " ".join(filter(None, (HOVER_NOTE, most.note, air.note))),
    )


def _check_multirotor(snapshot: BuildSnapshot) -> None:
    airframe = snapshot.first("airframe")
    if airframe is None:
        raise NotKnown(["Airframe: nothing fitted"])
    if airframe.part and airframe.part.get("layout") != "multirotor":
        raise NotKnown((), NOT_A_MULTIROTOR)
