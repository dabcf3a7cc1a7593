"""Data sheet of a regulator."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from hangar.fields import measure
from inventory.kinds.base import DataSheet


class Regulator(DataSheet):
    """A voltage regulator of its own."""

    kind_name: ClassVar[str] = "regulator"
    label: ClassVar[str] = "regulator"
    label_plural: ClassVar[str] = "regulators"

    voltage_in_min_v = measure("Least input voltage", maximum=200)
    voltage_in_max_v = measure("Highest input voltage", maximum=200, positive=True)
    dropout_v = measure("Least difference between input and output", maximum=200)
    voltage_out_v = measure("Output voltage", maximum=200)
    current_continuous_a = measure("Current all the time")
    current_peak_a = measure("Current, short")
    topology = models.CharField(
        max_length=16,
        blank=True,
        choices=(("linear", "linear"), ("switching", "switching")),
        help_text="How it works",
    )
    is_isolated = models.BooleanField(
        null=True, blank=True, help_text="Can it share a rail with another source"
    )
