"""Ports of the board. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, without

SERIAL = "ports.too_few_serial_ports"
BUS = "ports.no_bus_for_compass"
OVERLAY = "ports.overlay_missing"


def board(**changes):
    return with_part(aircraft(), "board", **changes)


def test_receiver_gps_and_video_unit_need_three_ports():
    assert numbers(SERIAL, board(serial_port_count=2)) == {"have": 2, "wanted": 3}


def test_three_ports_are_enough():
    assert levels(SERIAL, board(serial_port_count=3)) == []


def test_a_video_unit_that_the_board_cannot_control_takes_no_port():
    assert levels(SERIAL, with_part(board(serial_port_count=2), "video", control_bus=None)) == []


def test_no_gps_takes_no_port():
    assert levels(SERIAL, without(board(serial_port_count=2), "gps")) == []


def test_ports_are_not_judged_unless_known():
    assert missing(SERIAL, board(serial_port_count=None)) == [
        "Board (Pellowick W3): serial port count"
    ]


@pytest.mark.parametrize(
    ("has_compass", "buses", "expected"),
    [(True, 0, ["caution"]), (True, 1, []), (False, 0, []), (None, 1, [])],
)
def test_bus_for_the_compass(has_compass, buses, expected):
    build = with_part(board(bus_count=buses), "gps", has_compass=has_compass)
    assert [level for level, _ in levels(BUS, build)] == expected


@pytest.mark.parametrize(
    ("has_compass", "buses", "expected"),
    [(None, 0, "Gps (gps): has compass"), (True, None, "Board (Pellowick W3): bus count")],
)
def test_the_bus_is_not_judged_unless_settled(has_compass, buses, expected):
    build = with_part(board(bus_count=buses), "gps", has_compass=has_compass)
    assert missing(BUS, build) == [expected]


@pytest.mark.parametrize(
    ("standard", "overlay", "expected"),
    [
        ("625/50", "digital", ["caution"]),
        ("625/50", "none", ["caution"]),
        ("625/50", "both", []),
        ("digital", "none", []),
    ],
)
def test_overlay_of_an_analogue_camera(standard, overlay, expected):
    build = with_part(board(overlay=overlay), "camera", video_standard=standard)
    assert [level for level, _ in levels(OVERLAY, build)] == expected


def test_the_overlay_is_not_judged_unless_known():
    assert missing(OVERLAY, board(overlay=None)) == ["Board (Pellowick W3): overlay"]
