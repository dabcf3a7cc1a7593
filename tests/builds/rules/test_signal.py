"""Link, protocols, pulse rates. Worked cases: common practice, no source, or as named."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    with_ground,
    with_part,
    without,
)

FAMILY = "signal.link_family_differs"
VERSION = "signal.link_version_differs"
BAND = "signal.link_band_differs"
READ = "signal.receiver_not_understood"
INVERTED = "signal.inverted_signal_not_read"
CHANNELS = "signal.too_few_channels"
MOTOR = "signal.motor_signal_not_understood"
RATE = "signal.servo_rate_too_high"
CENTRE = "signal.pulse_centre_differs"


def receiver(**changes):
    return with_part(aircraft(), "receiver", **changes)


def test_link_families_that_differ_are_a_warning():
    assert numbers(FAMILY, receiver(link_family="J")) == {"receiver": "J", "transmitter": "K"}
    assert levels(FAMILY, receiver(link_family="J")) == [("warning", "receiver")]


def test_link_families_compare_without_regard_to_capitals():
    assert levels(FAMILY, receiver(link_family="k ")) == []


def test_the_link_is_not_judged_without_a_transmitter():
    build = aircraft(ground={})
    for rule in (FAMILY, VERSION, BAND):
        assert missing(rule, build) == ["the radio transmitter among your ground gear"]


def test_the_link_is_not_judged_without_the_receivers_family():
    assert missing(FAMILY, receiver(link_family=None)) == ["Receiver (receiver): link family"]


@pytest.mark.parametrize(("version", "expected"), [(2, ["warning"]), (3, [])])
def test_link_versions(version, expected):
    build = receiver(link_version=version)
    assert [level for level, _ in levels(VERSION, build)] == expected


def test_versions_of_different_families_are_not_compared():
    build = receiver(link_family="J", link_version=1, band_mhz=868.0)
    assert (levels(VERSION, build), levels(BAND, build)) == ([], [])


def test_the_version_is_not_judged_unless_both_are_known():
    build = with_ground(aircraft(), "transmitter", link_version=None)
    assert missing(VERSION, build) == ["transmitter: link version"]


# Bands: ITU Radio Regulations 5.138, 5.150; ETSI EN 300 220 (from memory, not verified).
@pytest.mark.parametrize(
    ("ours", "theirs", "expected"),
    [
        (915.0, 2400.0, ["warning"]),
        (915.0, 868.0, ["warning"]),
        (2400.0, 2440.0, []),
        (868.0, 868.0, []),
        (72.0, 72.0, []),
    ],
)
def test_bands_of_the_link(ours, theirs, expected):
    build = with_ground(receiver(band_mhz=ours), "transmitter", band_mhz=theirs)
    assert [level for level, _ in levels(BAND, build)] == expected


def test_the_band_is_not_judged_unless_known():
    assert missing(BAND, receiver(band_mhz=None)) == ["Receiver (receiver): band (MHz)"]


def test_a_protocol_that_the_board_cannot_read_is_a_warning():
    assert levels(READ, receiver(output_protocols=["other"])) == [("warning", "receiver")]


def test_one_protocol_in_common_is_enough():
    assert levels(READ, receiver(output_protocols=["other", "Serial"])) == []


def test_the_protocol_is_not_judged_unless_known():
    build = with_part(aircraft(), "board", input_protocols=None)
    assert missing(READ, build) == ["Board (Pellowick W3): input protocols"]


@pytest.mark.parametrize(
    ("is_inverted", "accepts", "expected"),
    [(True, False, ["warning"]), (True, True, []), (False, False, []), (None, True, [])],
)
def test_inverted_signals(is_inverted, accepts, expected):
    build = with_part(receiver(is_output_inverted=is_inverted), "board", accepts_inverted=accepts)
    assert [level for level, _ in levels(INVERTED, build)] == expected
    assert missing(INVERTED, build) == []


@pytest.mark.parametrize(
    ("is_inverted", "accepts", "expected"),
    [
        (None, False, "Receiver (receiver): is output inverted"),
        (True, None, "Board (Pellowick W3): accepts inverted"),
    ],
)
def test_inverted_signals_are_not_judged_unless_settled(is_inverted, accepts, expected):
    build = with_part(receiver(is_output_inverted=is_inverted), "board", accepts_inverted=accepts)
    assert missing(INVERTED, build) == [expected]


@pytest.mark.parametrize(
    ("layout", "channels", "expected"),
    [
        ("flying_wing", 5, []),
        ("flying_wing", 4, ["caution"]),
        ("flying_wing", 2, ["warning"]),
        ("conventional", 5, ["caution"]),
        ("conventional", 6, []),
        ("conventional", 3, ["warning"]),
        (None, 5, ["caution"]),
    ],
)
def test_channels(layout, channels, expected):
    build = with_part(receiver(channel_count=channels), "airframe", layout=layout)
    assert [level for level, _ in levels(CHANNELS, build)] == expected


def test_without_a_board_only_the_sticks_count():
    build = without(receiver(channel_count=3), "board")
    assert levels(CHANNELS, build) == []


def test_channels_are_not_judged_unless_known():
    assert missing(CHANNELS, receiver(channel_count=None)) == ["Receiver (receiver): channel count"]


def controller(protocols, sent, signal=""):
    build = with_part(aircraft(motor_signal=signal), "controller", protocols=protocols)
    return with_part(build, "board", motor_protocols=sent)


@pytest.mark.parametrize(
    ("protocols", "sent", "signal", "expected"),
    [
        (["digital"], ["pulse"], "", ["warning"]),
        (["pulse"], ["pulse", "digital"], "", []),
        (["pulse"], ["pulse", "digital"], "digital", ["warning"]),
        (["digital 300"], ["digital 300"], "digital", []),
    ],
)
def test_signals_of_the_speed_controller(protocols, sent, signal, expected):
    build = controller(protocols, sent, signal)
    assert [level for level, _ in levels(MOTOR, build)] == expected


def test_the_motor_signal_is_not_judged_unless_known():
    build = with_part(aircraft(), "controller", protocols=None)
    assert missing(MOTOR, build) == ["Controller (Ostrelka 50): protocols"]


# 330 pulses a second into a servo for 50 (common practice, no source).
@pytest.mark.parametrize(
    ("rate", "most", "expected"), [(330.0, 50.0, ["warning"]), (50.0, 50.0, []), (50.0, 333.0, [])]
)
def test_pulse_rate_of_a_servo(rate, most, expected):
    build = with_part(aircraft(servo_rate_hz=rate), "servo_left", frame_rate_max_hz=most)
    assert [level for level, _ in levels(RATE, build)] == expected


def test_the_pulse_rate_is_not_judged_unless_set():
    assert missing(RATE, aircraft(servo_rate_hz=None)) == ["this build: servo rate (Hz)"] * 2


# 760 µs of a narrow-pulse servo against 1500 µs.
@pytest.mark.parametrize(
    ("centre", "expected"),
    [(760.0, ["warning"]), (1520.0, []), (1350.0, []), (1349.0, ["warning"])],
)
def test_pulse_centre_against_what_is_sent(centre, expected):
    build = with_part(aircraft(), "servo_left", pulse_centre_us=centre)
    assert [level for level, _ in levels(CENTRE, build)] == expected


def test_both_centres_are_shown():
    build = with_part(aircraft(), "servo_left", pulse_centre_us=760.0)
    assert numbers(CENTRE, build) == {"centre_us": 760.0, "sent_us": 1500.0}


def test_the_pulse_centre_is_not_judged_unless_it_is_known():
    build = with_part(aircraft(), "servo_left", pulse_centre_us=None)
    assert missing(CENTRE, build) == ["Servo left (Fennarick F9M): pulse centre (µs)"]


def test_a_glider_with_two_servos_flies_on_two_channels():
    build = without(without(receiver(channel_count=2), "board"), "motor")
    assert levels(CHANNELS, build) == []


@pytest.mark.parametrize(
    ("signal", "names", "expected"),
    [
        ("digital", ["DShot600"], []),
        ("pulse", ["PWM", "OneShot125"], []),
        ("digital", ["PWM"], [("warning", "controller")]),
    ],
)
def test_a_motor_signal_is_known_by_the_names_of_the_trade(signal, names, expected):
    # Common practice, no source.
    assert levels(MOTOR, controller(names, names, signal)) == expected
