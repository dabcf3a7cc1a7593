"""Ports of the board. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
    without,
)

SERIAL = "ports.too_few_serial_ports"
BUS = "ports.no_bus_for_compass"
OVERLAY = "ports.overlay_missing"
SHARED = "ports.two_parts_on_one_port"
NONE = "ports.no_such_port"
USB = "ports.usb_out_of_reach"


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


def test_two_parts_on_one_port():
    build = with_place(aircraft(), "gps", serial_port=1)
    assert levels(SHARED, build) == [("warning", "")]
    assert numbers(SHARED, build) == {"port": 1, "part_count": 2}


@pytest.mark.parametrize("port", [0, 2, 4])
def test_a_port_of_its_own_or_none(port):
    assert levels(SHARED, with_place(aircraft(), "gps", serial_port=port)) == []


def test_a_part_the_board_cannot_control_takes_no_port():
    build = with_part(with_place(aircraft(), "video", serial_port=1), "video", control_bus=None)
    assert levels(SHARED, build) == []


def test_the_ports_are_not_judged_unless_they_are_known():
    build = with_place(aircraft(), "gps", serial_port=None)
    assert missing(SHARED, build) == ["the place “Gps”: serial port"]


def test_a_single_part_shares_no_port():
    build = without(without(with_place(aircraft(), "gps", serial_port=None), "video"), "receiver")
    assert (levels(SHARED, build), missing(SHARED, build)) == ([], [])


@pytest.mark.parametrize(("port", "expected"), [(5, [("warning", "gps")]), (4, []), (0, [])])
def test_a_port_against_those_the_board_has(port, expected):
    assert levels(NONE, with_place(aircraft(), "gps", serial_port=port)) == expected


def test_too_few_ports_for_all_are_said_elsewhere():
    assert levels(NONE, board(serial_port_count=2)) == []


def test_a_port_is_not_judged_unless_it_is_known():
    build = with_place(board(serial_port_count=None), "gps", serial_port=None)
    assert missing(NONE, build)[1:3] == [
        "the place “Gps”: serial port",
        "Board (Pellowick W3): serial port count",
    ]


@pytest.mark.parametrize(("is_reachable", "expected"), [(False, [("note", "")]), (True, [])])
def test_the_usb_socket_within_reach(is_reachable, expected):
    assert levels(USB, aircraft(is_usb_reachable=is_reachable)) == expected


def test_the_usb_socket_is_not_judged_unless_it_was_tried():
    assert missing(USB, aircraft(is_usb_reachable=None)) == [
        "this build: is the USB socket within reach"
    ]


def test_a_build_without_board_has_no_usb_socket():
    build = without(aircraft(is_usb_reachable=None), "board")
    assert (levels(USB, build), missing(USB, build)) == ([], [])
