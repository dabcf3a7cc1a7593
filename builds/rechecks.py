"""What must be checked again after which change, and what of it is due. Plain Python.

Which change asks for which check is common practice, no source; the makers' instructions come
first.

A build remembers for each change in words in which revision it came last:
`part.<kind>` fitted or taken out, `place.<kind>.<column>` moved or wired otherwise,
`surface.<column>` of a linkage, `set_up.<column>` of the build, and `crash`.
"""

from __future__ import annotations

from dataclasses import dataclass

from builds.findings.results import Level
from builds.records import BuildSnapshot, SurfaceRecord

CRASH = "crash"


@dataclass(frozen=True)
class Check:
    """One check: what is done, what makes it due, and of which parts it can be asked.

    `after` are changes in words, one that ends in a dot standing for all that begin so. `about`
    are kinds of which one is fitted, or `surface`; none: any build.
    """

    key: str
    name: str
    task: str
    level: Level
    after: tuple[str, ...]
    about: tuple[str, ...] = ()

    def is_after(self, change: str) -> bool:
        """Does that change make it due."""
        return any(
            change.startswith(word) if word.endswith(".") else change == word for word in self.after
        )


@dataclass(frozen=True)
class DueCheck:
    """A check that is due: since which revision, and in which it was last made, if ever."""

    check: Check
    since_revision: int
    done_revision: int | None


CHECKS = (
    Check(
        "crash_inspection",
        "inspection after the crash",
        "Look at all that was in it: cracks, bent shafts, stripped gears, torn wires, dented cells."
        " Say of each part how it is.",
        Level.WARNING,
        (CRASH,),
    ),
    Check(
        "failsafe",
        "failsafe",
        "Propeller off, aircraft held. Switch the transmitter off: the motor stops at once, and the"
        " surfaces go where they should.",
        Level.WARNING,
        (
            CRASH, "part.receiver", "part.flight_controller", "part.speed_controller",
            "place.receiver.serial_port", "place.receiver.output", "place.motor.output",
            "place.speed_controller.output", "set_up.motor_signal",
        ),
        ("receiver",),
    ),
    Check(
        "range",
        "range check",
        "As the radio's maker says, at low power and at the distance given, with the video on."
        " Write the distance and the level into the note.",
        Level.WARNING,
        (
            CRASH, "part.receiver", "part.antenna", "part.video_unit", "place.receiver.",
            "place.antenna.", "place.video_unit.",
        ),
        ("receiver",),
    ),
    Check(
        "surface_directions",
        "directions of the surfaces",
        "Move each stick: the right surface, the right way.",
        Level.WARNING,
        (
            CRASH, "part.servo", "part.flight_controller", "part.receiver", "place.servo.output",
            "surface.mixing", "surface.servo", "surface.added",
        ),
        ("servo",),
    ),
    Check(
        "stabiliser_directions",
        "directions in which the stabiliser corrects",
        "Stabiliser on, propeller off. Tilt the aircraft: each surface or motor works against it.",
        Level.WARNING,
        (
            CRASH, "part.servo", "part.flight_controller", "place.flight_controller.",
            "place.servo.output", "place.motor.output", "place.speed_controller.output",
            "surface.mixing", "surface.servo", "surface.added",
        ),
        ("flight_controller",),
    ),
    Check(
        "motor_direction",
        "direction in which each motor turns",
        "Propeller off, lowest throttle: each motor turns as the set-up says.",
        Level.WARNING,
        (
            CRASH, "part.motor", "part.speed_controller", "part.flight_controller",
            "place.motor.output", "place.motor.turning", "place.speed_controller.output",
            "set_up.motor_signal",
        ),
        ("motor",),
    ),
    Check(
        "throws",
        "centres and throws",
        "Sticks at neutral: arms square, surfaces level. Then measure each throw and record it.",
        Level.CAUTION,
        (
            CRASH, "part.servo", "part.flight_controller", "place.servo.output", "surface.",
            "set_up.servo_rate_hz",
        ),
        ("surface",),
    ),
    Check(
        "balance",
        "centre of gravity",
        "Ready to fly, pack in its place: balance it at the place wanted.",
        Level.CAUTION,
        (
            CRASH, "part.", "place.pack.x_mm", "set_up.pack", "set_up.pack_x_mm",
        ),
        ("airframe",),
    ),
    Check(
        "current",
        "current at full throttle",
        "Aircraft tied down, nobody in line with the propeller: read the current and record it.",
        Level.CAUTION,
        ("part.motor", "part.propeller", "part.speed_controller", "set_up.pack"),
        ("motor",),
    ),
    Check(
        "settings",
        "settings saved",
        "Save the settings of the flight controller to a file. Write its name into the note.",
        Level.CAUTION,
        (
            "part.flight_controller", "part.receiver", "part.gps", "place.servo.output",
            "place.motor.output", "place.speed_controller.output", "place.receiver.serial_port",
            "place.gps.serial_port", "place.video_unit.serial_port", "surface.mixing",
            "surface.servo", "set_up.motor_signal", "set_up.servo_rate_hz", "set_up.gps_baud_hz",
            "set_up.overlay_standard", "set_up.current_scale_mv_a",
        ),
        ("flight_controller",),
    ),
    Check(
        "clearance",
        "clearance of the propeller",
        "Pack out. Turn it by hand: clear of airframe, wires, straps and aerials all round.",
        Level.NOTE,
        (
            CRASH, "part.propeller", "part.motor", "place.motor.", "place.propeller.",
        ),
        ("propeller",),
    ),
    Check(
        "motor_temperature",
        "temperature of the motor",
        "After 30 seconds at the throttle of a climb, pack out: motor and controller bear a touch.",
        Level.NOTE,
        ("part.motor", "part.propeller", "part.speed_controller", "set_up.pack"),
        ("motor",),
    ),
    Check(
        "model_match",
        "the transmitter's memory for this model",
        "Another memory must not move this aircraft, where the link can tell them apart.",
        Level.NOTE,
        ("part.receiver",),
        ("receiver",),
    ),
)  # fmt: skip
BY_KEY = {check.key: check for check in CHECKS}


