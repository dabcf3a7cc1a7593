"""What a pack's log says of its last charge, uses and rest, as values of its record.

Plain Python: rows are read, not written, and may come from anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from builds.records import Value
from inventory.health import Verdict

CHARGE, USE, REST, RESISTANCE, INSPECTION = "charge", "use", "rest", "resistance", "inspection"
LAST_USES = 5
AMPERE_SECONDS_PER_MAH = 3.6

LOG_FACTS = (
    "stored_days",
    "stored_low_v",
    "stored_high_v",
    "left_charged_full",
    "rest_hours",
    "resistance_temperature_c",
    "charge_current_a",
    "charge_temperature_c",
    "use_temperature_c",
    "last_uses_mah",
)
"""What the record of a pack takes from its rows."""
HEALTH_FACTS = (
    "health_abouts",
    "health_messages",
    "log_contradictions",
    "capacity_percent",
    "resistance_ratio",
)
"""What the record of a pack takes from the judgement on its log, beside verdict and reason."""


def log_facts(rows: Sequence[Any], now: datetime) -> dict[str, Value]:
    """Values that the rows of a log tell, oldest row first; a row of the future tells nothing."""
    past = [row for row in rows if row.started_at <= now]
    return {
        **_stored(past, now),
        **_of_last_rest(past),
        **_of_last_resistance(past),
        **_of_last_charge(past),
        **_of_uses(past),
    }


def health_facts(report: Any) -> dict[str, Value]:
    """Values that the judgement on a log tells."""
    leading = [reason for reason in report.reasons if reason.verdict == report.verdict]
    told = {
        "health_abouts": tuple(reason.about for reason in leading),
        "health_messages": tuple(reason.message for reason in leading),
        "log_contradictions": tuple(
            reason.message
            for reason in report.reasons
            if reason.about == "log" and reason.verdict == Verdict.CANNOT_TELL
        ),
    }
    facts = {name: Value(value, "computed") for name, value in told.items() if value}
    if report.health is None:
        return facts
    if report.health.capacity_percent is not None:
        facts["capacity_percent"] = Value(
            report.health.capacity_percent, "measured", at=report.health.capacity_at
        )
    if report.health.resistance_ratio is not None:
        facts["resistance_ratio"] = Value(report.health.resistance_ratio, "measured")
    return facts


def _told(row: Any, value: Any) -> Value:
    return Value(value, "measured", None, row.started_at, str(row.by))


def _last(rows: Sequence[Any], *kinds: str) -> Any:
    return next((row for row in reversed(rows) if row.kind in kinds), None)


def _stored(rows: Sequence[Any], now: datetime) -> dict[str, Value]:
    """How long the pack has lain, and its cells as last read since."""
    moved = [place for place, row in enumerate(rows) if row.kind in (CHARGE, USE)]
    lying = rows[moved[-1] :] if moved else rows
    if not lying:
        return {}
    since = lying[0]
    days = Value((now - since.started_at).days, "computed", None, since.started_at, str(since.by))
    read = next((row for row in reversed(lying) if row.rest_v), None)
    if read is not None:
        return {
            "stored_days": days,
            "stored_low_v": _told(read, min(read.rest_v)),
            "stored_high_v": _told(read, max(read.rest_v)),
        }
    if since.kind == CHARGE and since.is_full:
        return {"stored_days": days, "left_charged_full": _told(since, True)}
    return {}


def _of_last_rest(rows: Sequence[Any]) -> dict[str, Value]:
    row = _last(rows, REST)
    return {} if row is None or row.rested_h is None else {"rest_hours": _told(row, row.rested_h)}


def _of_last_resistance(rows: Sequence[Any]) -> dict[str, Value]:
    row = _last(rows, RESISTANCE)
    if row is None or row.temperature_c is None:
        return {}
    return {"resistance_temperature_c": _told(row, row.temperature_c)}


def _of_last_charge(rows: Sequence[Any]) -> dict[str, Value]:
    row = _last(rows, CHARGE)
    if row is None:
        return {}
    facts = {}
    if row.charge_mah and row.duration_s:
        current = row.charge_mah * AMPERE_SECONDS_PER_MAH / row.duration_s
        facts["charge_current_a"] = _told(row, current)
    if row.temperature_c is not None:
        facts["charge_temperature_c"] = _told(row, row.temperature_c)
    return facts


def _of_uses(rows: Sequence[Any]) -> dict[str, Value]:
    """The charge that the last uses drew, and how warm the last one made the pack.

    An inspection afterwards has answered the heat.
    """
    uses = [row for row in rows if row.kind == USE and not row.is_capacity_test]
    if not uses:
        return {}
    facts = {}
    drawn = tuple(row.charge_mah for row in uses[-LAST_USES:] if row.charge_mah is not None)
    if drawn:
        facts["last_uses_mah"] = _told(uses[-1], drawn)
    last = _last(rows, USE, INSPECTION)
    if last.kind == USE and last.temperature_c is not None:
        facts["use_temperature_c"] = _told(last, last.temperature_c)
    return facts
