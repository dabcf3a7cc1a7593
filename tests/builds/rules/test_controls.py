"""Surfaces and servos. Worked cases: common practice, no source."""

import pytest

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
