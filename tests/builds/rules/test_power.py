"""Currents and thrust. Worked cases: common practice, no source."""

import pytest

from builds.records import Value
from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, with_place

CONTROLLER = "power.motor_current_above_controller_rating"
MOTOR = "power.motor_overloaded"
PACK = "power.pack_current_too_high"
SENSOR = "power.current_beyond_sensor"
THRUST = "power.thrust_too_low"
PITCH = "power.pitch_speed_too_low"


# 61.9 A into 40 A; 33.8 A into 40 A is a margin of 1.18.
@pytest.mark.parametrize(
    ("current", "rating", "expected"),
    [
        (61.9, 40.0, ["warning"]),
        (33.8, 40.0, ["caution"]),
        (40.0, 40.0, ["caution"]),
        (32.0, 40.0, []),
        (25.0, 40.0, []),
    ],
)
def test_motor_current_against_the_controllers_rating(current, rating, expected):
    build = with_part(aircraft(), "controller", current_continuous_a=rating)
    found = levels(CONTROLLER, build, motor_current_max_a=current)
    assert [level for level, _ in found] == expected


def test_margin_of_the_controller_in_numbers():
    build = with_part(aircraft(), "controller", current_continuous_a=40.0)
    assert numbers(CONTROLLER, build, motor_current_max_a=33.8)["margin"] == pytest.approx(
        1.18, abs=0.005
    )


def test_the_motors_sheet_stands_in_for_an_unknown_current():
    build = with_part(aircraft(), "motor", kv_rpm_v=None, current_max_a=60.0)
    assert levels(CONTROLLER, build) == [("warning", "controller")]


def test_the_controller_is_not_judged_when_neither_current_is_known():
    build = with_part(aircraft(), "motor", kv_rpm_v=None, current_max_a=None)
    assert missing(CONTROLLER, build) == [
        "Motor (Ostrelka 2207): current max (A)",
        "Motor (Ostrelka 2207): speed constant (rpm/V)",
    ]


def test_the_controller_is_not_judged_without_its_rating():
    build = with_part(aircraft(), "controller", current_continuous_a=None)
    assert missing(CONTROLLER, build) == ["Controller (Ostrelka 50): current continuous (A)"]


# 92.8 A through a motor for 32 A.
@pytest.mark.parametrize(("current", "expected"), [(92.8, ["warning"]), (32.0, [])])
def test_motor_current_against_the_makers_limit(current, expected):
    build = with_part(aircraft(), "motor", current_max_a=32.0)
    assert [level for level, _ in levels(MOTOR, build, motor_current_max_a=current)] == expected


def test_the_motor_is_not_judged_without_its_limit():
    build = with_part(aircraft(), "motor", current_max_a=None)
    assert missing(MOTOR, build) == [
        "Motor (Ostrelka 2207): current max (A)",
        "Motor (Ostrelka 2207): power max (W)",
    ]


# 1363 W into a motor for 900 W.
@pytest.mark.parametrize(("power", "expected"), [(1363.0, ["warning"]), (900.0, []), (527.0, [])])
def test_motor_power_against_the_makers_limit(power, expected):
    build = with_part(aircraft(), "motor", power_max_w=900.0)
    found = levels(MOTOR, build, motor_current_max_a=40.0, power_max_w=power)
    assert [level for level, _ in found] == expected


def test_two_motors_share_the_power():
    build = with_place(with_part(aircraft(), "motor", power_max_w=900.0), "motor", quantity=2)
    assert levels(MOTOR, build, motor_current_max_a=40.0, power_max_w=1363.0) == []


def test_too_much_current_and_power_are_one_finding():
    build = with_part(aircraft(), "motor", power_max_w=900.0, current_max_a=38.0)
    found = numbers(MOTOR, build, motor_current_max_a=61.9, power_max_w=1363.0)
    assert found == {"current_a": 61.9, "max_a": 38.0}


