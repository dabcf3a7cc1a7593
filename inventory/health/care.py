"""What a pack needs now, whatever its health: storage, charging, carriage."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from inventory.health.entries import Kind, LogEntry, PackFacts, in_order
from inventory.health.limits import LIMITS, nominal_v

FULL_DAYS = 3
FULL_WEAR_DAYS = 14
EMPTY_DAYS = 7
MOST_CHARGE_C = 1.0
COLDEST_CHARGE_C, WARMEST_CHARGE_C = 5.0, 45.0
WARM_C, HOT_C = 55.0, 60.0
DEEP_SHARE = 0.80
CABIN_WH, LARGEST_WH = 100.0, 160.0


class Carriage(StrEnum):
    """Band of watt-hours for air travel. For information: ask the airline."""

    CABIN = "cabin"
    ASK_AIRLINE = "ask_airline"
    NOT_AS_BAGGAGE = "not_as_baggage"


@dataclass(frozen=True)
class Idle:
    """State in which a pack has been left."""

    lowest_v: float
    highest_v: float
    days: float


def watt_hours(facts: PackFacts) -> float:
    """Rated energy of a pack.

    Parameters
    ----------
    facts : cells, nominal volts per cell [V], rated capacity [mAh]

    Returns
    -------
    energy [Wh]

    Source
    ------
    Nominal voltage times rated capacity, as the rules for air travel count it: United States
    49 CFR 175.10(a)(18), from memory, not verified.
    """
    return facts.cells * nominal_v(facts) * facts.capacity_mah / 1000


def usable_wh(facts: PackFacts, capacity_mah: float | None) -> float | None:
    """Energy that a pack gives when a fifth of its charge is left in it.

    Parameters
    ----------
    facts : cells, nominal volts per cell [V]
    capacity_mah : capacity that the log tells [mAh]; None where it tells none

    Returns
    -------
    energy [Wh]; None without a capacity

    Source
    ------
    80 % of the charge: common practice, no source.
    """
    if capacity_mah is None:
        return None
    return DEEP_SHARE * facts.cells * nominal_v(facts) * capacity_mah / 1000


def carriage(energy_wh: float) -> Carriage:
    """Band that the rules for passengers' baggage put a battery in.

    Parameters
    ----------
    energy_wh : rated energy [Wh]

    Returns
    -------
    band; up to 100 Wh, up to 160 Wh, above

    Source
    ------
    United States 49 CFR 175.10(a)(18), from memory, not verified. Rules vary: ask the airline.
    """
    if energy_wh <= CABIN_WH:
        return Carriage.CABIN
    return Carriage.ASK_AIRLINE if energy_wh <= LARGEST_WH else Carriage.NOT_AS_BAGGAGE


def idle_state(entries: Sequence[LogEntry], facts: PackFacts, now: datetime) -> Idle | None:
    """State in which a pack has lain since its last charge or use.

    Parameters
    ----------
    entries : log in any order [-]
    facts : the pack; full volts per cell [V]
    now : time of judging [-]

    Returns
    -------
    lowest and highest cell [V] and idle time [d]; None where no voltage is known

    Source
    ------
    None needed.
    """
    rows = [row for row in in_order(entries) if row.started_at <= now]
    moved = [i for i, row in enumerate(rows) if row.kind in (Kind.CHARGE, Kind.USE)]
    if not moved:
        return _as_read(rows, facts, rows[0].started_at, now) if rows else None
    last = rows[moved[-1]]
    read = _as_read(rows[moved[-1] :], facts, last.started_at, now)
    if read is None and last.kind == Kind.CHARGE and last.is_full:
        return Idle(facts.full_v_per_cell, facts.full_v_per_cell, _days(last.started_at, now))
    return read


def advice(entries: Sequence[LogEntry], facts: PackFacts, now: datetime) -> tuple[str, ...]:
    """What to do with a pack now, whatever its health.

    Parameters
    ----------
    entries : log in any order [-]
    facts : the pack [-]
    now : time of judging [-]

    Returns
    -------
    sentences, the most urgent first

    Source
    ------
    Common practice, no source.
    """
    rows = [row for row in in_order(entries) if row.started_at <= now]
    return (
        *_storage(idle_state(rows, facts, now), facts),
        *_after_use(rows, facts),
        *_charging(rows, facts),
    )


def is_left_full(idle: Idle | None, facts: PackFacts) -> bool:
    """Whether a pack has been left full for longer than three days.

    Parameters
    ----------
    idle : its state [V], [d]
    facts : the pack; full volts per cell [V]

    Returns
    -------
    True or False

    Source
    ------
    Common practice, no source.
    """
    limit = facts.full_v_per_cell - LIMITS[facts.chemistry].left_full_below_full_v
    return idle is not None and idle.highest_v > limit and idle.days > FULL_DAYS


def is_left_empty(idle: Idle | None, facts: PackFacts) -> bool:
    """Whether a pack has been left near empty for longer than seven days.

    Parameters
    ----------
    idle : its state [V], [d]
    facts : the pack [-]

    Returns
    -------
    True or False

    Source
    ------
    Common practice, no source.
    """
    empty_v = LIMITS[facts.chemistry].empty_v
    return idle is not None and idle.lowest_v < empty_v and idle.days > EMPTY_DAYS


def _as_read(
    rows: Sequence[LogEntry], facts: PackFacts, since: datetime, now: datetime
) -> Idle | None:
    read = [row for row in rows if len(row.rest_v) == facts.cells]
    if not read:
        return None
    return Idle(min(read[-1].rest_v), max(read[-1].rest_v), _days(since, now))


def _days(since: datetime, now: datetime) -> float:
    return (now - since).total_seconds() / 86400


def _storage(idle: Idle | None, facts: PackFacts) -> list[str]:
    if idle is None:
        return []
    storage = LIMITS[facts.chemistry].storage
    if is_left_full(idle, facts):
        return [
            f"Full for {idle.days:.0f} days ({idle.highest_v:.2f} V a cell): discharge it today "
            f"to {storage}."
        ]
    if is_left_empty(idle, facts):
        return [
            f"Down to {idle.lowest_v:.2f} V a cell after {idle.days:.0f} idle days. If the maker "
            "allows a charge from there: at a low rate, watched; then test it again."
        ]
    return []


def _after_use(rows: Sequence[LogEntry], facts: PackFacts) -> list[str]:
    uses = [row for row in rows if row.kind == Kind.USE]
    if not uses:
        return []
    found = []
    warmest = uses[-1].temperature_c
    if warmest is not None and warmest > HOT_C:
        found.append(f"{warmest:.0f} °C after the last use: leave it until cool and inspect it.")
    elif warmest is not None and warmest > WARM_C:
        found.append(f"{warmest:.0f} °C after the last use: it works too hard; fly it gentler.")
    deep = [
        use for use in uses[-5:] if not use.is_capacity_test and _share_of(use, facts) > DEEP_SHARE
    ]
    if len(deep) >= 2:
        found.append(
            f"{len(deep)} of the last {len(uses[-5:])} uses drew more than 80 % of rated "
            f"({max(_share_of(use, facts) for use in deep):.0%}): set a shorter timer."
        )
    return found


def _share_of(use: LogEntry, facts: PackFacts) -> float:
    return (use.charge_mah or 0.0) / facts.capacity_mah


def _charging(rows: Sequence[LogEntry], facts: PackFacts) -> list[str]:
    charges = [row for row in rows if row.kind == Kind.CHARGE]
    if not charges:
        return []
    last = charges[-1]
    found = []
    if last.temperature_c is not None and not (
        COLDEST_CHARGE_C <= last.temperature_c <= WARMEST_CHARGE_C
    ):
        found.append(
            f"Last charged at {last.temperature_c:.0f} °C: charge between 5 and 45 °C, or as the "
            "maker says."
        )
    if last.charge_mah and last.duration_s:
        mean_a = 3.6 * last.charge_mah / last.duration_s
        if mean_a > MOST_CHARGE_C * facts.capacity_mah / 1000:
            found.append(
                f"Last charged with {mean_a:.1f} A on average: no more than "
                f"{facts.capacity_mah / 1000:.1f} A unless the maker allows it."
            )
    return found
