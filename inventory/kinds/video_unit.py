"""Data sheet of a video unit."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import NumberListField, count, measure
from inventory.kinds.base import DataSheet


class VideoUnit(DataSheet):
    """A video transmitter."""

    kind_name: ClassVar[str] = "video_unit"
    label: ClassVar[str] = "video unit"
    label_plural: ClassVar[str] = "video units"

    video_system = models.CharField(
        max_length=40,
        blank=True,
        help_text="Video system family: camera, unit and ground side must be of one",
    )
    band_mhz = measure("Radio band")
    channel_count = count("Number of channels")
    power_steps_mw = NumberListField(help_text="Output powers that can be set", maximum=10000)
    power_mw = measure("Output power as set")
    voltage_min_v = measure("Least supply voltage", maximum=200)
    voltage_max_v = measure("Highest supply voltage", maximum=200, positive=True)
    current_ma = measure("Current drawn at its highest power")
    control_bus = models.CharField(
        max_length=40, blank=True, help_text="How a flight controller sets it; blank when it cannot"
    )
    camera_plug = models.CharField(
        max_length=40, blank=True, help_text="What the camera's lead plugs into, if it has a socket"
    )
    antenna_connector = models.CharField(
        max_length=40, blank=True, help_text="Connector family of its aerial"
    )
    antenna_gender = models.CharField(
        max_length=16,
        blank=True,
        choices=(("plug", "plug"), ("socket", "socket")),
        help_text="Gender of the unit's connector",
    )
    antenna_count = count("Number of aerials")
    hole_pattern_mm = NumberListField(help_text="Pitch of the mounting holes")
    needs_airflow = models.BooleanField(null=True, blank=True, help_text="Does it need moving air")
    hardware_revision = models.CharField(
        max_length=40, blank=True, help_text="Hardware revision on the label"
    )
