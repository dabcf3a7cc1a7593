"""Figures of one control surface: throw at full travel, differential, travel, torque."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial

from builds.controls.holes import table_for, travel_of
from builds.controls.linkages import (
    Setting,
    SurfaceReading,
    need_wanted,
    read_setting,
    wanted_throws,
)
from builds.engineering.atmosphere import SEA_LEVEL_DENSITY
from builds.engineering.linkage import angle_for_edge, edge_distance, surface_angle
from builds.engineering.mass import rectangular_uncertainty
from builds.engineering.surfaces import hinge_moment, servo_torque
from builds.figures.results import (
    Figure,
    Figures,
    Input,
    Maker,
    NotKnown,
    Unknown,
    Worked,
    propagate,
)
from builds.figures.units import KILOGRAM_FORCE_CENTIMETRE, MILLIMETRE, PERCENT
from builds.records import BuildSnapshot, SurfaceRecord

LENGTH_UNCERTAINTY = 0.3 * MILLIMETRE
"""Standard uncertainty of a length measured on a linkage: common practice, no source."""
MOMENT_LIMIT = 0.30
"""Limit of the hinge moment as a share of it: engineering judgement, no source."""
TAIL_CHORD_FRACTION = 0.3
"""Chord of a surface on a tail over that of the tail, where nobody gave it: an assumption."""
DEFLECTION_MOST = 0.6
"""Deflection up to which the hinge moment holds [rad]."""
TAIL_MIXINGS = ("elevator", "rudder", "v_tail")

LINKAGE_SOURCE = (
    "Arm, pushrod and horn as a planar four-bar linkage, Freudenstein, Trans. ASME 76 (1954);"
    " throw as the height of the trailing edge over neutral, chord times sine of the deflection."
)
UP_NOTE = (
    "Up is towards the side the horn stands on; with the horn below, exchange up and down. Play and"
    " flex are left out."
)
MOMENT_SOURCE = (
    "Thin-aerofoil flap, Glauert, ARC R&M 1095 (1927): q S c times the derivative by deflection;"
    " standard sea level."
)
MOMENT_NOTE = (
    "At the highest speed with one command at full throw; an upper bound while the flow is"
    " attached. Gusts, flutter and play are not in it."
)
MARGIN_SOURCE = "Torque on the servo's sheet over torque needed, by virtual work without friction."


def surface_figures(
    snapshot: BuildSnapshot,
    surface: SurfaceRecord,
    whole: Mapping[str, Figure | Unknown],
) -> Figures:
    """All figures of one surface by name; `whole` are the figures of its build."""
    of = _OfSurface(snapshot, surface, whole)
    makers = {
        "throw_up_mm": Maker("mm", partial(of.throw, side=1.0)),
        "throw_down_mm": Maker("mm", partial(of.throw, side=-1.0)),
        "differential_ratio": Maker("", of.differential),
        **{
            f"travel_{axis}_percent": Maker("%", partial(of.travel, axis=axis))
            for axis in wanted_throws(snapshot, surface)[0]
        },
        "hinge_moment_kgcm": Maker("kg·cm", of.moment),
        "servo_torque_needed_kgcm": Maker("kg·cm", of.torque),
        "servo_torque_margin_ratio": Maker("", of.margin),
    }
    return Figures(snapshot, makers)


class _OfSurface:
    """Makes the figures of one surface."""

    def __init__(
        self,
        snapshot: BuildSnapshot,
        surface: SurfaceRecord,
        whole: Mapping[str, Figure | Unknown],
    ) -> None:
        self.snapshot = snapshot
        self.surface = surface
        self.whole = whole

    def throw(self, _: Figures, *, side: float) -> Worked:
        """Throw at 100 % travel [mm]."""
        setting = self._in_use()
        return _by_lengths(
            setting,
            lambda moved: abs(_edge(moved, side * moved.full_travel)) / MILLIMETRE,
            UP_NOTE,
        )

    def differential(self, _: Figures) -> Worked:
        """Throw up over throw down at 100 % travel [1]."""
        return _by_lengths(
            self._in_use(),
            lambda moved: abs(_edge(moved, moved.full_travel) / _edge(moved, -moved.full_travel)),
            f"1 is as much up as down. {UP_NOTE}",
        )

    def travel(self, _: Figures, *, axis: str) -> Worked:
        """The greater travel that the throw wanted takes with the hole in use [%]."""
        setting = self._in_use()
        throws, inputs, _missing = wanted_throws(self.snapshot, self.surface)
        worked = _by_lengths(setting, lambda moved: _travel(moved, axis, throws[axis]), UP_NOTE)
        wanted = tuple(one for one in inputs if f"throw {axis}" in one.name)
        return replace(worked, inputs=(*worked.inputs, *wanted))

    def moment(self, _: Figures) -> Worked:
        """Hinge moment at the highest speed [kgf cm]."""
        value, inputs = self._moment()
        limit = rectangular_uncertainty(half_width=MOMENT_LIMIT * value)
        return Worked(value, limit, inputs, MOMENT_SOURCE, MOMENT_NOTE)

    def torque(self, figures: Figures) -> Worked:
        """Torque the servo has to hold [kgf cm]."""
        moment, setting = figures.need("hinge_moment_kgcm"), self._in_use()
        ratio = self._ratio(setting)
        uncertainty = servo_torque(hinge_moment=moment.uncertainty, transmission_ratio=ratio)
        return Worked(
            servo_torque(hinge_moment=moment.value, transmission_ratio=ratio),
            uncertainty,
            (
                moment.as_input(),
                Input("turn of the surface per turn of the servo", ratio, "", "computed"),
                *setting.inputs,
            ),
            "Virtual work, friction left out: hinge moment times the greatest turn of the surface"
            " per turn of the servo within the throw.",
        )

    def margin(self, figures: Figures) -> Worked:
        """Torque of the servo over torque needed [1]."""
        needed = figures.need("servo_torque_needed_kgcm")
        reading = SurfaceReading(self.snapshot, self.surface)
        servo = self.snapshot.at(self.surface.servo_key)
        assert servo is not None
        torque = reading.take(servo, "torque_kgcm", "kg·cm")
        reading.check()
        if needed.value <= 0:
            raise NotKnown((), "Nothing has to be held at this speed and throw.")
        value, uncertainty = propagate(
            lambda numbers: torque / numbers[0], [(needed.value, needed.uncertainty)]
        )
        return Worked(
            value,
            uncertainty,
            (*reading.inputs, needed.as_input()),
            MARGIN_SOURCE,
            "Below 2 is little: friction, gusts and a low rail take their share (common practice,"
            " no source). The sheet's torque holds at its own voltage and stalled.",
        )

    def _in_use(self) -> Setting:
        setting = read_setting(self.snapshot, self.surface)
        if setting.arm is None:
            raise NotKnown([f"{self.surface.name}: arm radius (mm)"])
        return setting

    def _ratio(self, setting: Setting) -> float:
        throws = need_wanted(self.snapshot, self.surface)
        row = table_for(setting, "", max(throws.values())).at(setting.arm)
        if row is None or row.torque_ratio is None:
            raise NotKnown((), "The hole in use does not give the throw wanted.")
        return row.torque_ratio

    def _moment(self) -> tuple[float, tuple[Input, ...]]:
        reading = SurfaceReading(self.snapshot, self.surface)
        chord, span = reading.own("chord_mm", "mm"), reading.own("span_mm", "mm")
        speed = self.snapshot.speed_max_m_s
        if speed is None:
            reading.missing.append("this build: speed max (m/s)")
        else:
            reading.inputs.append(Input("highest speed", speed, "m/s", "build"))
        throws, throw_inputs, no_throws = wanted_throws(self.snapshot, self.surface)
        if not throws:
            reading.missing.extend(no_throws)
        fraction = self._chord_fraction(reading, chord)
        reading.check()
        assert speed is not None
        throw = max(need_wanted(self.snapshot, self.surface).values())
        angle = angle_for_edge(distance=throw * MILLIMETRE, chord=chord * MILLIMETRE)
        moment = hinge_moment(
            dynamic_pressure=SEA_LEVEL_DENSITY * speed**2 / 2,
            span=span * MILLIMETRE,
            chord=chord * MILLIMETRE,
            chord_fraction=fraction,
            deflection=min(angle, DEFLECTION_MOST),
        )
        density = Input("density of the air", SEA_LEVEL_DENSITY, "kg/m³", "assumed")
        inputs = (*reading.inputs, *throw_inputs, density)
        return abs(moment) / KILOGRAM_FORCE_CENTIMETRE, inputs

    def _chord_fraction(self, reading: SurfaceReading, chord_mm: float) -> float:
        wing = self.whole["mean_chord_mm"]
        if self.surface.mixing in TAIL_MIXINGS or isinstance(wing, Unknown):
            what = "chord of the surface over the whole chord there"
            return reading.assume(what, TAIL_CHORD_FRACTION, "")
        reading.inputs.append(wing.as_input())
        return chord_mm / wing.value


def _edge(setting: Setting, turn: float) -> float:
    assert setting.arm is not None
    angle = surface_angle(linkage=setting.linkage(setting.arm), servo_angle=turn)
    return edge_distance(angle=angle, chord=setting.chord)


def _travel(setting: Setting, axis: str, wanted_mm: float) -> float:
    table = table_for(setting, axis, wanted_mm)
    row = table.at(setting.arm)
    share = travel_of(row) if row else None
    if share is None:
        raise NotKnown([], table.problem or (row.problem if row and row.problem else ""))
    return share / PERCENT


def _by_lengths(setting: Setting, formula: Callable[[Setting], float], note: str) -> Worked:
    """A figure whose doubt is that of the four lengths of the linkage."""
    assert setting.arm is not None
    lengths = [setting.arm, setting.horn, setting.axes, setting.chord]

    def moved(numbers: Sequence[float]) -> float:
        arm, horn, axes, chord = numbers
        changed = replace(setting, arm=arm, horn=horn, axes=axes, chord=chord, holes=(arm,))
        return formula(changed)

    value, uncertainty = propagate(moved, [(length, LENGTH_UNCERTAINTY) for length in lengths])
    if not math.isfinite(uncertainty):
        raise NotKnown([], "The linkage is too near binding to say.")
    return Worked(value, uncertainty, setting.inputs, LINKAGE_SOURCE, note)
