"""Regulators and rails. Worked cases: common practice, no source."""

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

OVERLOAD = "rails.rail_overloaded"
SUPPLY = "rails.rail_voltage_unsuitable"
SERVO = "rails.servo_voltage_unsuitable"
DEAD = "rails.servo_rail_without_supply"
HEAT = "rails.linear_regulator_hot"


def board(**changes):
    return with_part(aircraft(), "board", **changes)


def without_board_rail():
    return board(servo_rail_v=None, servo_rail_a=None, servo_rail_peak_a=None)


# Four servos of 0.9 A stalled and a receiver of 0.6 A are 4.2 A from a regulator of 3 A.
def test_stalled_servos_overload_a_regulator():
    build = with_part(aircraft(), "regulator", voltage_out_v=5.0, current_peak_a=3.0)
    build = with_place(build, "servo_left", regulator_key="regulator", quantity=4)
    build = with_place(build, "receiver", regulator_key="regulator")
    build = with_place(with_part(build, "receiver", current_ma=600.0), "video", regulator_key="")
    assert numbers(OVERLOAD, build) == {"current_a": pytest.approx(4.2), "limit_a": 3.0}
    assert levels(OVERLOAD, build) == [("warning", "regulator")]


@pytest.mark.parametrize(
    ("rating", "expected"), [(0.7, ["caution"]), (0.72, []), (0.4, ["warning"])]
)
def test_typical_load_against_the_continuous_current(rating, expected):
    build = with_part(with_part(aircraft(), "servo_left", current_working_ma=252.0), "servo_right",
                      current_working_ma=252.0)  # fmt: skip
    build = with_part(build, "board", servo_rail_a=rating)
    assert [level for level, _ in levels(OVERLOAD, build)] == expected


@pytest.mark.parametrize(("peak", "expected"), [(1.7, ["warning"]), (1.8, [])])
def test_stalled_servos_against_the_peak_current(peak, expected):
    build = board(servo_rail_a=1.6, servo_rail_peak_a=peak)
    assert [level for level, _ in levels(OVERLOAD, build)] == expected


def test_the_video_unit_against_the_regulator_that_feeds_it():
    build = with_part(with_part(aircraft(), "regulator"), "video", current_ma=1600.0)
    assert levels(OVERLOAD, build) == [("caution", "regulator")]


def test_a_rail_is_not_judged_without_its_current():
    assert missing(OVERLOAD, board(rail_5v_a=None)) == ["Board (Pellowick W3): 5 V rail (A)"]


def test_a_rail_is_not_judged_without_what_a_part_draws():
    build = with_part(aircraft(), "gps", current_ma=None)
    assert missing(OVERLOAD, build) == ["Gps (gps): current (mA)"]


def test_an_overload_is_found_though_another_part_is_unknown():
    build = with_part(board(rail_5v_a=0.05), "gps", current_ma=None)
    assert levels(OVERLOAD, build) == [("warning", "board")]


def test_an_unknown_peak_is_no_gap_when_the_continuous_current_covers_a_stall():
    assert missing(OVERLOAD, board(servo_rail_peak_a=None)) == []


def test_an_unknown_peak_is_a_gap_when_a_stall_is_beyond_the_continuous_current():
    build = board(servo_rail_peak_a=None, servo_rail_a=1.0)
    assert missing(OVERLOAD, build) == ["Board (Pellowick W3): servo rail peak (A)"]


def test_too_high_a_rail_is_a_warning():
    build = with_place(aircraft(), "gps", supply="board_9v")
    assert levels(SUPPLY, build) == [("warning", "gps")]


def test_too_low_a_rail_is_a_caution():
    build = with_place(aircraft(), "video", supply="board_5v", regulator_key="")
    assert levels(SUPPLY, build) == [("caution", "video")]