# 37 A from a pack for 20 A.
@pytest.mark.parametrize(
    ("current", "expected"),
    [(37.0, ["warning"]), (20.0, ["caution"]), (14.1, ["caution"]), (14.0, [])],
)
def test_pack_current_against_the_stated_current(current, expected):
    build = with_part(aircraft(), "pack", current_continuous_a=20.0)
    assert [level for level, _ in levels(PACK, build, pack_current_each_max_a=current)] == expected


def test_the_label_stands_in_for_a_stated_current():
    build = with_part(aircraft(), "pack", continuous_c_rate=5.0, capacity_mah=4000.0)
    assert numbers(PACK, build, pack_current_each_max_a=37.0) == {
        "current_a": 37.0,
        "rating_a": 20.0,
    }


def test_the_pack_is_not_judged_without_a_rating():
    build = with_part(aircraft(), "pack", continuous_c_rate=None)
    assert missing(PACK, build) == ["Pack (Dunmarrow 4×1300): continuous rating (C)"]


@pytest.mark.parametrize(("current", "expected"), [(78.0, ["caution"]), (40.0, [])])
def test_range_of_the_current_sensor(current, expected):
    build = with_part(aircraft(), "board", current_sensor_max_a=40.0)
    assert [level for level, _ in levels(SENSOR, build, current_max_a=current)] == expected


def test_controllers_share_what_their_sensors_measure():
    build = with_part(aircraft(), "controller", current_sensor_max_a=40.0)
    build = with_place(build, "controller", quantity=2)
    assert levels(SENSOR, build, current_max_a=78.0) == []


@pytest.mark.parametrize(
    ("layout", "ratio", "expected"),
    [
        ("multirotor", 1.9, ["caution"]),
        ("multirotor", 2.0, []),
        ("flying_wing", 0.49, ["caution"]),
        ("flying_wing", 0.5, []),
    ],
)
def test_thrust_against_weight(layout, ratio, expected):
    build = with_part(aircraft(is_hand_launched=False), "airframe", layout=layout)
    assert [level for level, _ in levels(THRUST, build, thrust_to_weight=ratio)] == expected


def test_thrust_is_not_judged_without_the_layout():
    build = with_part(aircraft(), "airframe", layout=None)
    assert missing(THRUST, build) == ["airframe: layout"]


# 6000 rpm × 114.3 mm are 11.43 m/s.
@pytest.mark.parametrize(("stall", "expected"), [(6.0, ["caution"]), (5.715, []), (5.0, [])])
def test_pitch_speed_against_stall_speed(stall, expected):
    found = levels(PITCH, aircraft(), rpm_max=6000.0, stall_speed_m_s=stall)
    assert [level for level, _ in found] == expected


def test_pitch_speed_is_of_no_interest_to_a_multirotor():
    build = with_part(aircraft(), "airframe", layout="multirotor")
    assert levels(PITCH, build, rpm_max=6000.0, stall_speed_m_s=20.0) == []


def test_a_model_thrown_by_hand_wants_more_thrust():
    build = aircraft(is_hand_launched=True)
    assert levels(THRUST, build, thrust_to_weight=0.59) == [("caution", "")]
    assert levels(THRUST, build, thrust_to_weight=0.6) == []
    assert levels(THRUST, aircraft(is_hand_launched=False), thrust_to_weight=0.59) == []


def test_a_clubs_own_margin_takes_the_place_of_common_practice():
    limits = {f"{CONTROLLER}.margin_ratio": Value(1.1, "measured")}
    build = with_part(aircraft(rule_limits=limits), "controller", current_continuous_a=40.0)
    assert levels(CONTROLLER, build, motor_current_max_a=33.8) == []
    assert levels(CONTROLLER, build, motor_current_max_a=37.0) == [("caution", "controller")]


def test_the_thrust_wanted_cannot_be_told_unless_the_start_is_known():
    build = aircraft(is_hand_launched=None)
    found = missing("power.thrust_too_low", build, thrust_to_weight=0.55)
    assert found == ["this build: is it thrown to take off"]
    assert missing("power.thrust_too_low", build, thrust_to_weight=0.65) == []
