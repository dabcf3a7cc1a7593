"""The drive as fitted: motors, propellers, controllers, leads and pack, from records to SI."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import cast

from builds.engineering.propulsion import (
    GENERIC,
    MEASURED_PROPELLER,
    Circuit,
    ConstantCoefficients,
    Limits,
    Motor,
    Propeller,
    generic_propeller,
    speed_constant,
)
from builds.engineering.wiring import conductor_resistance, gauge_area
from builds.figures.packs import Packs, fitted_packs, join, read_pieces
from builds.figures.reading import Reading, named
from builds.figures.results import Figures, Input
from builds.figures.units import MILLIMETRE, MILLIOHM
from builds.records import BuildSnapshot, PositionRecord

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

    @property
    def limits(self) -> Limits:
        """How far the inputs of the drive may be off."""
        return MEASURED_PROPELLER if self.is_measured else GENERIC

    def propeller(self) -> Propeller:
        """The propeller in SI."""
        diameter = self.diameter_mm * MILLIMETRE
        if self.thrust is not None and self.power is not None:
            return Propeller(diameter, ConstantCoefficients(self.thrust, self.power))
        return generic_propeller(diameter=diameter, pitch=(self.pitch_mm or 0.0) * MILLIMETRE)


@dataclass(frozen=True)
class Drive:
    """Motor, propeller, packs and circuit in SI, and the inputs they came from."""

    motor: Motor
    blades: Blades
    packs: Packs
    circuit: Circuit
    inputs: tuple[Input, ...]


def read_drive(figures: Figures) -> Drive:
    """The drive as fitted.

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
    pieces = read_pieces(positions, reading)
    controller = _controller_mohm(snapshot, reading)
    lead = _lead_mohm(snapshot, reading)
    reading.check()
    packs = join(snapshot, pieces)
    return Drive(
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
    )


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
