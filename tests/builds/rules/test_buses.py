"""GPS, addresses and signal voltages. Worked cases: common practice, no source, if not named."""

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

SPEED = "buses.gps_speed_differs"
MESSAGE = "buses.gps_message_not_read"
ADDRESS = "buses.address_clash"
LOW = "buses.signal_level_too_low"
HIGH = "buses.signal_level_too_high"


# 9600 Bd against 115200 Bd.
@pytest.mark.parametrize(("sent", "expected"), [(9600.0, ["caution"]), (115200.0, [])])
def test_serial_speed_of_the_gps_against_the_one_set(sent, expected):
    build = with_part(aircraft(), "gps", baud_hz=sent)
    assert [level for level, _ in levels(SPEED, build)] == expected


def test_both_speeds_are_shown():
    build = with_part(aircraft(), "gps", baud_hz=9600.0)
    assert numbers(SPEED, build) == {"sent_hz": 9600.0, "set_hz": 115200.0}


def test_the_serial_speed_is_not_judged_unless_both_are_known():
    build = with_part(aircraft(gps_baud_hz=None), "gps", baud_hz=None)
    assert missing(SPEED, build) == [
        "Gps (gps): baud (Hz)",
        "this build: serial speed set for the GPS (Hz)",
    ]


@pytest.mark.parametrize(
    ("sent", "expected"), [(["own"], ["caution"]), (["own", "Binary"], []), (["nmea-0183"], [])]
)
def test_messages_of_the_gps_against_those_the_board_reads(sent, expected):
    build = with_part(aircraft(), "gps", messages=sent)
    assert [level for level, _ in levels(MESSAGE, build)] == expected


def test_the_message_is_not_judged_unless_it_is_known():
    build = with_part(aircraft(), "gps", messages=None)
    assert missing(MESSAGE, build) == ["Gps (gps): GPS messages it sends"]


def test_a_gps_without_a_board_is_not_compared():
    build = without(aircraft(), "board")
    assert (levels(SPEED, build), levels(MESSAGE, build)) == ([], [])


def with_sensor(build, address):
    return with_part(build, "screws", purpose="airspeed sensor", bus_address=address)


def with_compass(address, buses=1):
    build = with_part(aircraft(), "gps", has_compass=True, compass_address=address)
    return with_part(build, "board", bus_count=buses)


# Each device on a bus answers to its own address: NXP UM10204, 3.1.10.
@pytest.mark.parametrize(
    ("compass", "sensor", "buses", "expected"),
    [(13, 13, 1, ["warning"]), (13, 40, 1, []), (13, 13, 2, [])],
)
def test_addresses_on_the_bus(compass, sensor, buses, expected):
    build = with_sensor(with_compass(compass, buses), sensor)
    assert [level for level, _ in levels(ADDRESS, build)] == expected


def test_the_compass_on_the_board_counts_too():
    build = with_part(with_compass(13), "board", has_compass=True, compass_address=13)
    assert numbers(ADDRESS, build) == {"address": 13, "device_count": 2, "bus_count": 1}


def test_a_single_device_can_clash_with_none():
    build = with_compass(None)
    assert (levels(ADDRESS, build), missing(ADDRESS, build)) == ([], [])


def test_an_address_is_asked_for_where_there_are_two_devices():
    build = with_sensor(with_compass(None), 40)
    assert missing(ADDRESS, build) == ["Gps (gps): compass address"]


# 3.3 V into a part that reads 0.7 of its 5 V supply.
@pytest.mark.parametrize(("least", "expected"), [(3.5, ["caution"]), (3.3, []), (2.0, [])])
def test_signal_of_the_board_against_what_a_servo_reads(least, expected):
    build = with_part(aircraft(), "servo_left", signal_min_v=least)
    assert [level for level, _ in levels(LOW, build)] == expected


def test_a_speed_controller_is_judged_too():
    build = with_part(aircraft(), "controller", signal_min_v=3.5)
    assert levels(LOW, build) == [("caution", "controller")]


def test_the_signal_is_not_judged_unless_it_is_known():
    build = without(with_part(aircraft(), "board", signal_v=None), "servo_right")
    assert missing(LOW, build) == ["Board (Pellowick W3): signal (V)"] * 2


@pytest.mark.parametrize(("sent", "expected"), [(5.0, ["warning"]), (3.6, []), (3.3, [])])
def test_signal_of_the_receiver_against_what_the_board_stands(sent, expected):
    build = with_part(with_part(aircraft(), "board", signal_max_v=3.6), "receiver", signal_v=sent)
    assert [level for level, _ in levels(HIGH, build)] == expected


def test_the_receivers_signal_is_not_judged_unless_it_is_known():
    build = with_part(aircraft(), "receiver", signal_v=None)
    assert missing(HIGH, build) == ["Receiver (receiver): signal (V)"]


def test_signals_without_a_board_are_not_compared():
    build = with_place(without(aircraft(), "board"), "receiver", serial_port=None)
    assert (levels(LOW, build), levels(HIGH, build)) == ([], [])