def due_checks(build: BuildSnapshot) -> tuple[DueCheck, ...]:
    """Checks that a change has made due and nobody has made since, gravest first."""
    found = (_due(check, build) for check in CHECKS if _can_be_asked(check, build))
    due = [one for one in found if one is not None]
    return tuple(sorted(due, key=lambda one: -one.check.level))


def _can_be_asked(check: Check, build: BuildSnapshot) -> bool:
    if "surface" in check.about:
        return bool(build.surfaces)
    return not check.about or bool(build.fitted(*check.about))


def _due(check: Check, build: BuildSnapshot) -> DueCheck | None:
    since = max((at for word, at in build.changed_in.items() if check.is_after(word)), default=0)
    done = _done_in(check.key, build)
    if since <= (done or 0):
        return None
    return DueCheck(check, since, done)


def _done_in(key: str, build: BuildSnapshot) -> int | None:
    """The revision in which a check was last made, by a tick or by what was measured."""
    revisions = [build.checks_done.get(key), _measured_in(key, build)]
    return max((one for one in revisions if one is not None), default=None)


def _measured_in(key: str, build: BuildSnapshot) -> int | None:
    if key == "balance":
        balanced = (one.revision for one in build.weigh_ins if one.cg_x_mm is not None)
        return max(balanced, default=None)
    if key == "current":
        return max((one.revision for one in build.power_readings), default=None)
    if key == "throws":
        return _throws_measured_in(build.surfaces)
    return None


def _throws_measured_in(surfaces: tuple[SurfaceRecord, ...]) -> int | None:
    """The oldest of the newest readings: one surface not measured leaves the check due."""
    newest = [
        max((one.revision for one in surface.throws if one.source == "measured"), default=None)
        for surface in surfaces
    ]
    known = [revision for revision in newest if revision is not None]
    return min(known) if known and len(known) == len(newest) else None
