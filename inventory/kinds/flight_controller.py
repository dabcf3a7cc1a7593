"""Data sheet of a flight controller."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import NumberListField, WordListField, count, measure
from inventory.kinds.base import DataSheet
from inventory.kinds.shapes import TimerGroupsField


class FlightController(DataSheet):
    """A flight controller: outputs in timer groups, ports and rails."""

    kind_name: ClassVar[str] = "flight_controller"
    label: ClassVar[str] = "flight controller"
    label_plural: ClassVar[str] = "flight controllers"

    voltage_min_v = measure("Least supply voltage", maximum=200)
    voltage_max_v = measure("Highest supply voltage", maximum=200, positive=True)
    sense_voltage_max_v = measure(
        "Highest voltage its battery sensing can read", maximum=200, positive=True
    )
    current_ma = measure("Current drawn")
    rail_5v_a = measure("Current its 5 V rail can give")
    rail_9v_a = measure("Current its 9 V rail can give")
    servo_rail_v = measure("Voltage of its servo rail", maximum=200)
    servo_rail_a = measure("Current of its servo rail")
    servo_rail_peak_a = measure("Current of its servo rail, short")
    serial_port_count = count("Number of serial ports")
    accepts_inverted = models.BooleanField(
        null=True, blank=True, help_text="Can a port read an inverted serial signal"
    )
    input_protocols = WordListField(help_text="What it can read from a receiver")
    motor_protocols = WordListField(help_text="Signals it can send to a speed controller")
    timer_groups = TimerGroupsField(
        help_text="Outputs that share a timer, one group a line, for example 1 2 / 3 4 5 / 6"
    )
    motor_outputs = TimerGroupsField(
        help_text="Outputs that are the motors' as the board is delivered, for example 1 2"
    )
    signal_v = measure("Voltage of the signals it sends", maximum=200, positive=True)
    signal_max_v = measure("Highest signal voltage its inputs stand", maximum=200, positive=True)
    gps_messages = WordListField(help_text="Kinds of GPS message it can read")
    bus_count = count("Number of two-wire buses for sensors")
    has_compass = models.BooleanField(null=True, blank=True, help_text="Compass on board")
    compass_address = count("Bus address of the compass on board")
    has_barometer = models.BooleanField(null=True, blank=True, help_text="Barometer on board")
    current_sensor_max_a = measure("Range of its current sensor", positive=True)
    current_sensor_mv_a = measure("Scale of its current sensor")
    voltage_divider_ratio = measure("Scale of its battery sensing, no unit", maximum=1000)
    overlay = models.CharField(
        max_length=16,
        blank=True,
        choices=(
            ("analogue", "analogue"),
            ("digital", "digital"),
            ("both", "both"),
            ("none", "none"),
        ),
        help_text="Video overlay on board",
    )
    hole_pattern_mm = NumberListField(help_text="Pitch of the mounting holes")
    screw_diameter_mm = measure("Nominal size of the mounting screws")
    firmware = models.CharField(max_length=40, blank=True, help_text="Firmware as fitted")
    settings_digest = models.CharField(
        max_length=80, blank=True, help_text="Digest of the settings as saved"
    )
    orientation = models.CharField(
        max_length=60, blank=True, help_text="How it is turned against the direction of flight"
    )
    modifications = models.CharField(max_length=200, blank=True, help_text="What was changed on it")
