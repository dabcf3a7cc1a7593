"""Data sheet of a propeller."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import count, measure
from inventory.kinds.base import DataSheet


class Propeller(DataSheet):
    """A propeller, or a bag of alike ones."""

    kind_name: ClassVar[str] = "propeller"
    label: ClassVar[str] = "propeller"
    label_plural: ClassVar[str] = "propellers"
    is_consumable: ClassVar[bool] = True

    diameter_mm = measure("Diameter")
    pitch_mm = measure("Pitch: advance in one turn")
    blade_count = count("Number of blades")
    hand = models.CharField(
        max_length=16,
        blank=True,
        choices=(("cw", "clockwise"), ("ccw", "counter-clockwise")),
        help_text="Turning direction seen from behind",
    )
    mounting = models.CharField(
        max_length=16,
        blank=True,
        choices=(("tractor", "tractor"), ("pusher", "pusher"), ("either", "either")),
        help_text="Pushing or pulling",
    )
    bore_mm = measure("Bore of the hub")
    speed_max_rpm = measure("Highest speed the maker allows", positive=True)
    material = models.CharField(max_length=40, blank=True, help_text="Material")
    thrust_coefficient = measure("Measured static thrust coefficient, no unit", maximum=1)
    power_coefficient = measure("Measured static power coefficient, no unit", maximum=1)
