"""Voltage alarm, timer and planned flight. Worked cases: common practice, no source."""

import pytest

from builds.figures import Unknown
from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, without

ALARM = "alarms.voltage_alarm_wrong"
TIMER = "alarms.timer_too_long"
PLAN = "alarms.charge_too_short_for_plan"
NO_ENDURANCE = Unknown("endurance_min", "min", ("the drag",))


def set_to(volts, cells, **pack):
    build = aircraft(voltage_alarm_v=volts, cell_alarm_v=None)
    return with_part(build, "pack", cell_count=cells, **pack)


def test_an_alarm_for_fewer_cells_comes_too_late():
    build = set_to(14.0, 6)
    assert levels(ALARM, build) == [("warning", "")]
    assert numbers(ALARM, build) == {
        "cell_v": pytest.approx(2.333, abs=0.001), "least_v": 3.3, "most_v": 3.7,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("volts", "expected"), [(13.2, []), (14.8, []), (13.1, ["warning"]), (14.9, ["warning"])]
)
def test_an_alarm_at_the_ends_of_what_is_usual(volts, expected):
    assert [level for level, _ in levels(ALARM, set_to(volts, 4))] == expected


def test_an_alarm_that_counts_the_cells_needs_no_pack_voltage():
    assert levels(ALARM, aircraft(cell_alarm_v=3.5)) == []
    assert levels(ALARM, aircraft(cell_alarm_v=3.0)) == [("warning", "")]


def test_the_alarm_of_a_lithium_ion_pack_lies_lower():
    assert levels(ALARM, set_to(12.4, 4, chemistry="li_ion")) == []
    assert levels(ALARM, set_to(14.0, 4, chemistry="li_ion")) == [("warning", "")]


def test_the_alarm_is_not_judged_unless_it_is_known():
    build = aircraft(cell_alarm_v=None)
    assert missing(ALARM, build) == ["this build: voltage alarm (V)"]


def test_the_alarm_is_not_judged_without_the_cells():
    assert missing(ALARM, set_to(14.0, None)) == ["Pack (Dunmarrow 4×1300): cell count"]


# Eight minutes set, 6:10 usable.
@pytest.mark.parametrize(("timer", "expected"), [(480, ["caution"]), (370, []), (300, [])])
def test_timer_against_what_the_charge_lasts(timer, expected):
    build = aircraft(timer_s=float(timer))
    found = levels(TIMER, build, endurance_min=370 / 60)
    assert [level for level, _ in found] == expected


def test_the_timer_and_the_time_are_shown():
    found = numbers(TIMER, aircraft(timer_s=480.0), endurance_min=370 / 60)
    assert found == {"timer_s": 480.0, "usable_s": pytest.approx(370)}


def test_the_timer_is_not_judged_unless_it_and_the_charge_are_known():
    assert missing(TIMER, aircraft(timer_s=None)) == ["this build: timer (s)"]
    assert missing(TIMER, aircraft(), endurance_min=NO_ENDURANCE) == ["the drag"]


# 59.2 Wh at 55 W are 64.6 min; 80 % of 19.2 Wh at 55 W are 16.8 min.
@pytest.mark.parametrize(("planned", "expected"), [(1200, ["note"]), (1008, []), (600, [])])
def test_planned_flight_against_what_the_charge_lasts(planned, expected):
    build = aircraft(planned_flight_s=float(planned))
    assert [level for level, _ in levels(PLAN, build, endurance_min=16.8)] == expected


def test_the_plan_is_not_judged_unless_it_is_known():
    assert missing(PLAN, aircraft(planned_flight_s=None)) == ["this build: planned flight (s)"]


@pytest.mark.parametrize("rule", [TIMER, PLAN])
def test_a_model_without_motor_has_no_time(rule):
    build = without(aircraft(), "motor")
    assert (levels(rule, build), missing(rule, build)) == ([], [])
