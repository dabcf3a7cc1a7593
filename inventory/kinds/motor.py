"""Data sheet of a motor."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import NumberListField, count, measure
from inventory.kinds.base import DataSheet


class Motor(DataSheet):
    """A brushless motor: three constants, limits and how it is mounted."""

    kind_name: ClassVar[str] = "motor"
    label: ClassVar[str] = "motor"
    label_plural: ClassVar[str] = "motors"

    stator_diameter_mm = measure("Stator diameter")
    stator_height_mm = measure("Stator height")
    kv_rpm_v = measure("Speed constant, unloaded")
    resistance_mohm = measure("Winding resistance, terminal to terminal")
    no_load_current_a = measure("Current without load")
    no_load_voltage_v = measure("Voltage at which the no-load current was read")
    current_max_a = measure("Highest current the maker allows", positive=True)
    current_max_s = measure("For how long the highest current is allowed", positive=True)
    power_max_w = measure("Highest electrical power the maker allows", positive=True)
    cells_min = count("Fewest cells in series the maker allows")
    cells_max = count("Most cells in series the maker allows")
    hole_pattern_mm = NumberListField(
        help_text="Pitch circles of the mounting holes, for example 16, 19"
    )
    screw_diameter_mm = measure("Nominal size of the mounting screws")
    screw_depth_max_mm = measure(
        "Deepest a screw may go into the motor before it meets the winding", positive=True
    )
    shaft_diameter_mm = measure("Propeller shaft diameter")
    propeller_fixing = models.CharField(
        max_length=40, blank=True, help_text="How the propeller is held"
    )
    thread_hand = models.CharField(
        max_length=16,
        blank=True,
        choices=(("right", "right"), ("left", "left")),
        help_text="Hand of the shaft's thread",
    )
    bell_clearance_mm = measure("Room the turning bell needs round it")
    wire_length_mm = measure("Length of the motor's wires")
