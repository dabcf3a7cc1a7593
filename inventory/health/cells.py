"""How far the cells of a pack differ: in voltage at rest, in charge, in resistance."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median

from inventory.health.curves import NoCurve, curve_for
from inventory.health.entries import LogEntry, PackFacts
from inventory.health.limits import LIMITS


@dataclass(frozen=True)
class Spread:
    """Difference between the fullest and the emptiest cell at rest."""

    at: datetime
    volts: float
    state: float | None
    low_cell: int

    @property
    def percent(self) -> float | None:
        """Difference in charge [%]; None where no curve holds."""
        return None if self.state is None else 100 * self.state


@dataclass(frozen=True)
class WorstCell:
    """The cell with the highest resistance against the median of the others."""

    at: datetime
    cell: int
    resistance_mohm: float
    ratio: float


def spread(row: LogEntry, facts: PackFacts) -> Spread | None:
    """Spread of the cells in a rest reading.

    The same millivolts are much charge in the flat part of the curve and little in the steep
    one, so the spread is turned into charge where a curve holds.

    Parameters
    ----------
    row : entry with rest voltages of each cell [V]
    facts : the pack [-]

    Returns
    -------
    spread [V] and, where a curve holds, in state of charge [-]; None for a single cell

    Source
    ------
    The curve of these cells.
    """
    if facts.cells < 2 or len(row.rest_v) != facts.cells:
        return None
    lowest, highest = min(row.rest_v), max(row.rest_v)
    return Spread(
        at=row.started_at,
        volts=highest - lowest,
        state=_difference_of_state(lowest, highest, facts),
        low_cell=row.rest_v.index(lowest) + 1,
    )


def is_comparable(row: LogEntry, facts: PackFacts) -> bool:
    """Whether a rest reading shows imbalance: near empty, small differences look large.

    Parameters
    ----------
    row : entry with rest voltages of each cell [V]
    facts : the pack [-]

    Returns
    -------
    False where the pack as a whole is near empty

    Source
    ------
    Shape of the open-circuit curve below a tenth of the charge.
    """
    return bool(row.rest_v) and median(row.rest_v) >= LIMITS[facts.chemistry].empty_v


def worst_cell(row: LogEntry, facts: PackFacts) -> WorstCell | None:
    """Cell of highest resistance in one reading, against the median of the other cells.

    Parameters
    ----------
    row : entry with the resistance of each cell [mohm]
    facts : the pack [-]

    Returns
    -------
    cell, its resistance [mohm] and ratio [-]; None for a single cell

    Source
    ------
    Common practice, no source.
    """
    values = row.resistance_mohm
    if facts.cells < 2 or len(values) != facts.cells or min(values) <= 0:
        return None
    worst = max(values)
    place = values.index(worst)
    others = values[:place] + values[place + 1 :]
    return WorstCell(row.started_at, place + 1, worst, worst / median(others))


def self_discharge_per_day(
    readings: Sequence[LogEntry], facts: PackFacts
) -> tuple[float, ...] | None:
    """Charge that each cell lost beyond the best cell per day, between two rest readings.

    Parameters
    ----------
    readings : rest readings of a stored pack in the order of time [V]
    facts : the pack [-]

    Returns
    -------
    loss of each cell [share of charge per day]; None below seven days or without a curve

    Source
    ------
    Common practice, no source.
    """
    usable = [row for row in readings if len(row.rest_v) == facts.cells]
    if facts.cells < 2 or len(usable) < 2:
        return None
    first, last = usable[0], usable[-1]
    days = (last.started_at - first.started_at).total_seconds() / 86400
    if days < 7:
        return None
    try:
        curve = curve_for(facts)
    except NoCurve:
        return None
    lost = [
        curve.state_of_charge(before) - curve.state_of_charge(after)
        for before, after in zip(first.rest_v, last.rest_v, strict=True)
    ]
    return tuple((loss - min(lost)) / days for loss in lost)


def _difference_of_state(lowest: float, highest: float, facts: PackFacts) -> float | None:
    try:
        curve = curve_for(facts)
        return curve.state_of_charge(highest) - curve.state_of_charge(lowest)
    except ValueError:
        return None
