"""Figures of a surface: throw at full travel, torque at the highest speed."""

import math

import pytest

from builds.figures import figures_of
from builds.figures.surfaces import surface_figures
from tests.builds.controls.surfaces import ELEVON, elevon, wing
from tests.builds.records_builder import with_part


def figures(surface=ELEVON, **changes):
    build = wing(surface, **changes)
    return surface_figures(build, surface, figures_of(build))


# Thin-aerofoil flap, H. Glauert, ARC R&M 1095 (1927): derivative by deflection -0.9229 /rad at a
# chord fraction of 0.20 and -0.9436 at 0.25, here between both. Mean chord of this wing 153.6 mm.
def test_hinge_moment_at_the_highest_speed():
    deflection = math.asin(14 / 36)
    pressure = 0.5 * 1.225 * 30**2
    bound = [pressure * 0.230 * 0.036**2 * slope * deflection / 0.0980665
             for slope in (0.9229, 0.9436)]  # fmt: skip
    assert bound[0] < figures()["hinge_moment_kgcm"].value < bound[1]


def test_torque_at_the_servo_is_less_by_the_linkage():
    found = figures()
    # Virtual work at neutral, where both arms are square to the line of the axes: 10 over 14.
    ratio = found["servo_torque_needed_kgcm"].value / found["hinge_moment_kgcm"].value
    assert ratio == pytest.approx(10 / 14, rel=1e-3)


def test_the_margin_is_the_sheets_torque_over_what_is_needed():
    found = figures()
    needed = found["servo_torque_needed_kgcm"].value
    assert found["servo_torque_margin_ratio"].value == pytest.approx(1.7 / needed)


def test_without_a_highest_speed_there_is_no_torque():
    found = figures(speed_max_m_s=None)
    assert found["servo_torque_margin_ratio"].missing == ("this build: speed max (m/s)",)


def test_without_a_span_there_is_no_torque():
    assert "Left elevon: span (mm)" in figures(elevon(span_mm=None))["hinge_moment_kgcm"].missing


def test_travel_of_the_hole_in_use():
    found = figures()
    # The greater of up and down; worked out once more in the tests of the holes.
    assert found["travel_roll_percent"].value == pytest.approx(73.73, abs=0.01)
    assert found["travel_pitch_percent"].value == pytest.approx(51.03, abs=0.01)


def test_up_and_down_differ_a_little_and_doubt_comes_from_the_lengths():
    found = figures()
    up, down = found["throw_up_mm"], found["throw_down_mm"]
    assert found["differential_ratio"].value == pytest.approx(up.value / down.value)
    assert 0 < up.uncertainty < 0.1 * up.value


def test_without_a_hole_in_use_its_figures_name_it():
    assert figures(elevon(arm_radius_mm=None))["throw_up_mm"].missing == (
        "Left elevon: arm radius (mm)",
    )


def test_a_wing_without_stations_gets_an_assumed_share_of_chord():
    build = with_part(wing(), "airframe", wing_stations=None)
    found = surface_figures(build, ELEVON, figures_of(build))
    sources = {one.source for one in found["hinge_moment_kgcm"].inputs if "whole chord" in one.name}
    assert sources == {"assumed"}
