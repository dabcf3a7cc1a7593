"""Throws of each surface in each option, beside what the control set-up itself says."""

import pytest

from builds.controls import set_up_of
from builds.variant_throws import throws_of
from builds.variants import ArmHole, Change, WhatIf, options_of
from tests.builds.controls.surfaces import elevon, wing
from tests.builds.records_builder import part


def beside(build, *what_ifs):
    (row,) = throws_of(options_of(build, what_ifs))
    return row.options


def hole(radius_mm):
    return WhatIf(f"{radius_mm:g} mm", holes=(ArmHole(1, radius_mm),))


def travel(option, what):
    return next(one for one in option.travels if one.what == what)


def test_each_hole_takes_the_travel_that_the_table_of_holes_says():
    build = wing(elevon(throw_roll_mm=10.0, throw_pitch_mm=8.0))
    table = set_up_of(build, build.surfaces[0]).tables[0]
    options = beside(build, hole(8.0), hole(12.0))
    for option, radius_mm in zip(options, (10.0, 8.0, 12.0), strict=True):
        row = table.at(radius_mm / 1000)
        found = travel(option, "roll")
        assert found.up_percent == pytest.approx(100 * abs(row.travel_up))
        assert found.down_percent == pytest.approx(100 * abs(row.travel_down))
        assert found.lost_percent == pytest.approx(100 - max(found.up_percent, found.down_percent))


def test_a_longer_arm_gives_more_throw_for_less_travel_and_loses_more_steps():
    # The surface turns with the ratio of arm to horn: similar triangles, to first order.
    short, long = beside(wing(elevon(throw_roll_mm=8.0, arm_radius_mm=8.0)), hole(12.0))
    assert long.figures["throw_up_mm"].value > short.figures["throw_up_mm"].value
    assert travel(long, "roll").up_percent < travel(short, "roll").up_percent
    assert travel(long, "roll").lost_percent > travel(short, "roll").lost_percent


def test_pulses_are_the_travel_times_500_us_about_the_centre():
    # 100 % travel is 500 us of change here: common practice, no source.
    (now,) = beside(wing(elevon(throw_roll_mm=8.0), pulse_centre_us=1500.0))
    found = travel(now, "roll")
    ends = sorted((found.up_percent, found.down_percent))
    assert sorted((1500 - found.pulse_min_us, found.pulse_max_us - 1500)) == pytest.approx(
        [5 * end for end in ends]
    )


def test_a_servo_that_turns_farther_takes_less_travel():
    build = wing(elevon(throw_roll_mm=8.0))
    place = build.at("servo_left")
    values = {name: place.part.get(name) for name in ("arm_radii_mm", "pulse_span_us")}
    servo = part("servo", id=99, travel_deg=60.0, **values)
    now, other = beside(build, WhatIf("servo", (Change(place.id, servo),)))
    assert travel(other, "roll").up_percent == pytest.approx(
        travel(now, "roll").up_percent * 45 / 60
    )


def test_both_sticks_together_that_the_hole_does_not_give_say_where_the_surface_stops():
    build = wing(elevon(throw_roll_mm=14.0, throw_pitch_mm=13.0, arm_radius_mm=8.0))
    (now,) = beside(build)
    assert (now.both.wanted_mm, now.both.is_within) == (27.0, False)
    assert now.reach.least_mm < 27.0


def test_a_throw_beyond_the_chord_is_a_problem_in_words():
    (now,) = beside(wing(elevon(throw_roll_mm=90.0)))
    found = travel(now, "roll")
    assert (found.up_percent, found.is_within) == (None, False)
    assert found.problem


def test_without_a_hole_in_use_nothing_is_worked_out_and_the_figure_says_what_is_missing():
    (now,) = beside(wing(elevon(throw_roll_mm=8.0, arm_radius_mm=None)))
    assert (now.travels, now.both, now.reach) == ((), None, None)
    assert any("arm radius" in name for name in now.figures["throw_up_mm"].missing)
