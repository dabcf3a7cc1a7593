"""What the rows of a pack's log tell of its last charge, uses and rest."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from builds.pack_log import HEALTH_FACTS, LOG_FACTS, health_facts, log_facts
from inventory.health import Reason, Verdict

NOW = datetime(2026, 5, 20, 12, tzinfo=UTC)


@dataclass
class Row:
    kind: str
    started_at: datetime
    by: str = "builder"
    charge_mah: float | None = None
    duration_s: float | None = None
    rest_v: list[float] = field(default_factory=list)
    rested_h: float | None = None
    temperature_c: float | None = None
    is_full: bool = False
    is_capacity_test: bool = False


def row(kind, days_ago, **columns):
    return Row(kind, NOW - timedelta(days=days_ago), **columns)


def told(*rows):
    return {name: value.value for name, value in log_facts(rows, NOW).items()}


def test_an_empty_log_tells_nothing():
    assert told() == {}


def test_cells_are_told_as_last_read_since_the_pack_was_last_moved():
    found = told(
        row("rest", 60, rest_v=[3.8, 3.8]),
        row("charge", 41),
        row("rest", 40, rest_v=[4.19, 4.18]),
    )
    assert found == {"stored_days": 41, "stored_low_v": 4.18, "stored_high_v": 4.19}


def test_a_reading_from_before_the_last_use_does_not_tell_how_the_pack_lies():
    assert told(row("rest", 60, rest_v=[3.8, 3.8]), row("use", 9)) == {}


def test_a_full_charge_tells_of_full_cells():
    found = told(row("charge", 5, is_full=True))
    assert found == {"stored_days": 5, "left_charged_full": True}


def test_a_pack_that_was_never_moved_lies_since_its_first_row():
    assert told(row("rest", 97.5, rest_v=[3.31]))["stored_days"] == 97


# 1300 mAh in half an hour: 2.6 A.
def test_the_mean_current_of_the_last_charge():
    found = told(
        row("charge", 9, charge_mah=1300.0, duration_s=3600.0),
        row("charge", 2, charge_mah=1300.0, duration_s=1800.0, temperature_c=2.0),
    )
    assert found == {"charge_current_a": pytest.approx(2.6), "charge_temperature_c": 2.0}


@pytest.mark.parametrize("columns", [{"charge_mah": 1300.0}, {"duration_s": 1800.0}, {}])
def test_a_charge_without_time_or_charge_tells_no_current(columns):
    assert "charge_current_a" not in told(row("charge", 2, **columns))


def test_the_last_five_flights_are_told_without_tests():
    uses = [row("use", 20 - number, charge_mah=900.0 + number) for number in range(7)]
    test = row("use", 1, charge_mah=1290.0, is_capacity_test=True)
    assert told(*uses, test)["last_uses_mah"] == (902.0, 903.0, 904.0, 905.0, 906.0)


def test_the_heat_of_the_last_flight():
    assert told(row("use", 2, temperature_c=63.0))["use_temperature_c"] == 63.0


def test_an_inspection_has_answered_the_heat():
    found = told(row("use", 2, temperature_c=63.0), row("inspection", 1))
    assert "use_temperature_c" not in found


def test_heat_and_rest_of_the_last_readings():
    found = told(
        row("resistance", 3, temperature_c=6.0), row("rest", 2, rest_v=[3.8], rested_h=0.5)
    )
    assert (found["resistance_temperature_c"], found["rest_hours"]) == (6.0, 0.5)


def test_a_row_of_the_future_tells_nothing():
    assert told(row("charge", -3, is_full=True)) == {}


def test_every_value_says_when_and_by_whom():
    value = log_facts([row("use", 2, temperature_c=63.0)], NOW)["use_temperature_c"]
    assert (value.source, value.at, value.by) == ("measured", NOW - timedelta(days=2), "builder")


@dataclass
class Judged:
    capacity_percent: float | None = None
    capacity_at: datetime | None = None
    resistance_ratio: float | None = None


@dataclass
class Report:
    verdict: Verdict
    reasons: tuple[Reason, ...]
    health: Judged | None = None


def test_the_reasons_for_the_verdict_are_told_and_no_others():
    report = Report(
        Verdict.WATCH,
        (Reason(Verdict.WATCH, "spread", "Cell 5."), Reason(Verdict.FIT, "capacity", "1262 mAh.")),
    )
    found = {name: value.value for name, value in health_facts(report).items()}
    assert found == {"health_abouts": ("spread",), "health_messages": ("Cell 5.",)}


def test_contradictions_of_the_log_are_told():
    report = Report(Verdict.CANNOT_TELL, (Reason(Verdict.CANNOT_TELL, "log", "1720 mAh."),))
    assert health_facts(report)["log_contradictions"].value == ("1720 mAh.",)


def test_capacity_and_resistance_are_told_where_they_are_known():
    report = Report(Verdict.RETIRE, (), Judged(77.5, NOW, 2.72))
    found = health_facts(report)
    assert (found["capacity_percent"].value, found["capacity_percent"].at) == (77.5, NOW)
    assert found["resistance_ratio"].value == 2.72


def test_every_name_told_is_declared():
    rows = [
        row("rest", 9, rest_v=[3.8], rested_h=2.0),
        row("resistance", 8, temperature_c=20.0),
        row("use", 7, charge_mah=1.0, temperature_c=20.0),
        row("charge", 6, charge_mah=1.0, duration_s=1.0, temperature_c=20.0, is_full=True),
    ]
    assert set(log_facts(rows, NOW)) <= set(LOG_FACTS)
    assert set(health_facts(Report(Verdict.FIT, (), Judged(1.0, NOW, 1.0)))) <= set(HEALTH_FACTS)
