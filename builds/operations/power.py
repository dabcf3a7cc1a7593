"""Writes of readings on the bench, which settle a motor and its propeller."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from builds.figures import figures_of
from builds.figures.drive import read_drive
from builds.figures.results import NotKnown
from builds.models import Build, Fitting, PowerReading
from builds.operations import lock_build
from builds.snapshot import take_snapshot
from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.models import Part

READINGS_MAX = 200
NEEDED = {"voltage_v": "voltage", "current_a": "current", "speed_rpm": "speed"}


def record_power_reading(build: Build, *, by: User, **values: Any) -> PowerReading:
    """Write down a full-throttle reading of the motor and propeller that are fitted now.

    The newest reading of both counts while both are fitted; older ones stay. Raises UserError for
    a reading that no such motor and propeller can give, Conflict while one of them is not fitted.
    """
    with transaction.atomic():
        locked = lock_build(build, by=by)
        if locked.powerreading_set.count() >= READINGS_MAX:
            raise UserError(f"A build has {READINGS_MAX} readings at most.")
        for name, words in NEEDED.items():
            if values.get(name) is None:
                raise UserError(f"A reading needs the {words}.", field=name)
        reading = PowerReading(
            build=locked,
            revision=locked.revision,
            by=by,
            motor=_fitted(locked, "motor"),
            propeller=_fitted(locked, "propeller"),
            **values,
        )
        reading.full_clean(exclude=["build", "by", "motor", "propeller"])
        reading.save()
        _check_possible(locked)
    return reading


def _fitted(build: Build, kind: str) -> Part:
    open_fittings = Fitting.objects.open().filter(build=build, part__kind=kind)
    fitting = open_fittings.select_related("part").order_by("position").first()
    if fitting is None:
        raise Conflict(f"Fit the {kind} first: the reading belongs to motor and propeller.")
    return fitting.part


def _check_possible(build: Build) -> None:
    """Refuse a reading that contradicts the motor's constants or momentum theory."""
    try:
        read_drive(figures_of(take_snapshot(build)))
    except NotKnown:
        # Without the motor's or the pack's figures it cannot be judged yet.
        return
    except ValueError as error:
        raise UserError(f"This cannot be: {error}.") from error
