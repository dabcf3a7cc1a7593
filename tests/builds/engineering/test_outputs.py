"""Output maps, held against a search that tries every placement."""

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.outputs import (
    Function,
    NoMap,
    Output,
    OutputMap,
    map_problems,
    propose_map,
)

ALL = frozenset({"burst", "pulse_50", "pulse_333"})
BOARD = [
    Output(number, group, ALL)
    for number, group in ((1, "a"), (2, "a"), (3, "b"), (4, "b"), (5, "b"), (6, "c"))
]
MOTOR = Function("motor", ("burst",))
LEFT = Function("left", ("pulse_333", "pulse_50"))
RIGHT = Function("right", ("pulse_333", "pulse_50"))
SLOW = Function("right", ("pulse_50",))


def test_motor_and_servos_get_groups_of_their_own():
    found = propose_map(functions=[MOTOR, LEFT, RIGHT], outputs=BOARD)
    assert found == OutputMap({"motor": 1, "left": 3, "right": 4}, {"a": "burst", "b": "pulse_333"})


def test_servos_of_unlike_rate_part_company_when_there_is_room():
    found = propose_map(functions=[MOTOR, LEFT, SLOW], outputs=BOARD)
    assert map_problems(functions=[MOTOR, LEFT, SLOW], outputs=BOARD, placed=found.outputs) == ()


def test_a_fast_servo_joins_a_slow_one_when_there_is_no_room():
    found = propose_map(functions=[MOTOR, LEFT, SLOW], outputs=BOARD[:4])
    assert found.signals == {"a": "burst", "b": "pulse_50"}


def test_what_is_fixed_stays():
    found = propose_map(functions=[MOTOR, LEFT, RIGHT], outputs=BOARD, fixed={"motor": 4})
    assert found.outputs == {"motor": 4, "left": 1, "right": 2}


def test_motor_and_servo_fixed_in_one_group_are_the_reason():
    found = propose_map(
        functions=[MOTOR, LEFT, RIGHT], outputs=BOARD, fixed={"motor": 1, "left": 2}
    )
    assert isinstance(found, NoMap)
    assert found.functions == ("motor", "left")
    assert found.fixed == ("motor", "left")
    assert "motor on output 1" in found.reason


def test_a_signal_that_the_board_does_not_have_is_the_whole_reason():
    strange = Function("lamp", ("strip",))
    found = propose_map(functions=[MOTOR, LEFT, strange], outputs=BOARD)
    assert found.functions == ("lamp",)
    assert found.fixed == ()


def test_too_few_outputs_is_proved():
    motors = [Function(f"motor {n}", ("burst",)) for n in range(1, 5)]
    found = propose_map(functions=motors, outputs=BOARD[:3])
    assert len(found.functions) == 4


def test_two_functions_fixed_to_one_output_are_the_reason():
    found = propose_map(
        functions=[MOTOR, LEFT, RIGHT], outputs=BOARD, fixed={"left": 3, "right": 3}
    )
    assert found.functions == ("left", "right")


def test_nothing_to_place_is_an_empty_map():
    assert propose_map(functions=[], outputs=BOARD) == OutputMap({}, {})


def test_equal_inputs_give_equal_maps():
    first = propose_map(functions=[MOTOR, LEFT, SLOW], outputs=BOARD)
    assert propose_map(functions=[MOTOR, LEFT, SLOW], outputs=BOARD) == first


def test_names_the_faults_of_a_map_made_by_hand():
    problems = map_problems(
        functions=[MOTOR, LEFT, RIGHT], outputs=BOARD, placed={"motor": 1, "left": 2}
    )
    assert problems == (
        "right has no output",
        "group a has no signal that suits motor, left",
    )


def test_names_outputs_given_twice_or_missing():
    problems = map_problems(
        functions=[MOTOR, LEFT, RIGHT], outputs=BOARD, placed={"motor": 9, "left": 3, "right": 3}
    )
    assert problems == ("output 3 is given to 2 functions", "output 9 does not exist")


signals = st.sampled_from(["burst", "pulse_50", "pulse_333"])
boards = st.lists(
    st.tuples(st.sampled_from("abc"), st.frozensets(signals, min_size=1)), min_size=1, max_size=5
).map(lambda rows: [Output(n, g, s) for n, (g, s) in enumerate(rows, start=1)])
wishes = st.lists(
    st.lists(signals, min_size=1, max_size=2, unique=True).map(tuple), min_size=1, max_size=5
).map(lambda rows: [Function(f"f{n}", s) for n, s in enumerate(rows)])


def any_map_exists(functions, outputs, fixed):
    for order in permutations([output.number for output in outputs], len(functions)):
        placed = {f.name: number for f, number in zip(functions, order, strict=True)}
        if any(placed.get(name, number) != number for name, number in fixed.items()):
            continue
        if not map_problems(functions=functions, outputs=outputs, placed=placed):
            return True
    return False


@given(outputs=boards, functions=wishes, data=st.data())
@settings(max_examples=150)
def test_finds_a_map_exactly_when_trying_everything_finds_one(outputs, functions, data):
    numbers = [output.number for output in outputs]
    names = [function.name for function in functions]
    fixed = data.draw(st.dictionaries(st.sampled_from(names), st.sampled_from(numbers), max_size=2))
    found = propose_map(functions=functions, outputs=outputs, fixed=fixed)
    assert isinstance(found, OutputMap) == any_map_exists(functions, outputs, fixed)
    if isinstance(found, OutputMap):
        assert map_problems(functions=functions, outputs=outputs, placed=found.outputs) == ()
        assert fixed.items() <= found.outputs.items()
        return
    for left_out in found.functions:
        rest = [f for f in functions if f.name in found.functions and f.name != left_out]
        pins = {name: n for name, n in fixed.items() if name in {f.name for f in rest}}
        assert any_map_exists(rest, outputs, pins)


def test_sixteen_outputs_are_searched_to_the_end():
    outputs = [Output(n, str(n % 8), ALL) for n in range(16)]
    motors = [Function(f"motor {n}", ("burst",)) for n in range(9)]
    servos = [Function(f"servo {n}", ("pulse_50",)) for n in range(7)]
    found = propose_map(functions=[*motors, *servos], outputs=outputs)
    # Nine motors fill four and a half groups of two, seven servos three and a half: one too many.
    assert isinstance(found, NoMap)
    assert len(found.functions) == 16


@pytest.mark.parametrize(
    ("functions", "outputs", "fixed"),
    [
        ([MOTOR, MOTOR], BOARD, {}),
        ([MOTOR], [BOARD[0], BOARD[0]], {}),
        ([MOTOR], BOARD, {"nobody": 1}),
        ([MOTOR], BOARD, {"motor": 99}),
        ([Function(str(n), ("burst",)) for n in range(17)], BOARD, {}),
        ([Function(str(n), (str(n),)) for n in range(7)], BOARD, {}),
    ],
)
def test_refuses_questions_that_make_no_sense(functions, outputs, fixed):
    with pytest.raises(OutOfRange):
        propose_map(functions=functions, outputs=outputs, fixed=fixed)
