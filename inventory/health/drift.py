"""What drift of single cells and swelling say of a pack that no fact has stopped."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from inventory.health.cells import (
    Spread,
    is_comparable,
    self_discharge_per_day,
    spread,
    worst_cell,
)
from inventory.health.curves import ABOVE_FULL_V
from inventory.health.entries import Kind, LogEntry, PackFacts
from inventory.health.limits import (
    CELL_RATIO_WATCH,
    SELF_DISCHARGE_PER_DAY,
    SPREAD_NOISE_V,
    SPREAD_WATCH_STATE,
    SPREAD_WATCH_V,
    SWELLING_WATCH_PERCENT,
)
from inventory.health.pairs import SHORTEST_REST_H
from inventory.health.reasons import Reason, Verdict
from inventory.health.stops import rest_readings, swelling_percent

OVERCHARGE_LASTS = timedelta(days=90)


def by_cells(rows: Sequence[LogEntry], facts: PackFacts) -> Iterator[Reason]:
    """Grade the drift of single cells.

    Parameters
    ----------
    rows : log in the order of time; volts [V] and resistances [mohm] per cell
    facts : the pack [-]

    Returns
    -------
    reasons to watch, none where the cells agree

    Source
    ------
    30 mV, 5 % of charge, 0.5 % a day and 1.3 times the others: common practice, no source.
    """
    spreads = _rested_spreads(rows, facts)
    if spreads and _is_wide(spreads[-1]):
        last = spreads[-1]
        charge = "" if last.state is None else f", {last.state:.0%} of its charge"
        history = ", ".join(f"{1000 * s.volts:.0f}" for s in spreads[-3:])
        yield Reason(
            Verdict.WATCH,
            "spread",
            f"Cell {last.low_cell} is {1000 * last.volts:.0f} mV low at rest{charge}, on "
            f"{last.at:%Y-%m-%d}. Newest readings: {history} mV.",
            "Rest readings after a balance charge that stay close together.",
        )
    yield from _self_discharge(rows, facts)
    readings = [row for row in rows if row.resistance_mohm]
    worst = worst_cell(readings[-1], facts) if readings else None
    if worst is not None and worst.ratio > CELL_RATIO_WATCH:
        yield Reason(
            Verdict.WATCH,
            "cell_resistance",
            f"Cell {worst.cell} has {worst.resistance_mohm:.1f} mΩ, {worst.ratio:.2f} times the "
            f"others, on {worst.at:%Y-%m-%d}.",
            f"A reading with clean contacts below {CELL_RATIO_WATCH} times the others.",
        )


def by_swelling(rows: Sequence[LogEntry], facts: PackFacts) -> Iterator[Reason]:
    """Grade growth in thickness below the limit that stops a pack.

    Parameters
    ----------
    rows : log in the order of time [mm]
    facts : the pack [mm]

    Returns
    -------
    one reason to watch, or none

    Source
    ------
    5 %: common practice, no source.
    """
    percent = swelling_percent(rows, facts)
    if percent is not None and percent >= SWELLING_WATCH_PERCENT:
        yield Reason(
            Verdict.WATCH,
            "swelling",
            f"Thicker by {percent:.0f} % than at first.",
            "A second measurement at the same charge and temperature.",
        )


def by_overcharge(rows: Sequence[LogEntry], facts: PackFacts, now: datetime) -> Iterator[Reason]:
    """Grade cells that stood above full at rest: a wrong setting of the charger, or a wrong sheet.

    Parameters
    ----------
    rows : log in the order of time, volts per cell [V]
    facts : the pack; full volts per cell [V]
    now : time of judging [-]

    Returns
    -------
    one reason to watch for the newest such reading of the last 90 days, or none

    Source
    ------
    50 mV and 90 days: common practice, no source.
    """
    limit = facts.full_v_per_cell + ABOVE_FULL_V
    above = [
        row
        for row in rest_readings(rows, facts)
        if max(row.rest_v) > limit and now - row.started_at <= OVERCHARGE_LASTS
    ]
    if above:
        highest = max(above[-1].rest_v)
        yield Reason(
            Verdict.WATCH,
            "overcharged",
            f"Cell {above[-1].rest_v.index(highest) + 1} stood at {highest:.2f} V at rest on "
            f"{above[-1].started_at:%Y-%m-%d}; full is {facts.full_v_per_cell:.2f} V. An "
            "overcharged cell can catch fire: check the charger's setting before any charge.",
            "The right full voltage in the data sheet, if that is wrong; else full charges that "
            "stay at or below it.",
        )


def _self_discharge(rows: Sequence[LogEntry], facts: PackFacts) -> Iterator[Reason]:
    """Grade cells that lose charge in storage faster than the best one."""
    moved = [place for place, row in enumerate(rows) if row.kind in (Kind.CHARGE, Kind.USE)]
    stored = _rested(rows[moved[-1] :] if moved else rows, facts)
    lost = self_discharge_per_day(stored, facts)
    if lost is None:
        return
    days = (stored[-1].started_at - stored[0].started_at).total_seconds() / 86400
    worst = max(lost)
    if worst > SELF_DISCHARGE_PER_DAY and worst * days > SPREAD_WATCH_STATE:
        yield Reason(
            Verdict.WATCH,
            "self_discharge",
            f"Cell {lost.index(worst) + 1} lost {worst * days:.0%} more of its charge than the "
            f"best cell in {days:.0f} days of storage.",
            "Another week of storage with rest readings at both ends that does not show it.",
        )


def _rested(rows: Sequence[LogEntry], facts: PackFacts) -> list[LogEntry]:
    return [
        row
        for row in rest_readings(rows, facts)
        if is_comparable(row, facts)
        and (row.hours_since_use is None or row.hours_since_use >= SHORTEST_REST_H)
    ]


def _rested_spreads(rows: Sequence[LogEntry], facts: PackFacts) -> list[Spread]:
    rested = _rested(rows, facts)
    return [found for row in rested if (found := spread(row, facts)) is not None]


def _is_wide(found: Spread) -> bool:
    if found.state is None:
        return found.volts > SPREAD_WATCH_V + 1e-9
    return found.state > SPREAD_WATCH_STATE and found.volts > SPREAD_NOISE_V + 1e-9
