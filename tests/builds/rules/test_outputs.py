"""Outputs and timers of the board. Worked cases: common practice, no source."""

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

FEW = "outputs.too_few_outputs"
NONE = "outputs.no_such_output"
TWICE = "outputs.two_functions_on_one_output"
TIMER = "outputs.motor_and_servo_share_timer"
USUAL = "outputs.map_differs_from_usual"


def on_outputs(build, **outputs):
    for key, output in outputs.items():
        build = with_place(build, key, output=output)
    return build


def beside_servo(**columns):
    """The motor on output 3 beside a servo on 4, which share a timer."""
    return on_outputs(aircraft(**columns), motor=3, controller=3, servo_left=4, servo_right=5)


def test_five_functions_on_four_outputs_are_too_many():
    build = with_part(with_place(aircraft(), "servo_left", quantity=3), "board",
                      timer_groups=[[1, 2], [3, 4]])  # fmt: skip
    assert numbers(FEW, build) == {"have": 4, "wanted": 5}


def test_as_many_outputs_as_functions_are_enough():
    assert levels(FEW, with_part(aircraft(), "board", timer_groups=[[1, 2], [6]])) == []


def test_outputs_are_not_judged_unless_known():
    build = with_part(aircraft(), "board", timer_groups=None)
    assert missing(FEW, build) == ["Board (Pellowick W3): timer groups"]


def test_an_output_that_the_board_has_not():
    assert levels(NONE, on_outputs(aircraft(), servo_left=9)) == [("warning", "servo_left")]


def test_the_last_output_of_the_board_is_one_of_its_outputs():
    assert levels(NONE, aircraft()) == []


def test_too_few_outputs_are_one_finding_only():
    build = with_part(on_outputs(aircraft(), servo_left=9), "board", timer_groups=[[1, 2]])
    assert levels(NONE, build) == []
    assert levels(FEW, build) == [("warning", "board")]


def test_two_servos_on_one_output():
    build = on_outputs(aircraft(), servo_right=1)
    assert numbers(TWICE, build) == {"output": 1, "positions": ("servo_left", "servo_right")}


def test_a_motor_and_its_controller_share_an_output_by_right():
    assert levels(TWICE, aircraft()) == []


def test_a_motor_and_a_servo_on_one_output():
    assert levels(TWICE, on_outputs(aircraft(), servo_left=6)) == [("warning", "")]


def test_a_motor_beside_a_servo_on_one_timer_is_a_warning():
    (found,) = judge(TIMER, beside_servo()).findings
    assert found.level.label == "warning"
    assert dict(found.numbers)["free"] == (1, 2, 6)
    assert "Motor on 3" in found.message
    assert "Free of servos: 1, 2, 6." in found.remedy


def test_motors_driven_by_pulses_go_with_servos():
    build = beside_servo(motor_signal="pulse")
    assert (levels(TIMER, build), missing(TIMER, build)) == ([], [])


def test_a_shared_timer_is_not_judged_without_the_motor_signal():
    assert missing(TIMER, beside_servo(motor_signal="")) == ["this build: motor signal"]


def test_the_motor_signal_does_not_matter_on_timers_apart():
    build = aircraft(motor_signal="")
    assert (levels(TIMER, build), missing(TIMER, build)) == ([], [])


def test_timers_are_not_judged_while_a_servos_output_is_unknown():
    build = on_outputs(aircraft(), servo_left=None)
    assert missing(TIMER, build) == ["the place “Servo left”: output"]


def test_timers_are_not_judged_while_the_motors_output_is_unknown():
    build = on_outputs(aircraft(), motor=None, controller=None)
    assert missing(TIMER, build) == ["which outputs drive the motors"]


def test_timers_are_not_judged_unless_the_groups_are_known():
    build = with_part(aircraft(), "board", timer_groups=None)
    assert missing(TIMER, build) == ["Board (Pellowick W3): timer groups"]


def test_without_servos_nothing_shares_a_timer():
    build = without(without(beside_servo(), "servo_left"), "servo_right")
    assert (levels(TIMER, build), missing(TIMER, build)) == ([], [])


# Motor on 6, servos on 3 and 4, where the board has motors on 1 and 2.
def test_a_map_other_than_the_board_is_delivered_with_is_noted():
    build = with_part(aircraft(), "board", motor_outputs=[[1, 2]])
    build = on_outputs(build, motor=6, controller=None, servo_left=3, servo_right=4)
    assert levels(USUAL, build) == [("note", "")]
    assert numbers(USUAL, build) == {"usual": (1, 2), "outputs": (6,)}


def test_a_servo_on_a_motors_output_is_noted():
    build = with_part(aircraft(), "board", motor_outputs=[[1], [6]])
    assert numbers(USUAL, build) == {"usual": (1, 6), "outputs": (1,)}


def test_a_map_as_delivered_is_quiet():
    assert levels(USUAL, aircraft()) == []


def test_the_map_is_not_judged_unless_the_boards_own_is_known():
    build = with_part(aircraft(), "board", motor_outputs=None)
    assert missing(USUAL, build) == ["Board (Pellowick W3): outputs meant for motors"]


def test_a_build_without_a_map_has_none_to_compare():
    build = on_outputs(aircraft(), motor=None, controller=None, servo_left=None, servo_right=None)
    assert (levels(USUAL, build), missing(USUAL, build)) == ([], [])
