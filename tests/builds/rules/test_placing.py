"""Distances between parts. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, with_place

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
