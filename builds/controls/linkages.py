"""The linkage of one surface as it was entered, in SI, with all that it rests on."""

from __future__ import annotations

import math
from dataclasses import dataclass

from builds.engineering.linkage import Linkage
from builds.figures.reading import Reading
from builds.figures.results import Input, NotKnown
from builds.figures.units import MILLIMETRE
from builds.findings import words_of
from builds.records import BuildSnapshot, SurfaceRecord

AXES = {
    "aileron": ("roll",),
    "elevator": ("pitch",),
    "rudder": ("yaw",),
    "elevon": ("roll", "pitch"),
    "v_tail": ("pitch", "yaw"),
    "flap": (),
}
"""What a surface is moved for, by its mixing."""
FROM_AIRFRAME = {"chord_mm": "surface_chord_mm", "horn_radius_mm": "horn_radius_mm"}
SQUARE_DEG = 90.0
CENTRE_US = 1500.0
FULL_PULSE_US = 500.0
"""Change of pulse at 100 % travel: common practice, no source."""
ASSUMED = "assumed"


@dataclass(frozen=True)
class Setting:
    """A surface with its linkage: lengths in m, angles in rad, pulses in microseconds.

    `arm` is the radius of the hole in use, None when nobody gave it; `full_travel` the turn of the
    servo at 100 % travel.
    """

    surface: SurfaceRecord
    chord: float
    horn: float
    axes: float
    arm_angle: float
    horn_angle: float
    full_travel: float
    centre_us: float
    arm: float | None
    holes: tuple[float, ...]
    hinge_limit: float | None
    inputs: tuple[Input, ...]

    def linkage(self, arm: float) -> Linkage:
        """The linkage with the pushrod in one hole of the arm; raises OutOfRange."""
        return Linkage(
            arm=arm,
            horn=self.horn,
            axes=self.axes,
            arm_neutral=self.arm_angle,
            horn_neutral=self.horn_angle,
        )


def read_setting(snapshot: BuildSnapshot, surface: SurfaceRecord) -> Setting:
    """The linkage of a surface.

    Raises
    ------
    NotKnown
        Naming every figure that is missing.
    """
    reading = SurfaceReading(snapshot, surface)
    chord = reading.chord()
    horn = reading.own("horn_radius_mm", "mm")
    axes = reading.own("axis_distance_mm", "mm")
    horn_angle = reading.own_or("horn_angle_deg", "°", SQUARE_DEG)
    arm_angle = reading.own_or("arm_angle_deg", "°", SQUARE_DEG)
    full_travel, centre = reading.servo_travel()
    arm = reading.optional("arm_radius_mm", "mm")
    holes = reading.holes(arm)
    limit = reading.optional("hinge_limit_deg", "°")
    reading.check()
    return Setting(
        surface=surface,
        chord=chord * MILLIMETRE,
        horn=horn * MILLIMETRE,
        axes=axes * MILLIMETRE,
        arm_angle=math.radians(arm_angle),
        horn_angle=math.radians(horn_angle),
        full_travel=math.radians(full_travel),
        centre_us=centre,
        arm=None if arm is None else arm * MILLIMETRE,
        holes=tuple(hole * MILLIMETRE for hole in holes),
        hinge_limit=None if limit is None else math.radians(limit),
        inputs=tuple(reading.inputs),
    )


