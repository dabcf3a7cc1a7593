"""Where the aerials run. Worked cases: common practice, no source."""

from dataclasses import replace

import pytest

from tests.builds.records_builder import (
    aircraft,
    judge,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
)

PAIR = "aerials.diversity_pair_parallel"
CARBON = "aerials.aerial_near_carbon_or_wire"
NEAR = "aerials.receiver_near_video_aerial"
BAND = "aerials.video_unit_in_receiver_band"


def pair(angle, count=2):
    build = with_part(aircraft(), "receiver", antenna_count=count)
    return with_place(build, "receiver", aerial_angle_deg=angle)


# 30 degrees where 90 are wanted; an aerial has no front, so 150 are 30 as well.
@pytest.mark.parametrize(
    ("angle", "expected"),
    [(30.0, ["caution"]), (150.0, ["caution"]), (60.0, []), (120.0, []), (90.0, [])],
)
def test_the_angle_of_a_pair(angle, expected):
    assert [level for level, _ in levels(PAIR, pair(angle))] == expected


def test_a_single_aerial_is_no_pair():
    assert (levels(PAIR, pair(None, 1)), missing(PAIR, pair(None, 1))) == ([], [])


def test_a_pair_is_not_judged_without_its_angle():
    what = "the place “Receiver”: angle between its two aerials (°)"
    assert missing(PAIR, pair(None)) == [what]


@pytest.mark.parametrize(("clearance", "expected"), [(12.0, ["caution"]), (20.0, []), (35.0, [])])
def test_the_live_end_near_carbon(clearance, expected):
    build = with_place(aircraft(), "receiver", aerial_clearance_mm=clearance)
    assert [level for level, _ in levels(CARBON, build)] == expected


def test_the_live_end_is_not_judged_unless_measured():
    build = with_place(aircraft(), "aerial", aerial_clearance_mm=None)
    what = "live end of the aerial to carbon, pack or motor wire (mm)"
    assert missing(CARBON, build) == [f"the place “Aerial”: {what}"]


def test_a_receiver_with_a_connector_leaves_it_to_its_aerial():
    build = with_part(aircraft(), "receiver", antenna_connector="snap")
    build = with_place(build, "receiver", aerial_clearance_mm=None)
    assert (levels(CARBON, build), missing(CARBON, build)) == ([], [])


@pytest.mark.parametrize(("z", "expected"), [(70.0, ["caution"]), (100.0, []), (130.0, [])])
def test_receiver_and_video_aerial(z, expected):
    build = with_place(aircraft(), "aerial", z_mm=z)
    assert [level for level, _ in levels(NEAR, build)] == expected


def test_the_distance_is_not_judged_while_a_place_is_unknown():
    build = with_place(aircraft(), "aerial", z_mm=None)
    assert missing(NEAR, build) == ["the place “Aerial”: z (mm)"]


def test_a_distance_beyond_the_limit_needs_no_third_axis():
    build = with_place(aircraft(), "aerial", x_mm=300.0, z_mm=None)
    assert (levels(NEAR, build), missing(NEAR, build)) == ([], [])


def test_without_a_video_aerial_the_video_unit_counts():
    build = with_part(with_place(aircraft(), "video", x_mm=100.0), "aerial", band_min_mhz=800.0,
                      band_max_mhz=900.0)  # fmt: skip
    assert numbers(NEAR, build) == {"apart_mm": 50.0, "wanted_mm": 100.0}


def bands(receiver, video):
    build = with_part(aircraft(), "receiver", band_mhz=receiver)
    return with_part(build, "video", band_mhz=video)


# Twice 1200 MHz are 2400 MHz; three times 433 MHz are 1299 MHz.
@pytest.mark.parametrize(
    ("receiver", "video", "times"),
    [(2440.0, 2450.0, 1), (2440.0, 1220.0, 2), (2440.0, 1200.0, 2), (1299.0, 433.0, 3)],
)
def test_a_video_unit_in_the_receivers_band(receiver, video, times):
    assert numbers(BAND, bands(receiver, video))["times"] == times


@pytest.mark.parametrize(
    ("receiver", "video"), [(2440.0, 5800.0), (868.0, 5800.0), (2440.0, 1195.0), (2440.0, 2490.0)]
)
def test_bands_far_enough_apart(receiver, video):
    assert levels(BAND, bands(receiver, video)) == []


def test_bands_are_not_judged_unless_known():
    assert missing(BAND, bands(2440.0, None)) == ["Video (Corrimuir A25): band (MHz)"]


def test_a_receiver_near_two_video_aerials_is_one_finding():
    build = with_place(aircraft(), "aerial", z_mm=50.0)
    second = replace(build.at("aerial"), id=90, key="aerial_2", name="Aerial 2", z_mm=-60.0)
    build = replace(build, positions=(*build.positions, second))
    (found,) = judge("aerials.receiver_near_video_aerial", build).findings
    assert "50.0 mm from Aerial (antenna), 60.0 mm from Aerial 2 (antenna)" in found.message
