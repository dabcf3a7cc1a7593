"""The drive as fitted: motors, propellers, controllers, leads and pack, from records to SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import cast

from builds.engineering.propulsion import (
    CALIBRATED,
    GENERIC,
    MEASURED_PROPELLER,
    Circuit,
    ConstantCoefficients,
    Limits,
    Motor,
    Moved,
    Propeller,
    ScaledCoefficients,
    calibrate,
    generic_propeller,
    move_inputs,
    speed_constant,
)
from builds.engineering.propulsion import Reading as BenchReading
from builds.engineering.wiring import conductor_resistance, gauge_area
from builds.figures.air import air_of
from builds.figures.packs import Packs, fitted_packs, join, read_pieces
from builds.figures.reading import Reading, named
from builds.figures.results import Figures, Input
from builds.figures.units import GRAM_FORCE, MILLIMETRE, MILLIOHM, RPM
from builds.records import AirRecord, BuildSnapshot, PositionRecord, PowerReadingRecord

CONTROLLER_RESISTANCE_MOHM = 4.0
LEAD_RESISTANCE_MOHM = 6.0
"""Controller, and leads with plugs, where nothing better is known: common practice, no source."""
TWO_BLADES = 2


@dataclass(frozen=True)
class Blades:
    """What is known of the propellers: size [mm], static coefficients [1] where measured."""

    diameter_mm: float
    pitch_mm: float | None = None
    thrust: float | None = None
    power: float | None = None

    @property
    def is_measured(self) -> bool:
        """Are there coefficients of this very propeller."""
        return self.thrust is not None and self.power is not None

    def propeller(self) -> Propeller:
        """The propeller in SI."""
        diameter = self.diameter_mm * MILLIMETRE
        if self.thrust is not None and self.power is not None:
            return Propeller(diameter, ConstantCoefficients(self.thrust, self.power))
        return generic_propeller(diameter=diameter, pitch=(self.pitch_mm or 0.0) * MILLIMETRE)


@dataclass(frozen=True)
class Drive:
    """Motor, propeller, packs and circuit in SI, the inputs they came from, how far they err."""

    motor: Motor
    blades: Blades
    packs: Packs
    circuit: Circuit
    inputs: tuple[Input, ...]
    limits: Limits
    reading: PowerReadingRecord | None = None

    def moved(
        self,
        *,
        density: float,
        duty: float = 1.0,
        airspeed: float = 0.0,
        propeller: Propeller | None = None,
    ) -> Moved:
        """Operating points with each input moved; air in kg/m3, duty as a share, speed in m/s.

        `propeller` takes the place of the one as measured at rest.
        """
        blades, limits = propeller or self.blades.propeller(), self.limits
        if propeller is not None:
            # The shape in flight is as vague as pitch and diameter are.
            limits = replace(
                limits,
                thrust_coefficient=GENERIC.thrust_coefficient,
                power_coefficient=GENERIC.power_coefficient,
            )
        return _moved(self.motor, blades, self.circuit, density, limits, duty, airspeed)


# Every figure of a drive asks for the same points, and finding them is most of the work.
@lru_cache(maxsize=128)
def _moved(
    motor: Motor,
    propeller: Propeller,
    circuit: Circuit,
    density: float,
    limits: Limits,
    duty: float,
    airspeed: float,
) -> Moved:
    return move_inputs(
        motor=motor,
        propeller=propeller,
        circuit=circuit,
        density=density,
        limits=limits,
        duty=duty,
        airspeed=airspeed,
    )


def read_drive(figures: Figures, *, is_new_pack: bool = False) -> Drive:
    """The drive as fitted, on request with packs that are no worse than new ones usually are.

    Raises
    ------
    NotKnown
        Naming every value that is missing.
    OutOfRange
        When a value cannot be true.
    """
    reading, snapshot = Reading(), figures.snapshot
    motors = reading.fitted(snapshot, "motor")
    propellers = reading.fitted(snapshot, "propeller")
    positions = fitted_packs(snapshot, reading)
    reading.check()
    kv = reading.take_alike(motors, "kv_rpm_v", "rpm/V")
    winding = reading.take_alike(motors, "resistance_mohm", "mΩ")
    idle = reading.take_alike(motors, "no_load_current_a", "A")
    blades = _read_blades(propellers, reading)
    pieces = read_pieces(positions, reading, is_new=is_new_pack)
    controller = _controller_mohm(snapshot, reading)
    lead = _lead_mohm(snapshot, reading)
    reading.check()
    packs = join(snapshot, pieces)
    as_rated = Drive(
        motor=Motor(speed_constant(rpm_per_volt=kv), winding * MILLIOHM, idle),
        blades=blades,
        packs=packs,
        circuit=Circuit(
            source=packs.joined(),
            shared_lead=lead * MILLIOHM,
            controller=controller * MILLIOHM,
            motors=sum(position.quantity for position in motors),
        ),
        inputs=tuple(reading.inputs),
        limits=MEASURED_PROPELLER if blades.is_measured else GENERIC,
    )
    taken = reading_in_use(snapshot)
    return as_rated if taken is None else _as_read(as_rated, taken)


def reading_in_use(snapshot: BuildSnapshot) -> PowerReadingRecord | None:
    """The newest reading on the bench whose motor and propeller are both fitted still."""
    fitted = {
        kind: {position.part.id for position in snapshot.fitted(kind) if position.part}
        for kind in ("motor", "propeller")
    }
    newest_first = sorted(
        snapshot.power_readings, key=lambda one: (one.at is not None, one.at, one.id), reverse=True
    )
    return next(
        (
            reading
            for reading in newest_first
            if reading.motor_id in fitted["motor"] and reading.propeller_id in fitted["propeller"]
        ),
        None,
    )


def _as_read(drive: Drive, reading: PowerReadingRecord) -> Drive:
    """The drive with the constants that explain a reading of all its motors together."""
    motors = drive.circuit.motors
    found = calibrate(
        reading=BenchReading(
            voltage=reading.voltage_v,
            current=reading.current_a / motors,
            speed=reading.speed_rpm * RPM,
            thrust=reading.thrust_g / motors * GRAM_FORCE if reading.thrust_g else None,
        ),
        motor=drive.motor,
        controller_resistance=drive.circuit.controller,
        diameter=drive.blades.diameter_mm * MILLIMETRE,
        density=air_of(AirRecord(reading.elevation_m, reading.temperature_c, "asked")).density,
    )
    at_rest = drive.blades.propeller().coefficients.at(advance_ratio=0.0, speed=0.0)
    return replace(
        drive,
        motor=replace(drive.motor, speed_constant=found.speed_constant),
        blades=replace(
            drive.blades,
            thrust=found.thrust_coefficient or at_rest.thrust,
            power=found.power_coefficient,
        ),
        inputs=(*drive.inputs, *_reading_inputs(reading)),
        limits=_limits_after(reading, drive.limits),
        reading=reading,
    )


def _limits_after(reading: PowerReadingRecord, before: Limits) -> Limits:
    if reading.thrust_g is not None:
        return CALIBRATED
    # Without a scale on the bench the thrust is as vague as before.
    return replace(CALIBRATED, thrust_coefficient=before.thrust_coefficient)


def _reading_inputs(reading: PowerReadingRecord) -> tuple[Input, ...]:
    read = (
        ("reading on the bench: voltage", reading.voltage_v, "V"),
        ("reading on the bench: current", reading.current_a, "A"),
        ("reading on the bench: speed", reading.speed_rpm, "rpm"),
        ("reading on the bench: pull", reading.thrust_g, "g"),
        ("reading on the bench: elevation", reading.elevation_m, "m"),
        ("reading on the bench: temperature", reading.temperature_c, "°C"),
    )
    return tuple(
        Input(name, value, unit, "measured", reading.at)
        for name, value, unit in read
        if value is not None
    )


def propeller_in_flight(snapshot: BuildSnapshot, blades: Blades, reading: Reading) -> Propeller:
    """The propeller at an airspeed: its curve by pitch and diameter, through what was measured.

    Coefficients measured at rest do not hold in flight; they set where the curve begins.
    """
    propellers = snapshot.fitted("propeller")
    for position in propellers:
        if reading.take_or(position, "blade_count", "", TWO_BLADES) != TWO_BLADES:
            reading.missing.append(f"{position.title}: coefficients in flight")
    pitch = reading.take_alike(propellers, "pitch_mm", "mm")
    reading.check()
    generic = generic_propeller(diameter=blades.diameter_mm * MILLIMETRE, pitch=pitch * MILLIMETRE)
    if blades.thrust is None or blades.power is None:
        return generic
    at_rest = generic.coefficients.at(advance_ratio=0.0, speed=0.0)
    scaled = ScaledCoefficients(
        generic.coefficients, blades.thrust / at_rest.thrust, blades.power / at_rest.power
    )
    return replace(generic, coefficients=scaled)


def _controller_mohm(snapshot: BuildSnapshot, reading: Reading) -> float:
    controller = snapshot.first("speed_controller")
    if controller is None:
        return reading.assume("speed controller, resistance", CONTROLLER_RESISTANCE_MOHM, "mΩ")
    return reading.take_or(controller, "resistance_mohm", "mΩ", CONTROLLER_RESISTANCE_MOHM)


def _lead_mohm(snapshot: BuildSnapshot, reading: Reading) -> float:
    """Resistance of the main lead: of several, the thickest carries the motors' current."""
    described = [
        position
        for position in snapshot.fitted("lead")
        if position.part and {"gauge_awg", "loop_length_mm"} <= position.part.values.keys()
    ]
    if not described:
        return reading.assume("leads and plugs, resistance", LEAD_RESISTANCE_MOHM, "mΩ")
    main = min(described, key=_gauge)
    length = reading.take(main, "loop_length_mm", "mm") * MILLIMETRE
    if main.part and main.part.known("resistance_mohm_m"):
        return reading.take(main, "resistance_mohm_m", "mΩ/m") * length
    # The formula itself refuses a gauge that is not a whole number.
    gauge = cast(int, reading.take(main, "gauge_awg", "AWG"))
    return conductor_resistance(area=gauge_area(gauge=gauge), length=length) / MILLIOHM


def _gauge(position: PositionRecord) -> float:
    return float(position.part.get("gauge_awg")) if position.part else math.inf


def _read_blades(propellers: tuple[PositionRecord, ...], reading: Reading) -> Blades:
    diameter = reading.take_alike(propellers, "diameter_mm", "mm")
    if _all_know(propellers, "thrust_coefficient") and _all_know(propellers, "power_coefficient"):
        return Blades(
            diameter,
            thrust=reading.take_alike(propellers, "thrust_coefficient", ""),
            power=reading.take_alike(propellers, "power_coefficient", ""),
        )
    for position in propellers:
        # A size without a number of blades means two: common practice, no source.
        if reading.take_or(position, "blade_count", "", TWO_BLADES) != TWO_BLADES:
            names = ("thrust_coefficient", "power_coefficient")
            reading.missing.extend(named(position, name) for name in names)
    return Blades(diameter, pitch_mm=reading.take_alike(propellers, "pitch_mm", "mm"))


def _all_know(positions: tuple[PositionRecord, ...], name: str) -> bool:
    return all(position.part and position.part.known(name) for position in positions)
