"""When a verdict changes by time alone."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from math import floor

from inventory.health.care import (
    EMPTY_DAYS,
    FULL_DAYS,
    FULL_WEAR_DAYS,
    idle_state,
    is_left_empty,
    is_left_full,
)
from inventory.health.consistency import CLOCK_TOLERANCE
from inventory.health.curves import ABOVE_FULL_V
from inventory.health.drift import OVERCHARGE_LASTS
from inventory.health.entries import LogEntry, PackFacts
from inventory.health.limits import STALE_DAYS
from inventory.health.stops import rest_readings

TICK = timedelta(microseconds=1)
"""A condition may turn at a moment or just after it: both are looked at."""
HALF_DAY = 0.5


def next_change(
    rows: Sequence[LogEntry], facts: PackFacts, now: datetime, measured_at: datetime | None
) -> datetime | None:
    """Next time at which the judgement may say something else though nothing is added to the log.

    Parameters
    ----------
    rows : log in the order of time [-]
    facts : the pack [-]
    now : time of judging [-]
    measured_at : time of the newest evidence of capacity [-]

    Returns
    -------
    time, never later than the first change; None where none lies ahead

    Source
    ------
    The conditions on time in care, drift, consistency and the verdict.
    """
    edges = [
        *_of_rows_ahead(rows, now),
        *_of_overcharge(rows, facts),
        *_of_evidence(measured_at, now),
        *_of_idling(rows, facts, now),
    ]
    return min((m for edge in edges for m in (edge, edge + TICK) if m > now), default=None)


def _of_rows_ahead(rows: Sequence[LogEntry], now: datetime) -> Iterator[datetime]:
    for row in rows:
        if row.started_at > now:
            yield row.started_at - CLOCK_TOLERANCE
            yield row.started_at


def _of_overcharge(rows: Sequence[LogEntry], facts: PackFacts) -> Iterator[datetime]:
    for row in rest_readings(rows, facts):
        if max(row.rest_v) > facts.full_v_per_cell + ABOVE_FULL_V:
            yield row.started_at + OVERCHARGE_LASTS


def _of_evidence(measured_at: datetime | None, now: datetime) -> Iterator[datetime]:
    if measured_at is None:
        return
    yield measured_at + timedelta(days=STALE_DAYS + 1)
    days = (now - measured_at).days
    if days > STALE_DAYS:
        # The number of days is told.
        yield measured_at + timedelta(days=days + 1)


def _of_idling(rows: Sequence[LogEntry], facts: PackFacts, now: datetime) -> Iterator[datetime]:
    idle = idle_state(rows, facts, now)
    if idle is None:
        return
    since = now - timedelta(days=idle.days)
    for days in (FULL_DAYS, EMPTY_DAYS, FULL_WEAR_DAYS):
        yield since + timedelta(days=days)
    if is_left_full(idle, facts) or is_left_empty(idle, facts):
        # The number of days is told, rounded.
        whole = floor(idle.days + HALF_DAY)
        yield since + timedelta(days=whole - HALF_DAY)
        yield since + timedelta(days=whole + HALF_DAY)
