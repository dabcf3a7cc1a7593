"""Linkages as they were built. Worked cases: common practice, no source."""

import pytest

from tests.builds.controls.surfaces import elevon, wing
from tests.builds.records_builder import aircraft, judge, levels, missing, numbers, with_part

SQUARE = "surfaces.arm_or_horn_not_square"
PLAY = "surfaces.too_much_play"
FAST = "surfaces.play_at_high_speed"


@pytest.mark.parametrize(
    ("angles", "expected"),
    [
        ({"arm_angle_deg": 82.0}, ["note"]),
        ({"horn_angle_deg": 98.0}, ["note"]),
        ({"arm_angle_deg": 85.0}, []),
        ({"arm_angle_deg": 90.0, "horn_angle_deg": 90.0}, []),
        ({}, []),
    ],
)
def test_an_arm_or_horn_off_square(angles, expected):
    build = wing(elevon(**angles))
    assert [level for level, _ in levels(SQUARE, build)] == expected


def test_how_far_off_square_is_told():
    assert numbers(SQUARE, wing(elevon(arm_angle_deg=82.0))) == {"arm_off_deg": 8.0}


# 1.6 mm of play; 2 % of a chord of 36 mm are 0.72 mm, of one of 80 mm more than the 1 mm.
@pytest.mark.parametrize(
    ("chord", "play", "expected"),
    [
        (36.0, 1.6, ["caution"]),
        (36.0, 0.72, []),
        (36.0, 0.8, ["caution"]),
        (80.0, 1.0, []),
        (80.0, 1.2, ["caution"]),
    ],
)
def test_play_at_the_edge(chord, play, expected):
    build = wing(elevon(chord_mm=chord, play_mm=play))
    assert [level for level, _ in levels(PLAY, build)] == expected


def test_two_surfaces_with_the_same_play_are_one_finding():
    build = wing(
        elevon(play_mm=1.6), elevon(key="right", name="Right elevon", servo_key="r", play_mm=1.6)
    )
    (found,) = judge(PLAY, build).findings
    assert found.message.startswith("Left elevon and Right elevon: ")


def test_play_is_not_judged_unless_measured():
    assert missing(PLAY, wing()) == ["Left elevon: play at the edge (mm)"]


def test_play_is_not_judged_without_the_chord():
    build = with_part(wing(elevon(play_mm=0.5)), "airframe", surface_chord_mm=None)
    assert missing(PLAY, build) == ["Left elevon: chord (mm)"]


# 0.6 mm hold up to 30 m/s times 0.72 / 0.6 = 36 m/s.
@pytest.mark.parametrize(
    ("play", "speed", "expected"),
    [
        (0.6, 30.0, []),
        (0.6, 36.0, []),
        (0.6, 40.0, ["caution"]),
        (1.6, 60.0, []),
        (0.6, 0.0, []),
    ],
)
def test_play_that_is_too_much_at_speed(play, speed, expected):
    build = wing(elevon(play_mm=play), speed_max_m_s=speed)
    assert [level for level, _ in levels(FAST, build)] == expected


def test_play_at_speed_is_not_judged_without_the_speed():
    build = wing(elevon(play_mm=0.6), speed_max_m_s=None)
    assert missing(FAST, build) == ["this build: speed max (m/s)"]


@pytest.mark.parametrize("rule", [SQUARE, PLAY, FAST])
def test_a_build_without_surfaces_is_not_asked(rule):
    build = aircraft()
    assert (levels(rule, build), missing(rule, build)) == ([], [])
