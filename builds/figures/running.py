"""The drive as it runs at a throttle and an airspeed, each figure with what widens it most."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial

from builds.engineering.checks import OutOfRange
from builds.engineering.propulsion import Band, Moved, OperatingPoint, band, pitch_speed, tip_mach
from builds.engineering.propulsion.spread import COVERAGE
from builds.figures.air import Air, read_air
from builds.figures.drive import Drive, propeller_in_flight, read_drive
from builds.figures.power import DRIVE_SOURCE, RATIO_SOURCE, basis_of
from builds.figures.reading import Reading
from builds.figures.results import Figures, Input, Maker, Worked, propagate
from builds.figures.units import GRAM_FORCE, MILLIMETRE, PERCENT, RPM

STEPS = 10
"""Points of a curve over the throttle."""
FLIGHT_SOURCE = (
    " In flight the propeller's curve over the advance ratio is that of two measured propellers"
    " (Brandt and Selig, AIAA 2011-1255; Deters et al., AIAA 2014-2151) stretched to this pitch."
)
BATTERY_NOTE = "The battery gives the duty times the motors' current."
PITCH_NOTE = (
    "Pitch times revolutions: a label for comparing propellers, not a top speed. Two that were"
    " measured still pulled at 19 % and 43 % more."
)
EFFICIENCY_NOTE = "Shaft power over the power into the speed controllers."
PROPULSIVE_NOTE = "Thrust times airspeed over the power into the speed controllers."


@dataclass(frozen=True)
class Running:
    """How the drive runs: duty as a share from 0.01 to 1, airspeed along the shaft in m/s."""

    duty: float = 1.0
    airspeed_m_s: float = 0.0


@dataclass(frozen=True)
class CurvePoint:
    """Pack current [A] and thrust of all motors [g] at a duty, as bands."""

    duty: float
    current_a: Band
    thrust_g: Band


@dataclass(frozen=True)
class Run:
    """What the figures of one way of running are read from; airspeed in m/s."""

    drive: Drive
    air: Air
    airspeed: float
    moved: Moved
    inputs: tuple[Input, ...]


Read = Callable[[], Run]
Work = Callable[[Figures, Read], Worked]


def running_figures(figures: Figures, running: Running) -> Figures:
    """The figures of one way of running, by name; elevation and temperature are the build's air."""
    read = cache(partial(_run, figures, running))
    makers = {
        name: Maker(unit, partial(_work, work=work, read=read))
        for name, (unit, work) in MAKERS.items()
        if running.airspeed_m_s > 0 or name not in IN_FLIGHT
    }
    return Figures(figures.snapshot, makers, known={"auw_g": figures["auw_g"]})


def _work(figures: Figures, *, work: Work, read: Read) -> Worked:
    return work(figures, read)


def curve_over_duty(figures: Figures, airspeed_m_s: float = 0.0) -> tuple[CurvePoint, ...]:
    """Pack current and thrust from the least duty that turns the motors to full.

    Raises
    ------
    NotKnown
        Naming every value that is missing.
    OutOfRange
        When a value cannot be true.
    """
    points = []
    read_drive(figures)
    for step in range(1, STEPS + 1):
        try:
            run = _run(figures, Running(step / STEPS, airspeed_m_s))
        except OutOfRange:
            # Below some duty the motors do not turn.
            continue
        points.append(
            CurvePoint(
                step / STEPS,
                band(moved=run.moved, figure=_pack_current),
                band(moved=run.moved, figure=_thrust),
            )
        )
    return tuple(points)


def _run(figures: Figures, running: Running) -> Run:
    drive, air, reading = read_drive(figures), read_air(figures.snapshot), Reading()
    propeller = None
    if running.airspeed_m_s > 0:
        propeller = propeller_in_flight(figures.snapshot, drive.blades, reading)
    moved = drive.moved(
        density=air.density,
        duty=running.duty,
        airspeed=running.airspeed_m_s,
        propeller=propeller,
    )
    asked = (
        Input("throttle, as duty", running.duty / PERCENT, "%", "asked"),
        Input("airspeed", running.airspeed_m_s, "m/s", "asked"),
    )
    inputs = (*asked, *drive.inputs, *air.inputs, *reading.inputs)
    return Run(drive, air, running.airspeed_m_s, moved, inputs)


