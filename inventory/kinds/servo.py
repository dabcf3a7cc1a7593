"""Data sheet of a servo."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import NumberListField, count, measure
from inventory.kinds.base import DataSheet


class Servo(DataSheet):
    """A servo with its arm."""

    kind_name: ClassVar[str] = "servo"
    label: ClassVar[str] = "servo"
    label_plural: ClassVar[str] = "servos"

    lug_spacing_mm = measure("Distance between the mounting lugs")
    torque_kgcm = measure("Stall torque at the rated voltage")
    rated_voltage_v = measure("Voltage of the torque and speed figures", maximum=200)
    speed_s_60deg = measure("Time for 60 degrees at the rated voltage")
    torque_high_kgcm = measure("Stall torque at the higher voltage")
    high_voltage_v = measure("Voltage of that torque", maximum=200)
    voltage_min_v = measure("Least supply voltage", maximum=200)
    voltage_max_v = measure("Highest supply voltage", maximum=200, positive=True)
    current_idle_ma = measure("Current at rest")
    current_working_ma = measure("Current while moving under load")
    current_stall_ma = measure("Current when held fast")
    frame_rate_max_hz = measure("Highest pulse rate", positive=True)
    pulse_centre_us = measure("Pulse width at centre")
    pulse_span_us = measure("Change of pulse width for full travel, to one side")
    signal_min_v = measure("Least signal voltage it reads as on", maximum=200)
    travel_deg = measure("Travel to one side at full pulse", maximum=360)
    gear_material = models.CharField(max_length=40, blank=True, help_text="Material of the gears")
    spline_teeth = count("Teeth of the output spline")
    arm_spline_teeth = count("Teeth inside the hub of the arm that is on it")
    lead_length_mm = measure("Length of the lead")
    plug = models.CharField(max_length=40, blank=True, help_text="Plug of the lead")
    direction = models.CharField(
        max_length=16,
        blank=True,
        choices=(("cw", "clockwise"), ("ccw", "counter-clockwise")),
        help_text="Turning direction for a longer pulse",
    )
    arm_radii_mm = NumberListField(help_text="Radii of the arm's holes from the shaft's centre")
    play_deg = measure("Play at the arm", maximum=90)