class SurfaceReading(Reading):
    """Reads the figures of one surface, of its servo and of the airframe it belongs to."""

    def __init__(self, snapshot: BuildSnapshot, surface: SurfaceRecord) -> None:
        super().__init__()
        self.snapshot = snapshot
        self.surface = surface

    def optional(self, name: str, unit: str) -> float | None:
        """A figure of the surface, None when nobody gave it."""
        value: float | None = getattr(self.surface, name)
        if value is not None:
            self.inputs.append(Input(self._named(name), value, unit, "build"))
        return value

    def own(self, name: str, unit: str) -> float:
        """A figure of the surface, else the airframe's; not a number when nobody gave it."""
        value = self.optional(name, unit)
        if value is not None:
            return value
        airframe = self.snapshot.first("airframe")
        theirs = FROM_AIRFRAME.get(name, "")
        if airframe is not None and airframe.part and airframe.part.known(theirs) is not None:
            return self.take(airframe, theirs, unit)
        self.missing.append(self._named(name))
        return math.nan

    def chord(self) -> float:
        """Chord where the throw is measured [mm]; one of 0 is a gap: no edge moves on it."""
        value = self.own("chord_mm", "mm")
        if value == 0:
            self.missing.append(f"{self._named('chord_mm')}: 0 is no chord")
        return value

    def own_or(self, name: str, unit: str, otherwise: float) -> float:
        """A figure of the surface, or a stated assumption."""
        value = self.optional(name, unit)
        return self.assume(self._named(name), otherwise, unit) if value is None else value

    def wanted(self, axis: str) -> float | None:
        """The throw wanted for an axis [mm]: the surface's own, else the airframe's."""
        name = f"throw_{axis}_mm"
        value = self.optional(name, "mm")
        airframe = self.snapshot.first("airframe")
        if value is not None or airframe is None or airframe.part is None:
            return value
        return self.take(airframe, name, "mm") if airframe.part.known(name) else None

    def servo_travel(self) -> tuple[float, float]:
        """Turn at 100 % travel [degrees] and pulse at centre [microseconds]."""
        servo = self.snapshot.at(self.surface.servo_key)
        if servo is None or servo.part is None:
            what = f"{servo.name}: nothing fitted" if servo else self._named("servo")
            self.missing.append(what)
            return math.nan, math.nan
        turn = self.take(servo, "travel_deg", "°")
        span = self.take_or(servo, "pulse_span_us", "µs", FULL_PULSE_US)
        full = self.assume("change of pulse at 100 % travel", FULL_PULSE_US, "µs")
        if span == 0:
            self.missing.append(f"{servo.title}: a pulse span above zero")
            return math.nan, math.nan
        return turn * full / span, self.take_or(servo, "pulse_centre_us", "µs", CENTRE_US)

    def holes(self, arm: float | None) -> tuple[float, ...]:
        """Radii of the holes of the servo's arm [mm], the one in use among them."""
        servo = self.snapshot.at(self.surface.servo_key)
        known = servo.part.known("arm_radii_mm") if servo and servo.part else None
        radii = [float(radius) for radius in known.value] if known else []
        if servo and known:
            name = f"{servo.title}: {words_of('arm_radii_mm')}"
            self.inputs.append(Input(name, tuple(radii), "mm", known.source, known.at))
        if not radii and arm is None and servo and servo.part:
            self.missing.append(f"{servo.title}: {words_of('arm_radii_mm')}")
        return tuple(sorted({*radii, *([] if arm is None else [arm])}))

    def _named(self, name: str) -> str:
        return f"{self.surface.name}: {words_of(name)}"


def wanted_throws(
    snapshot: BuildSnapshot, surface: SurfaceRecord
) -> tuple[dict[str, float], tuple[Input, ...], tuple[str, ...]]:
    """Throws wanted by axis [mm], where they come from, and those that nobody gave."""
    reading = SurfaceReading(snapshot, surface)
    found = {axis: reading.wanted(axis) for axis in AXES.get(surface.mixing, ())}
    throws = {axis: throw for axis, throw in found.items() if throw is not None}
    missing = tuple(
        f"{surface.name}: {words_of(f'throw_{axis}_mm')}" for axis in found if axis not in throws
    )
    return throws, tuple(reading.inputs), missing


def need_wanted(snapshot: BuildSnapshot, surface: SurfaceRecord) -> dict[str, float]:
    """Throws wanted by axis [mm]; raises NotKnown when there is none at all."""
    throws, _, missing = wanted_throws(snapshot, surface)
    if not throws:
        raise NotKnown(missing, "" if missing else "No throw is wanted of a flap here.")
    return throws
