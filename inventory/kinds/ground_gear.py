"""Data sheet of a ground gear."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import WordListField, count, measure
from inventory.kinds.base import DataSheet


class GroundGear(DataSheet):
    """What stays on the ground: transmitter, video receiver, charger."""

    kind_name: ClassVar[str] = "ground_gear"
    label: ClassVar[str] = "ground gear"
    label_plural: ClassVar[str] = "ground gear"

    role = models.CharField(
        max_length=16,
        blank=True,
        choices=(
            ("transmitter", "radio transmitter"),
            ("video_receiver", "video receiver"),
            ("charger", "charger"),
        ),
        help_text="What it does",
    )
    link_family = models.CharField(
        max_length=40,
        blank=True,
        help_text="Family of the radio link; transmitter and receiver must be of one",
    )
    link_version = count("Major version of the link")
    band_mhz = measure("Radio band")
    channel_count = count("Number of channels")
    video_system = models.CharField(
        max_length=40,
        blank=True,
        help_text="Video system family: camera, unit and ground side must be of one",
    )
    polarisation = models.CharField(
        max_length=16,
        blank=True,
        choices=(
            ("linear", "linear"),
            ("right", "circular, right hand"),
            ("left", "circular, left hand"),
        ),
        help_text="Polarisation of its aerial",
    )
    power_mw = measure("Power that a transmitter gives to its aerial", maximum=100_000)
    antenna_gain_dbi = measure("Gain of its aerial", minimum=-30, maximum=40)
    sensitivity_dbm = measure(
        "Least signal that a video receiver can show", minimum=-200, maximum=0
    )
    charge_power_w = measure("Charging power")
    cells_max = count("Most cells it can charge")
    cell_full_v = measure("Voltage to which it charges a cell, as set", maximum=5)
    chemistries = WordListField(help_text="Chemistries it can charge")
