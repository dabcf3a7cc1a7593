"""Data sheet of a speed controller."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import NumberListField, WordListField, count, measure
from inventory.kinds.base import DataSheet


class SpeedController(DataSheet):
    """A motor speed controller, single or four in one."""

    kind_name: ClassVar[str] = "speed_controller"
    label: ClassVar[str] = "speed controller"
    label_plural: ClassVar[str] = "speed controllers"

    current_continuous_a = measure("Current the maker allows all the time, per motor")
    current_burst_a = measure("Current the maker allows for a burst, per motor")
    burst_s = measure("For how long the burst is allowed")
    cells_min = count("Fewest cells in series the maker allows")
    cells_max = count("Most cells in series the maker allows")
    voltage_min_v = measure("Least supply voltage", maximum=200)
    voltage_max_v = measure("Highest supply voltage", maximum=200, positive=True)
    resistance_mohm = measure("Resistance in the current's way, battery to motor")
    has_regulator = models.BooleanField(
        null=True, blank=True, help_text="Has it a regulator for servos and receiver"
    )
    regulator_voltage_v = measure("Output voltage of the built-in regulator")
    regulator_current_a = measure("Current of the built-in regulator, all the time")
    regulator_peak_a = measure("Current of the built-in regulator, short")
    protocols = WordListField(help_text="Signals it understands, for example pulse, digital")
    rate_max_hz = measure("Highest signal rate", positive=True)
    signal_min_v = measure("Least signal voltage it reads as on", maximum=200)
    has_brake = models.BooleanField(null=True, blank=True, help_text="Can it brake")
    has_reverse = models.BooleanField(
        null=True, blank=True, help_text="Can it turn the motor backwards"
    )
    channel_count = count("How many motors it drives")
    hole_pattern_mm = NumberListField(help_text="Pitch of the mounting holes")
    current_sensor_max_a = measure("Range of its current sensor", positive=True)
    current_sensor_mv_a = measure("Scale of its current sensor")
    firmware = models.CharField(max_length=40, blank=True, help_text="Firmware as fitted")
    capacitor_uf = measure("Capacitor at the battery wires")
    capacitor_mohm = measure("Series resistance of that capacitor")
    capacitor_voltage_v = measure("Voltage rating of that capacitor")
    wire_gauge_awg = measure("Gauge of the battery wires", minimum=-3, maximum=40)
    wire_length_mm = measure("Length of the battery wires")
