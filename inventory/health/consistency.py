"""Rows of a log that cannot be true."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import isfinite

from inventory.health.entries import Kind, LogEntry, PackFacts, in_order

MOST_OF_RATED = 1.05
CHARGE_BACK = 0.10
FEWEST_MISMATCHES = 3
MISMATCH_SHARE = 0.25
SAME_MINUTE = timedelta(minutes=1)
CLOCK_TOLERANCE = timedelta(minutes=5)
HIGHEST_CELL_V = 4.5


@dataclass(frozen=True)
class Contradiction:
    """Rows that cannot all be true.

    An impossible one withholds the verdict; a doubtful one only keeps its rows out of the
    capacity.
    """

    row_ids: tuple[str, ...]
    message: str
    is_impossible: bool = True


def find_contradictions(
    entries: Sequence[LogEntry], facts: PackFacts, now: datetime
) -> tuple[Contradiction, ...]:
    """Find the rows of a log that cannot be true.

    Parameters
    ----------
    entries : log in any order [-]
    facts : the pack; rated capacity [mAh]
    now : time of judging [-]

    Returns
    -------
    contradictions, each naming its rows

    Source
    ------
    More than 105 % of rated, charge back within 10 % of use: common practice, no source.
    """
    rows = in_order(entries)
    checks: tuple[Callable[[], Iterator[Contradiction]], ...] = (
        lambda: _of_single_rows(rows, facts, now),
        lambda: _overlaps(rows),
        lambda: _more_flights_than_counter(rows),
        lambda: _charge_back(rows),
    )
    return tuple(found for check in checks for found in check())


def doubtful_ids(found: Sequence[Contradiction]) -> frozenset[str]:
    """Rows that any contradiction names.

    Parameters
    ----------
    found : contradictions [-]

    Returns
    -------
    their row ids [-]

    Source
    ------
    None needed.
    """
    return frozenset(row_id for contradiction in found for row_id in contradiction.row_ids)


def _of_single_rows(
    rows: Sequence[LogEntry], facts: PackFacts, now: datetime
) -> Iterator[Contradiction]:
    for row in rows:
        for message in _faults(row, facts, now):
            yield Contradiction((row.id,), f"{row.started_at:%Y-%m-%d %H:%M}: {message}")


def _faults(row: LogEntry, facts: PackFacts, now: datetime) -> Iterator[str]:
    if row.started_at > now + CLOCK_TOLERANCE:
        yield "dated in the future."
    if not _is_sound(row):
        yield "a figure that is negative or not a number."
        return
    if row.kind == Kind.USE and (row.charge_mah or 0) > MOST_OF_RATED * facts.capacity_mah:
        yield f"{row.charge_mah:.0f} mAh out of a pack of {facts.capacity_mah:.0f} mAh."
    if row.aircraft_cells is not None and row.aircraft_cells != facts.cells:
        yield f"used in an aircraft for {row.aircraft_cells} cells; the pack has {facts.cells}."
    if row.rest_v and len(row.rest_v) != facts.cells:
        yield f"{len(row.rest_v)} rest voltages for {facts.cells} cells."
    elif row.rest_v and max(row.rest_v) > HIGHEST_CELL_V:
        yield f"{max(row.rest_v):.2f} V for one cell; that of the whole pack?"
    if row.resistance_mohm and len(row.resistance_mohm) != facts.cells:
        yield f"{len(row.resistance_mohm)} resistances for {facts.cells} cells."


def _is_sound(row: LogEntry) -> bool:
    single = (row.charge_mah, row.duration_s, row.counter_mah, row.hours_since_use)
    values = [v for v in single if v is not None] + list(row.rest_v) + list(row.resistance_mohm)
    return all(isfinite(v) and v >= 0 for v in values)


def _overlaps(rows: Sequence[LogEntry]) -> Iterator[Contradiction]:
    moving = [row for row in rows if row.kind in (Kind.CHARGE, Kind.USE)]
    for before, after in pairwise(moving):
        ends_at = before.started_at + timedelta(seconds=max(before.duration_s or 0.0, 0.0))
        same_minute = after.started_at - before.started_at < SAME_MINUTE
        if after.started_at >= ends_at and not same_minute:
            continue
        what = "two rows in one minute" if same_minute else "two rows that overlap"
        yield Contradiction((before.id, after.id), f"{after.started_at:%Y-%m-%d %H:%M}: {what}.")


def _more_flights_than_counter(rows: Sequence[LogEntry]) -> Iterator[Contradiction]:
    uses = 0
    for row in rows:
        uses += row.kind == Kind.USE
        if row.counter_cycles is not None and row.counter_cycles < _cycles_of(rows, row, uses):
            message = f"{uses} uses logged against a counter of {row.counter_cycles}."
            yield Contradiction((row.id,), message)


def _cycles_of(rows: Sequence[LogEntry], until: LogEntry, uses: int) -> int:
    """Cycles that a counter must show: the charges where they are logged, else the uses."""
    charges = sum(row.kind == Kind.CHARGE and row.started_at <= until.started_at for row in rows)
    return charges or uses


def _charge_back(rows: Sequence[LogEntry]) -> Iterator[Contradiction]:
    """Compare each full charge with the uses since the full charge before it."""
    checked = 0
    found: list[Contradiction] = []
    uses: list[LogEntry] | None = None
    for row in rows:
        if row.kind == Kind.USE and uses is not None:
            uses.append(row)
        if row.kind != Kind.CHARGE:
            continue
        if uses and row.is_full and row.charge_mah and all(use.charge_mah for use in uses):
            checked += 1
            found += _mismatch(uses, row)
        uses = [] if row.is_full else None
    share_is_large = len(found) >= FEWEST_MISMATCHES and len(found) > MISMATCH_SHARE * checked
    for contradiction in found:
        yield Contradiction(contradiction.row_ids, contradiction.message, share_is_large)


def _mismatch(uses: Sequence[LogEntry], charge: LogEntry) -> list[Contradiction]:
    out = sum(use.charge_mah or 0.0 for use in uses)
    back = charge.charge_mah or 0.0
    if abs(back - out) <= CHARGE_BACK * max(back, out):
        return []
    message = f"{charge.started_at:%Y-%m-%d %H:%M}: {back:.0f} mAh back after {out:.0f} mAh out."
    return [Contradiction((*(use.id for use in uses), charge.id), message, is_impossible=False)]
