"""Travel for each arm hole.

The figures are those of a planar four-bar linkage (F. Freudenstein, Trans. ASME 76, 1954), solved
here once more by a root finder on the pushrod's length, which knows nothing of the closed form.
"""

import math

import pytest
from scipy.optimize import brentq

from builds.controls import set_up_of
from tests.builds.controls.surfaces import ELEVON, elevon, wing

HORN, AXES, CHORD, FULL = 14.0, 80.0, 36.0, math.radians(45)


def set_up(surface=ELEVON, **servo):
    return set_up_of(wing(surface, **servo), surface)


def rod_length(arm, servo, surface):
    """Distance of the two pins with arm and horn square to the line of the axes at neutral."""
    arm_pin = (arm * math.cos(math.pi / 2 + servo), arm * math.sin(math.pi / 2 + servo))
    horn_pin = (
        AXES + HORN * math.cos(math.pi / 2 + surface),
        HORN * math.sin(math.pi / 2 + surface),
    )
    return math.dist(arm_pin, horn_pin)


def travel_by_root(arm, throw):
    surface = math.asin(throw / CHORD)
    rod = rod_length(arm, 0.0, 0.0)
    ends = sorted((0.0, math.copysign(math.pi / 2, throw)))
    return abs(brentq(lambda turn: rod_length(arm, turn, surface) - rod, *ends)) / FULL * 100


@pytest.mark.parametrize(
    ("axis", "wanted", "travels"),
    [("roll", 14.0, (93.6, 72.9, 59.9)), ("pitch", 10.0, (64.0, 50.7, 42.0))],
)
def test_travel_of_each_hole_for_each_throw(axis, wanted, travels):
    (table,) = (one for one in set_up().tables if one.what == axis)
    assert [row.arm * 1e3 for row in table.rows] == pytest.approx([8, 10, 12])
    assert [row.travel_up * 100 for row in table.rows] == pytest.approx(travels, abs=0.05)
    for row in table.rows:
        arm = row.arm * 1e3
        assert row.travel_up * 100 == pytest.approx(travel_by_root(arm, wanted), rel=1e-6)
        assert -row.travel_down * 100 == pytest.approx(travel_by_root(arm, -wanted), rel=1e-6)


def test_both_together_bind_in_one_hole_and_need_more_than_full_travel_in_the_others():
    mixing = set_up().mixing
    assert mixing.total_mm == 24
    first, *others = mixing.table.rows
    assert first.problem is not None
    assert [row.travel_up * 100 for row in others] == pytest.approx([148, 113], abs=0.5)
    assert mixing.table.best is None


def test_the_pulse_is_500_us_at_full_travel():
    row = set_up().tables[0].rows[0]
    assert row.pulse_up == pytest.approx(row.travel_up * 500e-6)


def test_a_servo_that_turns_less_per_microsecond_needs_more_travel():
    # 45 degrees at 750 us are 30 degrees at 500 us, which are 100 % here.
    slow = set_up(pulse_span_us=750.0).tables[0].rows[1]
    usual = set_up().tables[0].rows[1]
    assert slow.travel_up == pytest.approx(usual.travel_up * 1.5)


def test_the_surface_stops_at_full_travel():
    reach = set_up().reaches[1]
    rod = rod_length(10.0, 0.0, 0.0)
    angle = brentq(lambda turn: rod_length(10.0, FULL, turn) - rod, 0, 1.2)
    assert reach.stopped_by == "travel"
    assert reach.up_mm == pytest.approx(CHORD * math.sin(angle), rel=1e-6)


def test_the_surface_stops_at_its_hinge():
    reach = set_up(elevon(hinge_limit_deg=20.0)).reaches[1]
    assert reach.stopped_by == "hinge"
    assert reach.least_mm == pytest.approx(36 * math.sin(math.radians(20)))


def test_an_arm_longer_than_the_horn_stops_where_the_linkage_binds():
    reach = set_up(elevon(arm_radius_mm=22.0)).reaches[-1]
    assert reach.stopped_by == "linkage"


def test_what_is_left_of_both_commands_adds_up_to_the_stop():
    mixing = set_up().mixing
    for reach in mixing.reaches:
        left = mixing.left_by_axis(reach)
        assert sum(left.values()) == pytest.approx(reach.least_mm)
        assert left["roll"] - left["pitch"] == pytest.approx(4.0)


def test_the_smallest_hole_within_the_travel_is_the_best():
    assert set_up().tables[0].best.arm == pytest.approx(8e-3)
    assert set_up(arm_radii_mm=[6.0, 10.0, 12.0]).tables[0].best.arm == pytest.approx(10e-3)


def test_a_throw_beyond_the_chord_has_no_rows():
    table = set_up(elevon(throw_roll_mm=50.0)).tables[0]
    assert table.rows == ()
    assert "chord" in table.problem


def test_a_hole_at_the_shaft_is_a_problem_of_that_hole_alone():
    rows = set_up(arm_radii_mm=[0.0, 10.0]).tables[0].rows
    assert rows[0].problem
    assert rows[1].problem is None
