"""Which reading belongs to which shape of file."""

from __future__ import annotations

from typing import Any

from inventory.log_files.fields import SAMPLES
from inventory.log_files.planning import FileReading, Subject
from inventory.log_files.recipes import Recipe
from inventory.log_files.sampled import SampledReading
from inventory.log_files.summed import SummedReading


def reading_of(subject: Subject, recipe: Recipe, state: dict[str, Any]) -> FileReading:
    """A pass through a file of the recipe's shape, from that state on."""
    shape = SampledReading if recipe.shape == SAMPLES else SummedReading
    return shape(subject, recipe, state)