def test_a_rail_at_the_limit_of_a_part_is_in_order():
    assert levels(SUPPLY, with_part(aircraft(), "gps", voltage_min_v=5.0, voltage_max_v=5.0)) == []


def test_a_part_on_a_rail_is_not_judged_without_its_range():
    build = with_part(aircraft(), "gps", voltage_max_v=None)
    assert missing(SUPPLY, build) == ["Gps (gps): voltage max (V)"]


# 8.4 V on servos for 6.0 V at most.
@pytest.mark.parametrize(
    ("volts", "expected"), [(8.4, ["warning"]), (6.0, []), (4.8, []), (4.5, ["warning"])]
)
def test_voltage_of_the_servo_rail(volts, expected):
    assert [level for level, _ in levels(SERVO, board(servo_rail_v=volts))] == expected


def test_the_speed_controller_feeds_the_servo_rail_when_the_board_has_none():
    build = with_part(without_board_rail(), "controller", regulator_voltage_v=8.4)
    assert levels(SERVO, build) == [("warning", "servo_left")]


def test_a_servo_on_the_pack_sees_the_full_pack():
    build = with_place(aircraft(), "servo_left", supply="pack")
    assert numbers(SERVO, build)["supply_v"] == pytest.approx(16.8)


def test_a_servo_on_the_pack_sees_the_pack_at_landing():
    build = with_place(aircraft(), "servo_left", supply="pack")
    build = with_part(build, "servo_left", voltage_min_v=14.0, voltage_max_v=17.0)
    assert numbers(SERVO, build)["supply_v"] == pytest.approx(13.2)


def test_a_servo_of_unknown_supply_is_not_judged():
    build = with_place(aircraft(), "servo_left", supply="")
    assert missing(SERVO, build) == ["Servo left (Fennarick F9M): where it gets its power"]


def test_a_servo_is_not_judged_when_the_rail_is_unknown():
    assert missing(SERVO, without_board_rail()) == ["the voltage of the servo rail"] * 2


def test_a_controller_without_regulator_leaves_the_servos_dead():
    build = without(without_board_rail(), "board")
    assert levels(DEAD, build) == [("warning", "")]


def test_a_rail_fed_by_a_controller_is_alive():
    build = with_part(without(aircraft(), "board"), "controller", has_regulator=True)
    assert (levels(DEAD, build), missing(DEAD, build)) == ([], [])


def test_a_rail_is_not_judged_while_the_boards_is_unknown():
    assert missing(DEAD, without_board_rail()) == ["Board (Pellowick W3): servo rail (V)"]


def test_a_rail_is_not_judged_while_the_controllers_regulator_is_unknown():
    build = with_part(without(aircraft(), "board"), "controller", has_regulator=None)
    assert missing(DEAD, build) == ["Controller (Ostrelka 50): has regulator"]


# (16.8 − 5) V × 1.0 A = 11.8 W: energy balance.
@pytest.mark.parametrize(
    ("current_ma", "heat", "level"), [(1000.0, 11.8, "warning"), (250.0, 2.95, "caution")]
)
def test_heat_of_a_linear_regulator(current_ma, heat, level):
    build = with_part(aircraft(), "regulator", topology="linear", voltage_out_v=5.0)
    build = with_part(build, "video", current_ma=current_ma)
    assert numbers(HEAT, build)["heat_w"] == pytest.approx(heat)
    assert levels(HEAT, build) == [(level, "regulator")]


def test_a_cool_linear_regulator_is_in_order():
    build = with_part(aircraft(), "regulator", topology="linear", voltage_out_v=5.0)
    assert levels(HEAT, with_part(build, "video", current_ma=100.0)) == []


def test_a_switching_regulator_is_in_order():
    assert levels(HEAT, with_part(aircraft(), "regulator")) == []


def test_a_regulator_of_unknown_topology_is_not_judged():
    build = with_part(aircraft(), "regulator", topology=None)
    assert missing(HEAT, build) == ["Regulator (regulator): topology"]
