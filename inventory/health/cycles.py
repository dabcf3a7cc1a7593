"""Counting the cycles of a pack."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.health.entries import Kind, LogEntry, in_order

CHARGE_EFFICIENCY = 0.995
"""Charge got out per charge put in [-]; 0.994 to 0.999 in cells of the p492 series."""

AGREEMENT = 0.10
"""Largest share by which charge in and charge out may differ in a complete log [-]."""


@dataclass(frozen=True)
class Cycles:
    """Cycles of a pack: charges started, and charge drawn over rated capacity."""

    counted: int
    equivalent: float | None
    is_lower_bound: bool


@dataclass(frozen=True)
class CounterTotal:
    """Charge that passed a counter, and how often the counter started anew."""

    charge_mah: float
    restarts: int


def total_of_counter(readings_mah: Sequence[float]) -> CounterTotal:
    """Add up the readings of a cumulative counter that may have been reset.

    A reading below the one before it is taken as a count from zero, and reported.

    Parameters
    ----------
    readings_mah : readings in the order of time [mAh]

    Returns
    -------
    charge that passed [mAh] and number of restarts [-]

    Source
    ------
    Common practice, no source.
    """
    steps = _counter_steps(readings_mah)
    restarts = sum(b < a for a, b in zip(readings_mah, readings_mah[1:], strict=False))
    return CounterTotal(charge_mah=sum(steps), restarts=restarts)


def count_cycles(
    entries: Iterable[LogEntry], at_purchase: int, *, capacity_mah: float | None = None
) -> Cycles:
    """Count the cycles of a pack from its log.

    A cycle is a charge started; a log without charges counts its uses. Equivalent full cycles
    are charge drawn over the rated capacity, which stays fixed so that the past does not move.
    A use and its own recharge count once: the larger of all charge out and all charge in.

    Parameters
    ----------
    entries : log of the pack, in any order [-]
    at_purchase : cycles before the log began [-]
    capacity_mah : rated capacity [mAh]; without it no equivalent cycles are given

    Returns
    -------
    counted and equivalent cycles [-], and whether they are only a lower bound

    Raises
    ------
    ValueError : cycles at purchase are negative

    Source
    ------
    Equivalent full cycles as charge throughput over rated capacity: common practice, no source.
    """
    if at_purchase < 0:
        raise ValueError("Cycles at purchase cannot be negative.")
    rows = in_order(entries)
    charges = [row for row in rows if row.kind == Kind.CHARGE]
    uses = [row for row in rows if row.kind == Kind.USE]
    drawn = drawn_mah(rows)
    return Cycles(
        counted=at_purchase + (len(charges) or len(uses)),
        equivalent=drawn[-1] / capacity_mah
        if drawn and capacity_mah
        else _none_drawn(capacity_mah),
        is_lower_bound=at_purchase > 0 or _is_incomplete(rows),
    )


def drawn_mah(rows: Sequence[LogEntry]) -> list[float]:
    """Charge drawn from a pack up to and including each row.

    Parameters
    ----------
    rows : log in the order of time [-]

    Returns
    -------
    running totals [mAh]

    Source
    ------
    Common practice, no source.
    """
    charge_in = charge_out = 0.0
    totals = []
    for row, charge_mah in zip(rows, _charges_mah(rows), strict=True):
        if row.kind == Kind.USE:
            charge_out += charge_mah or 0.0
        if row.kind == Kind.CHARGE:
            charge_in += charge_mah or 0.0
        totals.append(max(charge_out, CHARGE_EFFICIENCY * charge_in))
    return totals


def _none_drawn(capacity_mah: float | None) -> float | None:
    return 0.0 if capacity_mah else None


def _counter_steps(readings_mah: Sequence[float]) -> list[float]:
    steps = list(readings_mah[:1])
    for before, reading in zip(readings_mah, readings_mah[1:], strict=False):
        steps.append(reading if reading < before else reading - before)
    return steps


def _charges_mah(rows: Sequence[LogEntry]) -> list[float | None]:
    """Charge of each row: as logged, else from the counter of its kind."""
    found: list[float | None] = [row.charge_mah for row in rows]
    for kind in (Kind.CHARGE, Kind.USE):
        places = [
            i for i, row in enumerate(rows) if row.kind == kind and row.counter_mah is not None
        ]
        steps = _counter_steps([rows[i].counter_mah or 0.0 for i in places])
        for place, step in zip(places, steps, strict=True):
            if found[place] is None:
                found[place] = step
    return found


def _is_incomplete(rows: Sequence[LogEntry]) -> bool:
    moving = (Kind.CHARGE, Kind.USE)
    charges = _charges_mah(rows)
    if any(
        row.kind in moving and charge is None for row, charge in zip(rows, charges, strict=True)
    ):
        return True
    if any(_restarts(rows, kind) for kind in moving):
        return True
    charge_in = _sum_of(rows, charges, Kind.CHARGE)
    charge_out = _sum_of(rows, charges, Kind.USE)
    if not charge_in or not charge_out:
        return False
    return abs(charge_in - charge_out) > AGREEMENT * max(charge_in, charge_out)


def _restarts(rows: Sequence[LogEntry], kind: Kind) -> int:
    readings = [row.counter_mah for row in rows if row.kind == kind and row.counter_mah is not None]
    return total_of_counter(readings).restarts


def _sum_of(rows: Sequence[LogEntry], charges: Sequence[float | None], kind: Kind) -> float:
    return sum(c or 0.0 for row, c in zip(rows, charges, strict=True) if row.kind == kind)
