"""Surfaces and servos. Worked cases: common practice, no source."""

from dataclasses import replace

import pytest

from tests.builds.controls.surfaces import elevon, reading, wing
from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, without

THROW = "controls.throw_larger_than_surface"
PAIR = "controls.servos_of_pair_differ"


# A throw of 60 mm from a chord of 40 mm is impossible.
@pytest.mark.parametrize(("throw", "expected"), [(60.0, ["warning"]), (40.0, []), (None, [])])
def test_throw_against_the_chord(throw, expected):
    build = with_part(aircraft(), "airframe", throw_roll_mm=throw, surface_chord_mm=40.0)
    assert [level for level, _ in levels(THROW, build)] == expected


def test_the_throw_is_not_judged_without_the_chord():
    build = with_part(aircraft(), "airframe", surface_chord_mm=None)
    assert missing(THROW, build) == ["Airframe (airframe): surface chord (mm)"]


# 0.10 and 0.13 seconds for 60 degrees.
def test_servos_of_a_pair_that_differ_in_speed():
    build = with_part(aircraft(), "servo_right", speed_s_60deg=0.13)
    assert numbers(PAIR, build) == {"speed_s_60deg": (0.1, 0.13)}
    assert levels(PAIR, build) == [("caution", "")]


def test_servos_of_one_model_need_no_figures():
    build = with_part(with_part(aircraft(), "servo_right", speed_s_60deg=None), "servo_left",
                      speed_s_60deg=None)  # fmt: skip
    assert (levels(PAIR, build), missing(PAIR, build)) == ([], [])


def test_servos_of_two_models_are_not_judged_unless_known():
    build = with_part(aircraft(), "servo_right", name="Fennarick F9N", speed_s_60deg=None)
    assert missing(PAIR, build) == ["Servo right (Fennarick F9N): seconds for 60 degrees"]


def test_a_single_servo_has_no_pair():
    build = without(aircraft(), "servo_left")
    assert (levels(PAIR, build), missing(PAIR, build)) == ([], [])


# Surfaces. Horn 14 mm, chord 36 mm, axes 80 mm apart, 45 degrees at 100 %: worked out in the tests
# of the holes.
REACH = "controls.throw_out_of_reach"
SMALL = "controls.travel_too_small"
TOGETHER = "controls.combined_throw_out_of_reach"
TORQUE = "controls.servo_torque_too_small"
RECORDS = "controls.throw_records_disagree"


def test_a_throw_the_hole_gives_is_in_reach():
    assert levels(REACH, wing()) == []


def test_a_throw_that_needs_more_than_full_travel():
    build = wing(elevon(arm_radius_mm=7.0))
    assert levels(REACH, build) == [("caution", "servo_left")]


def test_a_throw_the_hinge_does_not_allow():
    build = wing(elevon(hinge_limit_deg=20.0))
    assert levels(REACH, build) == [("caution", "servo_left")]


def test_a_travel_below_70_percent_is_noted():
    assert levels(SMALL, wing()) == []
    assert levels(SMALL, wing(elevon(arm_radius_mm=12.0))) == [("note", "servo_left")]


def test_both_commands_ask_more_than_there_is():
    assert numbers(TOGETHER, wing())["wanted_mm"] == 24.0
    assert levels(TOGETHER, wing()) == [("caution", "servo_left")]


def test_both_commands_within_reach_are_silent():
    assert levels(TOGETHER, wing(elevon(throw_roll_mm=10.0, throw_pitch_mm=8.0))) == []


# 1.7 kg cm at 30 m/s are 3.8 times what is needed; the need grows with the square of the speed.
@pytest.mark.parametrize(
    ("speed", "expected"), [(30.0, []), (45.0, ["caution"]), (65.0, ["warning"])]
)
def test_torque_left_at_the_highest_speed(speed, expected):
    build = wing(speed_max_m_s=speed)
    assert [level for level, _ in levels(TORQUE, build)] == expected


def test_torque_is_not_judged_without_the_highest_speed():
    assert missing(TORQUE, wing(speed_max_m_s=None)) == ["this build: speed max (m/s)"]


def test_records_of_one_throw_that_disagree():
    build = wing(elevon(throws=(reading(up_mm=20.0), reading(up_mm=15.0))))
    assert levels(RECORDS, build) == [("caution", "servo_left")]


def test_a_record_larger_than_the_chord():
    build = wing(elevon(throws=(reading(up_mm=50.0),)))
    assert levels(RECORDS, build) == [("warning", "servo_left")]


def test_a_surface_without_its_linkage_is_not_judged_and_does_not_mute_the_others():
    build = wing(elevon(), elevon(key="other", name="Other", axis_distance_mm=None))
    assert levels(TOGETHER, build) == [("caution", "servo_left")]
    assert missing(TOGETHER, build) == ["Other: axis distance (mm)"]


def test_a_build_without_surfaces_is_not_asked():
    build = aircraft()
    for rule in (REACH, SMALL, TOGETHER, TORQUE, RECORDS):
        assert (levels(rule, build), missing(rule, build)) == ([], [])


def test_a_rudder_and_an_elevator_servo_are_no_pair():
    names = {"servo_left": "Rudder servo", "servo_right": "Elevator servo"}
    build = with_part(aircraft(), "servo_left", torque_kgcm=2.5)
    positions = tuple(
        replace(one, key=names[one.key][:6].casefold(), name=names[one.key])
        if one.key in names
        else one
        for one in build.positions
    )
    assert levels("controls.servos_of_pair_differ", replace(build, positions=positions)) == []
