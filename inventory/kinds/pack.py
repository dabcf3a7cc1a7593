"""Data sheet of a pack."""

from __future__ import annotations

from itertools import pairwise
from typing import ClassVar

from django.core.exceptions import ValidationError
from django.db import models

from hangar.fields import count, measure
from inventory.kinds.base import DataSheet

CELL_VOLTAGES = ("cell_min_v", "cell_nominal_v", "cell_full_v")
CELL_VOLTAGES_CROSSED = "A cell is above its least voltage at nominal, and above nominal when full."


class Pack(DataSheet):
    """A battery pack."""

    kind_name: ClassVar[str] = "pack"
    label: ClassVar[str] = "pack"
    label_plural: ClassVar[str] = "packs"
    measured_only: ClassVar[tuple[str, ...]] = (
        "cycles_at_purchase",
        "cycle_counter",
        "end_line_percent",
    )
    counted_from_one: ClassVar[tuple[str, ...]] = ("cell_count", "parallel_count")

    chemistry = models.CharField(
        max_length=16,
        blank=True,
        choices=(
            ("lipo", "lithium polymer"),
            ("lipo_hv", "lithium polymer, high voltage"),
            ("li_ion", "lithium ion"),
            ("lifepo4", "lithium iron phosphate"),
            ("nimh", "nickel metal hydride"),
        ),
        help_text="Cell chemistry",
    )
    cell_count = count("Cells in series")
    parallel_count = count("Cells in parallel")
    capacity_mah = measure("Rated capacity", positive=True)
    cell_full_v = measure("Voltage of a full cell", maximum=5)
    cell_nominal_v = measure("Nominal voltage of a cell", maximum=5)
    cell_min_v = measure("Least voltage of a cell under load", maximum=5)
    continuous_c_rate = measure(
        "Continuous rating on the label, in multiples of the capacity", maximum=500
    )
    burst_c_rate = measure("Burst rating on the label, in multiples of the capacity", maximum=500)
    charge_c_rate = measure(
        "Highest rate of charging the maker allows, in multiples of the capacity", maximum=50
    )
    current_continuous_a = measure("Continuous current the maker states, where it does")
    plug = models.CharField(max_length=40, blank=True, help_text="Main plug")
    plug_gender = models.CharField(
        max_length=16,
        blank=True,
        choices=(("plug", "plug"), ("socket", "socket")),
        help_text="Gender of the pack's plug",
    )
    plug_rating_a = measure("Current the main plug is rated for", positive=True)
    plug_polarity = models.CharField(
        max_length=16,
        blank=True,
        choices=(("usual", "as the plug is marked"), ("reversed", "the other way round")),
        help_text="Where plus and minus are in the plug, by a meter",
    )
    balance_plug = models.CharField(max_length=40, blank=True, help_text="Balance plug")
    lead_length_mm = measure("Length of the main leads")
    lead_gauge_awg = measure("Gauge of the main leads", minimum=-3, maximum=40)

    def clean(self) -> None:
        """Refuse voltages of a cell that are not in their order."""
        super().clean()
        given = [name for name in CELL_VOLTAGES if getattr(self, name) is not None]
        for low, high in pairwise(given):
            if getattr(self, low) >= getattr(self, high):
                raise ValidationError({high: CELL_VOLTAGES_CROSSED})
