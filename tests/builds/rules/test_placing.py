"""Distances between parts. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    judge,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
    without,
)

GPS = "placing.gps_near_video_unit"
MAGNET = "placing.magnet_near_compass"


@pytest.mark.parametrize(("x", "expected"), [(72.0, ["caution"]), (92.0, []), (112.0, [])])
def test_gps_and_video_unit(x, expected):
    assert [level for level, _ in levels(GPS, with_place(aircraft(), "gps", x_mm=x))] == expected


def test_distance_counts_all_three_axes():
    build = with_place(aircraft(), "gps", x_mm=45.0, y_mm=4.0, z_mm=12.0)
    assert numbers(GPS, build)["distance_mm"] == pytest.approx(13.0)


def test_distance_is_not_judged_while_an_axis_could_still_settle_it():
    build = with_place(aircraft(), "gps", x_mm=72.0, y_mm=None)
    assert missing(GPS, build) == ["the place “Gps”: y (mm)"]


def test_one_axis_apart_is_enough_to_settle_it():
    build = with_place(aircraft(), "gps", y_mm=None)
    assert (levels(GPS, build), missing(GPS, build)) == ([], [])


# 60 mm between magnet and compass; 100 mm are wanted.
@pytest.mark.parametrize(
    ("is_magnetic", "has_compass", "x", "expected"),
    [
        (True, True, 172.0, ["caution"]),
        (True, True, 212.0, []),
        (False, True, 172.0, []),
        (True, False, 172.0, []),
    ],
)
def test_magnet_and_compass(is_magnetic, has_compass, x, expected):
    build = with_part(with_place(aircraft(), "screws", x_mm=x), "screws", is_magnetic=is_magnetic)
    build = with_part(build, "gps", has_compass=has_compass)
    assert [level for level, _ in levels(MAGNET, build)] == expected


SKY = "placing.gps_without_sky"
CURRENT = "placing.compass_near_motor_current"
CLOSED = "placing.hot_part_closed_in"


@pytest.mark.parametrize(("has_view", "expected"), [(False, ["caution"]), (True, [])])
def test_a_gps_wants_the_sky(has_view, expected):
    build = with_place(aircraft(), "gps", has_sky_view=has_view)
    assert [level for level, _ in levels(SKY, build)] == expected


def test_the_sky_is_not_judged_unless_somebody_looked():
    build = with_place(aircraft(), "gps", has_sky_view=None)
    assert missing(SKY, build) == ["the place “Gps”: does it see the sky"]


def compass(x):
    """A compass far from the speed controller, on the line of the lead at 122 mm."""
    build = without(with_part(aircraft(), "gps", has_compass=True), "controller")
    return with_place(build, "gps", x_mm=x)


@pytest.mark.parametrize(("x", "expected"), [(107.0, ["caution"]), (42.0, []), (20.0, [])])
def test_a_compass_and_the_current(x, expected):
    assert [level for level, _ in levels(CURRENT, compass(x))] == expected


# 40 A there and back, 4 mm apart, 50 mm away: B = mu0 I s / (2 pi (r2 - s2/4)), Biot and Savart;
# 4e-7 pi x 40 x 0.004 / (2 pi x (0.0025 - 0.000004)) = 12.82 microtesla.
def test_the_field_of_the_current_is_told():
    found = numbers(CURRENT, compass(72.0), current_max_a=40.0)
    assert found["field_microtesla"] == pytest.approx(12.82, abs=0.005)


def test_all_that_carries_current_near_a_compass_is_one_finding():
    build = with_place(with_part(aircraft(), "gps", has_compass=True), "gps", x_mm=150.0)
    (found,) = judge(CURRENT, build).findings
    assert "28.0 mm from Lead (lead)" in found.message
    assert "40.0 mm from Controller" in found.message


def test_a_gps_without_a_compass_is_not_asked():
    assert (levels(CURRENT, aircraft()), missing(CURRENT, aircraft())) == ([], [])


def test_a_compass_is_not_judged_while_a_place_is_unknown():
    build = with_place(compass(107.0), "lead", z_mm=None)
    assert missing(CURRENT, build) == ["the place “Lead”: z (mm)"]


@pytest.mark.parametrize(("opening", "expected"), [(0.0, ["caution"]), (1.0, []), (4.0, [])])
@pytest.mark.parametrize("key", ["video", "controller"])
def test_air_for_what_gets_hot(key, opening, expected):
    build = with_place(aircraft(), key, opening_cm2=opening)
    assert [level for level, _ in levels(CLOSED, build)] == expected


def test_air_is_not_judged_unless_the_openings_are_known():
    build = with_place(aircraft(), "video", opening_cm2=None)
    assert missing(CLOSED, build) == ["the place “Video”: openings for air (cm²)"]


@pytest.mark.parametrize(
    ("key", "changes"),
    [("video", {"needs_airflow": False}), ("airframe", {"layout": "multirotor"})],
)
def test_an_open_frame_and_a_cool_unit_need_no_openings(key, changes):
    build = with_place(with_part(aircraft(), key, **changes), "video", opening_cm2=0.0)
    assert levels(CLOSED, build) == []
