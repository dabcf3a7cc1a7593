"""Facts that take a pack out of service, whatever else is good."""

from collections.abc import Iterator, Sequence

from inventory.health.cells import is_comparable, spread, worst_cell
from inventory.health.consistency import HIGHEST_CELL_V
from inventory.health.entries import Kind, LogEntry, PackFacts
from inventory.health.limits import (
    CELL_RATIO_STOP,
    LIMITS,
    SPREAD_STOP_V,
    SWELLING_STOP_PERCENT,
    minimum_v,
)
from inventory.health.reasons import Reason, Verdict

NOTHING = "Nothing: no later reading takes this back. A row entered by mistake must be corrected."


def find_stops(rows: Sequence[LogEntry], facts: PackFacts) -> tuple[Reason, ...]:
    """Facts that take a pack out of service.

    Parameters
    ----------
    rows : log in the order of time [-]
    facts : the pack; thickness [mm], lowest volts per cell [V]

    Returns
    -------
    reasons, none for a pack without such a fact

    Source
    ------
    Limits: common practice, no source.
    """
    found = [
        *_by_hand(facts),
        *_incidents(rows),
        *_swelling(rows, facts),
        *_low_cell(rows, facts),
        *_spread(rows, facts),
        *_cell_resistance(rows, facts),
    ]
    return tuple(found)


def swelling_percent(rows: Sequence[LogEntry], facts: PackFacts) -> float | None:
    """Growth of the thickness of a pack.

    Parameters
    ----------
    rows : log in the order of time; thickness [mm]
    facts : the pack; first and present thickness [mm]

    Returns
    -------
    largest growth since the first measurement [%]; None where one of them is missing

    Source
    ------
    None needed.
    """
    measured = [row.thickness_mm for row in rows if row.thickness_mm]
    first = facts.thickness_first_mm or (measured[0] if measured else None)
    seen = measured + ([facts.thickness_now_mm] if facts.thickness_now_mm else [])
    if not first or not seen:
        return None
    return 100 * (max(seen) / first - 1)


def rest_readings(rows: Sequence[LogEntry], facts: PackFacts) -> list[LogEntry]:
    """Rows with a believable rest voltage for each cell of the pack.

    Parameters
    ----------
    rows : log in the order of time [V]
    facts : the pack [-]

    Returns
    -------
    rows in the order of time

    Source
    ------
    None needed.
    """
    return [
        row
        for row in rows
        if len(row.rest_v) == facts.cells and all(0 <= v <= HIGHEST_CELL_V for v in row.rest_v)
    ]


def _stop(about: str, message: str, would_change: str = NOTHING) -> Reason:
    return Reason(Verdict.OUT_OF_SERVICE, about, message, would_change)


def _by_hand(facts: PackFacts) -> Iterator[Reason]:
    if facts.out_of_service_because:
        yield _stop(
            "status",
            f"Taken out of service: {facts.out_of_service_because}",
            "Only the person who set it.",
        )


def _incidents(rows: Sequence[LogEntry]) -> Iterator[Reason]:
    for row in rows:
        if row.kind == Kind.INCIDENT:
            what = f": {row.note}" if row.note else ""
            yield _stop("incident", f"Incident on {row.started_at:%Y-%m-%d}{what}.")


def _swelling(rows: Sequence[LogEntry], facts: PackFacts) -> Iterator[Reason]:
    percent = swelling_percent(rows, facts)
    if percent is not None and percent >= SWELLING_STOP_PERCENT:
        now_mm = f" to {facts.thickness_now_mm:.0f} mm" if facts.thickness_now_mm else ""
        yield _stop(
            "swelling",
            f"Swollen by {percent:.0f} %{now_mm}; {SWELLING_STOP_PERCENT:.0f} % is the limit.",
        )


def _low_cell(rows: Sequence[LogEntry], facts: PackFacts) -> Iterator[Reason]:
    readings = rest_readings(rows, facts)
    if not readings:
        return
    row = min(readings, key=lambda reading: min(reading.rest_v))
    lowest, limit = min(row.rest_v), minimum_v(facts)
    if lowest >= limit:
        return
    cell = row.rest_v.index(lowest) + 1
    never = " Never charge it." if lowest < LIMITS[facts.chemistry].never_charge_v else ""
    yield _stop(
        "low_cell",
        f"Cell {cell} read {lowest:.2f} V at rest on {row.started_at:%Y-%m-%d}, below "
        f"{limit:.2f} V.{never}",
    )


def _spread(rows: Sequence[LogEntry], facts: PackFacts) -> Iterator[Reason]:
    readings = [row for row in rest_readings(rows, facts) if is_comparable(row, facts)]
    latest = spread(readings[-1], facts) if readings else None
    if latest is not None and latest.volts > SPREAD_STOP_V + 1e-9:
        yield _stop(
            "spread",
            f"Cell {latest.low_cell} stands {1000 * latest.volts:.0f} mV below the fullest at rest "
            f"on {latest.at:%Y-%m-%d}; {1000 * SPREAD_STOP_V:.0f} mV is the limit.",
            "A rest reading with less spread after a balance charge by the maker's instructions.",
        )


def _cell_resistance(rows: Sequence[LogEntry], facts: PackFacts) -> Iterator[Reason]:
    readings = [row for row in rows if row.resistance_mohm]
    worst = worst_cell(readings[-1], facts) if readings else None
    if worst is not None and worst.ratio > CELL_RATIO_STOP:
        yield _stop(
            "cell_resistance",
            f"Cell {worst.cell} has {worst.resistance_mohm:.1f} mΩ, {worst.ratio:.2f} times the "
            f"others, on {worst.at:%Y-%m-%d}; {CELL_RATIO_STOP:.0f} times is the limit.",
            "A second reading with clean contacts that does not show it.",
        )
