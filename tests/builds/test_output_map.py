"""Maps of outputs. A timer gives all its outputs one kind of signal: the boards' sheets."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.outputs import NoMap
from builds.output_map import outputs_of
from tests.builds.records_builder import aircraft, with_part, with_place, without


def placed(motor=6, left=1, right=2, **board):
    """A wing whose board has the timers 1 2, 3 4 5 and 6; its controller bears no number."""
    build = with_place(aircraft(), "controller", output=None)
    build = with_part(build, "board", **board)
    for key, output in (("motor", motor), ("servo_left", left), ("servo_right", right)):
        build = with_place(build, key, output=output)
    return build


def test_a_good_map_stays_as_it_is():
    found = outputs_of(placed())
    assert found.problems == ()
    assert found.changes == ()
    assert found.map == {"motor": 6, "servo_left": 1, "servo_right": 2}


# Motor on 3 beside a servo on 4: outputs 1, 2 and 6 are free of servos.
def test_a_motor_beside_a_servo_moves_and_the_servos_stay():
    found = outputs_of(placed(motor=3, left=4, right=5))
    (problem,) = found.problems
    assert "Motor" in problem
    assert "Servo left" in problem
    assert [one.key for one in found.changes] == ["motor"]
    assert found.map["motor"] in (1, 2, 6)
    assert [group.free for group in found.groups] == [(1, 2), (), (6,)]


def test_what_is_kept_stays_and_the_others_make_way():
    found = outputs_of(placed(motor=3, left=4, right=5), fixed=["motor"])
    assert found.fixed == ("motor",)
    assert found.map["motor"] == 3
    assert {found.map["servo_left"], found.map["servo_right"]} == {1, 2}


def test_keeping_both_is_proved_impossible():
    found = outputs_of(placed(motor=3, left=4, right=5), fixed=["motor", "servo_left"])
    assert isinstance(found.proposal, NoMap)
    assert set(found.proposal.functions) == {"Motor", "Servo left"}
    assert found.map == {}
    assert found.changes == ()


def test_one_timer_for_all_has_no_map_with_a_digital_signal():
    found = outputs_of(placed(timer_groups=[[1, 2, 3]]))
    assert isinstance(found.proposal, NoMap)


def test_one_timer_for_all_is_good_when_the_motor_takes_pulses():
    build = replace(placed(3, 1, 2, timer_groups=[[1, 2, 3]]), motor_signal="pulse")
    assert outputs_of(build).problems == ()


def test_an_output_may_stand_with_the_speed_controller():
    build = with_place(placed(motor=None), "controller", output=3)
    (motor, *_) = outputs_of(with_place(build, "servo_left", output=4)).driven
    assert (motor.key, motor.output) == ("motor", 3)
    assert [twin.key for twin in motor.twins] == ["controller"]


def test_an_output_the_board_has_not_cannot_be_kept():
    found = outputs_of(placed(motor=9), fixed=["motor"])
    assert isinstance(found.proposal, NoMap)
    assert "Motor on output 9" in found.proposal.reason
    assert "output 9 does not exist" in found.problems


def test_what_it_takes_is_named():
    assert outputs_of(without(placed(), "board")).missing == ("Flight controller: nothing fitted",)
    assert outputs_of(placed(timer_groups=None)).missing == ("Board (Pellowick W3): timer groups",)
    assert outputs_of(replace(placed(), motor_signal="")).missing == ("this build: motor signal",)


def test_a_board_larger_than_the_search_is_said_so():
    found = outputs_of(placed(timer_groups=[[number] for number in range(1, 18)]))
    assert "at most 16" in found.missing[0]


outputs = st.one_of(st.none(), st.integers(min_value=1, max_value=7))


@given(motor=outputs, left=outputs, right=outputs)
def test_a_map_proposed_never_mixes_signals_and_uses_no_output_twice(motor, left, right):
    build = placed(motor, left, right)
    found = outputs_of(build)
    proposed = placed(found.map["motor"], found.map["servo_left"], found.map["servo_right"])
    again = outputs_of(proposed)
    assert again.problems == ()
    assert again.changes == ()
    assert len(set(found.map.values())) == 3
