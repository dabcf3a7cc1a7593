"""What a linkage is read from. Cases are made by hand."""

import pytest

from builds.controls import read_setting, set_up_of
from builds.figures.results import NotKnown
from tests.builds.controls.surfaces import ELEVON, elevon, wing
from tests.builds.records_builder import with_part, without


def test_the_airframe_gives_what_the_surface_leaves_open():
    setting = read_setting(wing(), ELEVON)
    assert setting.chord == pytest.approx(0.036)
    own = read_setting(wing(), elevon(chord_mm=40.0))
    assert own.chord == pytest.approx(0.040)


def test_everything_that_is_missing_is_named_at_once():
    build = wing(travel_deg=None)
    with pytest.raises(NotKnown) as gap:
        read_setting(build, elevon(axis_distance_mm=None, horn_radius_mm=None))
    assert gap.value.missing == (
        "Left elevon: horn radius (mm)",
        "Left elevon: axis distance (mm)",
        "Servo left (Fennarick F9M): travel (°)",
    )


def test_without_a_servo_nothing_is_worked_out():
    found = set_up_of(without(wing(), "servo_left"), ELEVON)
    assert found.setting is None
    assert found.missing == ("Servo left: nothing fitted",)


def test_the_hole_in_use_is_among_the_holes():
    setting = read_setting(wing(), elevon(arm_radius_mm=9.0))
    assert setting.holes == pytest.approx((0.008, 0.009, 0.010, 0.012))


def test_an_angle_nobody_gave_is_assumed_square_and_said_so():
    assumed = {one.name: one.value for one in read_setting(wing(), ELEVON).inputs
               if one.source == "assumed"}  # fmt: skip
    assert assumed["Left elevon: arm angle (°)"] == 90


def test_a_throw_that_nobody_wants_is_missing():
    build = with_part(wing(), "airframe", throw_pitch_mm=None)
    build = with_part(build, "servo_left", arm_radii_mm=[8.0], travel_deg=45.0)
    found = set_up_of(build, ELEVON)
    assert "Left elevon: throw pitch (mm)" in found.missing
    assert found.mixing is None


def test_a_chord_of_nothing_is_named_as_missing():
    found = set_up_of(wing(), elevon(chord_mm=0.0))
    assert found.missing == ("Left elevon: chord (mm): 0 is no chord",)