def _pack_current(point: OperatingPoint) -> float:
    return point.pack_current


def _thrust(point: OperatingPoint) -> float:
    return point.total_thrust / GRAM_FORCE


def _worked(run: Run, of: Callable[[OperatingPoint], float], note: str = "") -> Worked:
    found = band(moved=run.moved, figure=of)
    is_held = run.moved.settled.is_held
    held = "Beyond the end of the propeller's curve: it brakes or windmills." if is_held else ""
    return Worked(
        value=found.value,
        uncertainty=(found.high - found.low) / 2 / COVERAGE,
        inputs=run.inputs,
        source=DRIVE_SOURCE + (FLIGHT_SOURCE if run.airspeed > 0 else ""),
        note=" ".join(filter(None, (note, held, basis_of(run.drive)))),
        dominant=found.dominant.replace("_", " "),
    )


def _plain(of: Callable[[OperatingPoint], float], note: str = "") -> Work:
    """What makes a figure that the operating point gives as it is."""
    return lambda _, read: _worked(read(), of, note)


def _pitch_speed(figures: Figures, read: Read) -> Worked:
    reading = Reading()
    pitch = reading.take_alike(reading.fitted(figures.snapshot, "propeller"), "pitch_mm", "mm")
    reading.check()
    return _worked(
        read(),
        lambda point: pitch_speed(speed=point.speed, pitch=pitch * MILLIMETRE),
        PITCH_NOTE,
    )


def _tip_speed(_: Figures, read: Read) -> Worked:
    run = read()
    radius = run.drive.blades.diameter_mm * MILLIMETRE / 2
    return _worked(
        run, lambda point: math.hypot(point.speed * radius, run.airspeed), "Along its helix."
    )


def _tip_mach(_: Figures, read: Read) -> Worked:
    run = read()

    def mach(point: OperatingPoint) -> float:
        return tip_mach(
            speed=point.speed,
            diameter=run.drive.blades.diameter_mm * MILLIMETRE,
            airspeed=run.airspeed,
            temperature=run.air.temperature,
        )

    return _worked(run, mach)


def _drive_efficiency(_: Figures, read: Read) -> Worked:
    run = read()
    motors = run.drive.circuit.motors

    def share(point: OperatingPoint) -> float:
        return motors * point.shaft_power / point.electrical_power / PERCENT

    return _worked(run, share, EFFICIENCY_NOTE)


def _propulsive(_: Figures, read: Read) -> Worked:
    run = read()

    def share(point: OperatingPoint) -> float:
        return point.total_thrust * run.airspeed / point.electrical_power / PERCENT

    return _worked(run, share, PROPULSIVE_NOTE)


def _thrust_to_weight(figures: Figures, _: Read) -> Worked:
    pull, auw = figures.need("thrust_g"), figures.need_complete("auw_g")
    value, uncertainty = propagate(
        lambda numbers: numbers[0] / numbers[1],
        [(pull.value, pull.uncertainty), (auw.value, auw.uncertainty)],
    )
    given = (pull.as_input(), auw.as_input())
    return Worked(value, uncertainty, given, RATIO_SOURCE, dominant=pull.dominant)


def _thrust_per_power(point: OperatingPoint) -> float:
    return _thrust(point) / point.electrical_power


IN_FLIGHT = ("propulsive_efficiency_percent",)
MAKERS: dict[str, tuple[str, Work]] = {
    "pack_current_a": ("A", _plain(_pack_current, BATTERY_NOTE)),
    "motor_current_a": ("A", _plain(lambda point: point.motor_current)),
    "pack_voltage_v": ("V", _plain(lambda point: point.pack_voltage)),
    "input_power_w": ("W", _plain(lambda point: point.electrical_power)),
    "propeller_speed_rpm": ("rpm", _plain(lambda point: point.speed / RPM)),
    "thrust_g": ("g", _plain(_thrust)),
    "thrust_to_weight": ("", _thrust_to_weight),
    "thrust_per_power_g_w": ("g/W", _plain(_thrust_per_power)),
    "drive_efficiency_percent": ("%", _drive_efficiency),
    "propulsive_efficiency_percent": ("%", _propulsive),
    "pitch_speed_m_s": ("m/s", _pitch_speed),
    "tip_speed_m_s": ("m/s", _tip_speed),
    "tip_mach": ("", _tip_mach),
}
