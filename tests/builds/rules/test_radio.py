"""Bands, radiated power and aerials. Worked cases: common practice, no source, or as named."""

import pytest

from builds.records import RadioLimit
from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    with_ground,
    with_part,
    without,
)

BAND = "radio.band_not_allowed"
POWER = "radio.radiated_power_too_high"
TELEMETRY = "radio.telemetry_power_too_high"
AERIAL_BAND = "radio.aerial_for_another_band"
PLUG = "radio.aerial_does_not_plug_in"
HAND = "radio.polarisation_differs"


def limited(most, band=(5725.0, 5875.0)):
    return aircraft(radio_limits=(RadioLimit(*band, True, most),))


@pytest.mark.parametrize(("band", "expected"), [(915.0, ["warning"]), (868.0, []), (870.0, [])])
def test_band_against_what_the_club_allows(band, expected):
    build = with_part(aircraft(), "receiver", band_mhz=band)
    assert [level for level, _ in levels(BAND, build)] == expected


def test_a_band_that_the_club_does_not_mention_is_not_judged():
    build = with_part(aircraft(), "receiver", band_mhz=433.0)
    assert missing(BAND, build) == ["what your club allows at 433 MHz"]


def test_a_band_is_not_judged_without_limits():
    assert len(missing(BAND, aircraft(radio_limits=()))) == 2


# 25 mW and 2 dBi are 39.6 mW: definition of radiated power, ITU Radio Regulations, article 1.161.
@pytest.mark.parametrize(
    ("gain", "most", "expected"),
    [(2.0, 25.0, ["warning"]), (2.0, 39.7, []), (2.0, 39.6, ["warning"]), (0.0, 25.0, [])],
)
def test_radiated_power(gain, most, expected):
    build = with_part(limited(most), "aerial", gain_dbi=gain)
    assert [level for level, _ in levels(POWER, build)] == expected


def test_radiated_power_in_numbers():
    found = numbers(POWER, with_part(limited(25.0), "aerial", gain_dbi=2.0))
    assert found == {"radiated_mw": pytest.approx(39.6, abs=0.05), "limit_mw": 25.0}


def test_a_band_without_a_power_limit_needs_no_power():
    assert missing(POWER, with_part(limited(None), "video", power_mw=None)) == []


@pytest.mark.parametrize(("key", "column"), [("video", "power_mw"), ("aerial", "gain_dbi")])
def test_radiated_power_is_not_judged_unless_known(key, column):
    assert len(missing(POWER, with_part(limited(25.0), key, **{column: None}))) == 1


def test_radiated_power_is_not_judged_without_an_aerial():
    assert missing(POWER, without(limited(25.0), "aerial")) == [
        "the gain of the aerial of Video (Corrimuir A25)"
    ]


@pytest.mark.parametrize(("power", "expected"), [(100.0, ["warning"]), (25.0, [])])
def test_telemetry_power(power, expected):
    build = with_part(limited(25.0, band=(2400.0, 2483.5)), "receiver", telemetry_power_mw=power)
    assert [level for level, _ in levels(TELEMETRY, build)] == expected


def test_telemetry_power_is_not_judged_unless_known():
    build = limited(25.0, band=(2400.0, 2483.5))
    assert missing(TELEMETRY, build) == ["Receiver (receiver): telemetry power (mW)"]


def test_an_aerial_for_another_band():
    build = with_part(aircraft(), "aerial", band_min_mhz=2400.0, band_max_mhz=2500.0)
    assert levels(AERIAL_BAND, build) == [("warning", "aerial")]


def test_the_end_of_the_aerials_band_is_in_it():
    build = with_part(aircraft(), "aerial", band_max_mhz=5800.0)
    assert levels(AERIAL_BAND, build) == []


def test_an_aerial_may_belong_to_a_receiver_with_a_connector():
    build = with_part(aircraft(), "receiver", antenna_connector="small")
    build = with_part(build, "aerial", band_min_mhz=2400.0, band_max_mhz=2500.0, connector="small")
    assert levels(AERIAL_BAND, build) == []
    assert levels(PLUG, build) == []


def test_the_aerials_band_is_not_judged_unless_known():
    build = with_part(aircraft(), "aerial", band_min_mhz=None)
    assert missing(AERIAL_BAND, build) == ["Aerial (antenna): band min (MHz)"]


@pytest.mark.parametrize(
    ("family", "gender", "expected"),
    [
        ("threaded", "plug", ["warning"]),
        ("snap", "socket", ["warning"]),
        ("Snap", "plug", []),
    ],
)
def test_connector_of_the_aerial(family, gender, expected):
    build = with_part(aircraft(), "aerial", connector=family, connector_gender=gender)
    assert [level for level, _ in levels(PLUG, build)] == expected


def test_the_connector_is_not_judged_unless_its_gender_is_known():
    build = with_part(aircraft(), "video", antenna_gender=None)
    assert missing(PLUG, build) == ["Video (Corrimuir A25): antenna gender"]


# Orthogonal polarisations lose 20 dB or more (common practice, no source); a circular and a linear
# aerial 10 log10 2 = 3 dB.
@pytest.mark.parametrize(
    ("ground", "level", "loss"), [("left", "warning", 20.0), ("linear", "note", 3.01)]
)
def test_polarisation_against_the_ground(ground, level, loss):
    build = with_ground(aircraft(), "video_receiver", polarisation=ground)
    assert levels(HAND, build) == [(level, "aerial")]
    assert numbers(HAND, build)["loss_db"] == pytest.approx(loss, abs=0.005)


def test_equal_hands_are_in_order():
    assert levels(HAND, aircraft()) == []


def test_polarisation_is_not_judged_without_the_ground():
    assert missing(HAND, aircraft(ground={})) == ["the video receiver among your ground gear"]


def test_polarisation_says_nothing_where_the_two_systems_differ_anyway():
    build = with_ground(
        aircraft(), "video_receiver", polarisation="left", video_system="another system"
    )
    assert levels(HAND, build) == []


NONE = "radio.unit_without_aerial"


def test_a_video_unit_without_an_aerial():
    assert levels(NONE, without(aircraft(), "aerial")) == [("warning", "video")]
    assert levels(NONE, aircraft()) == []


def test_a_receiver_has_its_aerials_soldered_on_or_wants_one_of_its_own():
    build = with_part(aircraft(), "receiver", antenna_connector="snap")
    assert levels(NONE, build) == [("warning", "receiver")]


def test_an_aerial_for_no_unit_is_told_of_once():
    build = with_part(aircraft(), "receiver", antenna_connector="snap")
    build = with_part(build, "aerial", band_min_mhz=400.0, band_max_mhz=450.0)
    assert levels(NONE, build) == []
    assert levels(AERIAL_BAND, build) == [("warning", "aerial")]


def test_a_unit_whose_connector_is_unknown_is_not_judged():
    build = with_part(without(aircraft(), "aerial"), "video", antenna_connector=None)
    assert missing(NONE, build) == ["Video (Corrimuir A25): antenna connector"]


def test_an_aerial_soldered_on_its_video_unit_needs_no_other():
    build = with_part(without(aircraft(), "aerial"), "video", antenna_connector="soldered on")
    assert levels("radio.unit_without_aerial", build) == []
