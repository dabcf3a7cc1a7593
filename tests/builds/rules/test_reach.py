"""Length of leads. Worked cases: common practice, no source, where none is named."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
    without,
)

REACH = "reach.lead_too_short"


def camera(lead_mm, route_mm, **place):
    build = with_part(aircraft(), "camera", lead_length_mm=lead_mm)
    return with_place(build, "camera", route_mm=route_mm, **place)


# 110 mm of lead for a way of 120 mm and 15 mm of slack; 90 mm for 140 mm.
@pytest.mark.parametrize(
    ("lead", "route", "expected"),
    [
        (110.0, 120.0, ["caution"]),
        (90.0, 140.0, ["caution"]),
        (135.0, 120.0, []),
        (150.0, 120.0, []),
    ],
)
def test_lead_against_its_way_and_slack(lead, route, expected):
    assert [level for level, _ in levels(REACH, camera(lead, route))] == expected


def test_reach_and_way_are_shown():
    assert numbers(REACH, camera(110.0, 120.0)) == {"reach_mm": 110.0, "wanted_mm": 135.0}


def test_an_extension_counts():
    assert levels(REACH, camera(110.0, 120.0, extension_mm=50.0)) == []


# From x = 196 to x = 128 and from y = 120 to y = 0 are 137.9 mm in a straight line.
def test_a_lead_too_short_for_the_straight_line_is_found_without_the_way():
    build = with_place(aircraft(), "servo_left", route_mm=None, y_mm=-120.0)
    build = with_part(build, "servo_left", lead_length_mm=150.0)
    found = numbers(REACH, build)
    assert found == {"reach_mm": 150.0, "wanted_mm": pytest.approx(152.93, abs=0.01)}


def test_a_lead_long_enough_for_the_straight_line_is_not_judged_without_the_way():
    build = with_place(aircraft(), "servo_left", route_mm=None)
    assert missing(REACH, build) == ["the place “Servo left”: way of its lead (mm)"]


def test_a_lead_of_unknown_length_is_not_judged():
    build = with_part(aircraft(), "servo_left", lead_length_mm=None)
    assert missing(REACH, build) == ["Servo left (Fennarick F9M): lead length (mm)"]


def test_a_lead_without_anything_to_plug_into_is_not_judged():
    build = without(without(aircraft(), "board"), "receiver")
    assert [key for _, key in levels(REACH, build)] == []
    assert missing(REACH, build) == []
