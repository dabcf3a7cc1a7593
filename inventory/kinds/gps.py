"""Data sheet of a GPS."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import WordListField, count, measure
from inventory.kinds.base import DataSheet


class Gps(DataSheet):
    """A satellite receiver, with or without a compass."""

    kind_name: ClassVar[str] = "gps"
    label: ClassVar[str] = "GPS"
    label_plural: ClassVar[str] = "GPS units"

    rate_max_hz = measure("Highest position rate", positive=True)
    voltage_min_v = measure("Least supply voltage", maximum=200)
    voltage_max_v = measure("Highest supply voltage", maximum=200, positive=True)
    current_ma = measure("Current drawn")
    connector = models.CharField(
        max_length=40, blank=True, help_text="Connector and order of its pins"
    )
    has_compass = models.BooleanField(null=True, blank=True, help_text="Compass on board")
    compass_address = count("Bus address of the compass")
    baud_hz = measure("Serial speed as delivered")
    messages = WordListField(help_text="Kinds of message it sends, as delivered")
    time_to_fix_s = measure("Time to the first fix as usually seen")
    satellite_count = count("Satellites as usually seen")
