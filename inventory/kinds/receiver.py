"""Data sheet of a receiver."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import WordListField, count, measure
from inventory.kinds.base import DataSheet


class Receiver(DataSheet):
    """A radio-control receiver."""

    kind_name: ClassVar[str] = "receiver"
    label: ClassVar[str] = "receiver"
    label_plural: ClassVar[str] = "receivers"

    link_family = models.CharField(
        max_length=40,
        blank=True,
        help_text="Family of the radio link; transmitter and receiver must be of one",
    )
    link_version = count("Major version of the link")
    band_mhz = measure("Radio band")
    region = models.CharField(max_length=40, blank=True, help_text="Region for which it was made")
    channel_count = count("Number of channels")
    output_protocols = WordListField(help_text="What it can send to a flight controller")
    is_output_inverted = models.BooleanField(
        null=True, blank=True, help_text="Is its serial signal inverted"
    )
    signal_v = measure("Voltage of the signals it sends", maximum=200, positive=True)
    pulse_output_count = count("Number of servo outputs of its own")
    voltage_min_v = measure("Least supply voltage", maximum=200)
    voltage_max_v = measure("Highest supply voltage", maximum=200, positive=True)
    current_ma = measure("Current drawn")
    antenna_count = count("Number of aerials")
    antenna_connector = models.CharField(
        max_length=40, blank=True, help_text="Connector of the aerials; blank when soldered on"
    )
    antenna_length_mm = measure("Length of an aerial")
    telemetry_power_mw = measure("Radiated power of its telemetry")
    sensitivity_dbm = measure("Least signal it can read", minimum=-200, maximum=0)
    failsafe = models.CharField(
        max_length=60, blank=True, help_text="What it does when the link is lost, as set"
    )
    binding = models.CharField(
        max_length=60, blank=True, help_text="Which transmitter or phrase it is bound to"
    )
