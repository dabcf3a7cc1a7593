"""Data sheet of an antenna."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import measure
from inventory.kinds.base import DataSheet


class Antenna(DataSheet):
    """An aerial."""

    kind_name: ClassVar[str] = "antenna"
    label: ClassVar[str] = "antenna"
    label_plural: ClassVar[str] = "antennas"

    band_min_mhz = measure("Lower end of the band it is made for")
    band_max_mhz = measure("Upper end of the band it is made for", positive=True)
    gain_dbi = measure("Gain", minimum=-30, maximum=40)
    polarisation = models.CharField(
        max_length=16,
        blank=True,
        choices=(
            ("linear", "linear"),
            ("right", "circular, right hand"),
            ("left", "circular, left hand"),
        ),
        help_text="Polarisation",
    )
    connector = models.CharField(max_length=40, blank=True, help_text="Connector family")
    connector_gender = models.CharField(
        max_length=16,
        blank=True,
        choices=(("plug", "plug"), ("socket", "socket")),
        help_text="Gender of the connector",
    )
    standing_wave_ratio = measure("Standing-wave ratio if it was measured, no unit", maximum=100)
