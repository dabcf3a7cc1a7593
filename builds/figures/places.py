"""How far two positions are apart."""

from __future__ import annotations

import math

from builds.figures.loads import POSITION_UNCERTAINTY_MM
from builds.figures.results import Input, NotKnown, Worked, propagate
from builds.findings import words_of
from builds.records import PositionRecord

SOURCE = "Distance between the two places along x, y and z (Pythagoras)."
AXES = ("x_mm", "y_mm", "z_mm")


def distance_between(one: PositionRecord, other: PositionRecord) -> Worked:
    """Distance between the middles of two parts [mm].

    Raises
    ------
    NotKnown
        Naming each place of which x, y or z is not known.
    """
    places = [(position, axis) for position in (one, other) for axis in AXES]
    missing = [
        f"the place “{position.name}”: {words_of(axis)}"
        for position, axis in places
        if getattr(position, axis) is None
    ]
    if missing:
        raise NotKnown(missing)
    value, uncertainty = propagate(
        lambda n: math.dist(n[:3], n[3:]),
        [(getattr(position, axis), POSITION_UNCERTAINTY_MM) for position, axis in places],
    )
    inputs = tuple(
        Input(
            f"the place “{position.name}”: {words_of(axis)}", getattr(position, axis), "mm", "build"
        )
        for position, axis in places
    )
    return Worked(value, uncertainty, inputs, SOURCE)
