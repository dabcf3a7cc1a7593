"""Figures of the drive at full throttle on the ground, with a fresh pack."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from builds.engineering.propulsion import OperatingPoint, band
from builds.engineering.propulsion import tip_mach as tip_mach_of
from builds.engineering.propulsion.spread import COVERAGE
from builds.figures.air import read_air
from builds.figures.drive import Drive, read_drive
from builds.figures.packs import full_v
from builds.figures.reading import Reading
from builds.figures.results import Figures, Worked, propagate
from builds.figures.units import GRAM_FORCE, MILLIMETRE, RPM

FULL_SOURCE = (
    "Cells in series times the voltage of a full cell; packs in series add up (Kirchhoff's voltage"
    " law), packs in parallel keep the voltage of one."
)
DRIVE_SOURCE = (
    "First-order motor model (Drela, First-Order DC Electric Motor Model, 2007) with the"
    " propeller's static torque, and pack, leads and controller as resistances. Interval: JCGM"
    " 100:2008, 4.3.7 and 5.1.2."
)
GENERIC_NOTE = (
    "The propeller is taken from pitch and diameter alone, Ct = 0.075 + 0.055 P/D and"
    " Cp = 0.022 + 0.042 P/D (common practice, no source), honest to about 15 %: a wattmeter on"
    " the bench settles it."
)
STATIC_NOTE = "Full throttle on the ground with a fresh pack; the motors alone."
NEW_PACK_NOTE = (
    "A worn pack is counted with the resistance that is usual for a new one: its wear must not"
    " hide what a better pack would do to motor and controller."
)
RATIO_SOURCE = "Static thrust of all motors over weight ready to fly: definition."


def pack_full(figures: Figures) -> Worked:
    """Voltage of the full pack [V]."""
    reading = Reading()
    voltage = full_v(figures.snapshot, reading)
    return Worked(voltage, 0.0, tuple(reading.inputs), FULL_SOURCE)


def pack_current(figures: Figures) -> Worked:
    """Current from the pack, or from all packs together, at full throttle [A]."""
    return _at_full(figures, lambda point: point.pack_current)


def current_of_each_pack(figures: Figures) -> Worked:
    """Current of the pack that gives most, at full throttle [A]."""
    packs = read_drive(figures).packs
    return _at_full(figures, lambda point: packs.largest_share(point.pack_current))


def motor_current(figures: Figures) -> Worked:
    """Current of one motor at full throttle [A], whatever the wear of the pack."""
    worked = _at_full(figures, lambda point: point.motor_current, is_new_pack=True)
    return replace(worked, note=f"{worked.note} {NEW_PACK_NOTE}")


def power(figures: Figures) -> Worked:
    """Electrical power into the controllers at full throttle [W]."""
    return _at_full(figures, lambda point: point.electrical_power)


def thrust(figures: Figures) -> Worked:
    """Static thrust of all motors [g]."""
    return _at_full(figures, lambda point: point.total_thrust / GRAM_FORCE)


def rpm(figures: Figures) -> Worked:
    """Speed of the propellers at full throttle on the ground [rpm]."""
    return _at_full(figures, lambda point: point.speed / RPM)


def tip_mach(figures: Figures) -> Worked:
    """Mach number of the blade tips at full throttle on the ground."""
    diameter = read_drive(figures).blades.diameter_mm * MILLIMETRE
    temperature = read_air(figures.snapshot).temperature
    return _at_full(
        figures,
        lambda point: tip_mach_of(speed=point.speed, diameter=diameter, temperature=temperature),
    )


def thrust_to_weight(figures: Figures) -> Worked:
    """Static thrust over weight ready to fly."""
    pull, auw = figures.need("thrust_max_g"), figures.need_complete("auw_g")
    value, uncertainty = propagate(
        lambda numbers: numbers[0] / numbers[1],
        [(pull.value, pull.uncertainty), (auw.value, auw.uncertainty)],
    )
    given = (pull.as_input(), auw.as_input())
    return Worked(value, uncertainty, given, RATIO_SOURCE, pull.note, dominant=pull.dominant)


def _at_full(
    figures: Figures, figure: Callable[[OperatingPoint], float], *, is_new_pack: bool = False
) -> Worked:
    drive, air = read_drive(figures, is_new_pack=is_new_pack), read_air(figures.snapshot)
    found = band(moved=drive.moved(density=air.density), figure=figure)
    return Worked(
        value=found.value,
        uncertainty=(found.high - found.low) / 2 / COVERAGE,
        inputs=(*drive.inputs, *air.inputs),
        source=DRIVE_SOURCE,
        note=f"{STATIC_NOTE} {basis_of(drive)}".strip(),
        dominant=found.dominant.replace("_", " "),
    )


def basis_of(drive: Drive) -> str:
    """What the coefficients of the propeller rest on, in a sentence; empty: on a measured sheet."""
    if drive.reading is None:
        return "" if drive.blades.is_measured else GENERIC_NOTE
    when = f" of {drive.reading.at:%d %b %Y}" if drive.reading.at else ""
    pull = "" if drive.reading.thrust_g else " It had no scale, so the thrust is not settled by it."
    return f"Settled by the reading on the bench{when} of this motor and propeller.{pull}"
