"""Data sheet of a hardware."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import count, measure
from inventory.kinds.base import DataSheet


class Hardware(DataSheet):
    """Screws, spars, linkages, hatches, magnets, shims, ballast and all else that has mass."""

    kind_name: ClassVar[str] = "hardware"
    label: ClassVar[str] = "hardware"
    label_plural: ClassVar[str] = "hardware"
    is_consumable: ClassVar[bool] = True

    purpose = models.CharField(
        max_length=40,
        blank=True,
        help_text="What it is for, for example spar, hatch, linkage, magnet, ballast",
    )
    diameter_mm = measure("Diameter, or size of thread")
    is_magnetic = models.BooleanField(
        null=True, blank=True, help_text="Is it a magnet or steel that could disturb a compass"
    )
    bus_address = count("Bus address, of a sensor on a two-wire bus")
    material = models.CharField(max_length=40, blank=True, help_text="Material")
    engaged_mm = measure("Screws: thread that holds, at the least")
    thread_in = models.CharField(
        max_length=8,
        blank=True,
        choices=(("metal", "metal"), ("plastic", "plastic"), ("wood", "wood")),
        help_text="Screws: what the thread holds in",
    )
    is_locked = models.BooleanField(
        null=True, blank=True, help_text="Screws: kept from turning by thread lock or lock nut"
    )
