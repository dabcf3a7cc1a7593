"""Table of arm holes."""

import math
from itertools import pairwise

import pytest

from builds.engineering.checks import OutOfRange
from builds.engineering.linkage import Linkage, best_hole, hole_table

LINKAGE = Linkage(arm=0.012, horn=0.015, axes=0.080)
TASK = {
    "linkage": LINKAGE,
    "up": 0.010,
    "down": 0.010,
    "chord": 0.040,
    "full_travel": math.radians(45),
}


def test_travel_and_pulse_of_three_holes():
    # Independent numerical solution; 100 % = 45 degrees = 500 microseconds, common practice.
    rows = hole_table(**TASK, holes=[0.012, 0.010, 0.008])
    assert [row.arm for row in rows] == [0.008, 0.010, 0.012]
    travel = [row.travel_up * 100 for row in rows]
    assert travel == pytest.approx([61.41, 48.73, 40.41], abs=0.005)
    assert [row.pulse_up * 1e6 for row in rows] == pytest.approx([307.0, 243.6, 202.1], abs=0.06)


def test_down_throw_needs_the_servo_the_other_way():
    row = hole_table(**TASK, holes=[0.010])[0]
    assert row.servo_down < 0 < row.servo_up
    assert abs(row.servo_down) != pytest.approx(row.servo_up, rel=1e-4)


def test_smaller_hole_is_finer_and_easier_on_the_servo():
    rows = hole_table(**TASK, holes=[0.008, 0.010, 0.012])
    for inner, outer in pairwise(rows):
        assert inner.edge_per_step < outer.edge_per_step
        assert inner.torque_ratio < outer.torque_ratio


def test_step_at_the_edge_by_hand():
    # 0.8 x 40 mm x 45 degrees / 500 microseconds = 0.0503 mm a microsecond, arithmetic.
    row = hole_table(**TASK, holes=[0.012])[0]
    assert row.edge_per_step == pytest.approx(0.8 * 0.040 * math.radians(45) / 500)


def test_best_hole_is_the_smallest_within_travel():
    rows = hole_table(**{**TASK, "full_travel": math.radians(25)}, holes=[0.008, 0.010, 0.012])
    assert [row.is_within_travel for row in rows] == [False, True, True]
    assert best_hole(rows=rows).arm == 0.010


def test_no_hole_is_best_when_none_gives_the_throw():
    rows = hole_table(**{**TASK, "full_travel": math.radians(10)}, holes=[0.008])
    assert best_hole(rows=rows) is None


def test_a_hole_that_binds_says_so_and_the_others_stay():
    rows = hole_table(**TASK, holes=[0.002, 0.012])
    assert "arm and rod" in rows[0].problem
    assert rows[0].travel_up is None
    assert rows[1].problem is None


def test_says_when_full_travel_goes_over_centre():
    long_arm = {**TASK, "linkage": Linkage(arm=0.012, horn=0.008, axes=0.06)}
    row = hole_table(**{**long_arm, "full_travel": math.radians(60)}, holes=[0.012])[0]
    assert row.binds_at_full_travel
    assert not hole_table(**TASK, holes=[0.008])[0].binds_at_full_travel


def test_invented_demo_wing_reaches_its_throws():
    # Chord 36, horn 14, holes 8, 10, 12 mm; 14 mm for roll. Independent numerical solution of the
    # plain linkage, axes 80 mm apart.
    rows = hole_table(
        linkage=Linkage(arm=0.012, horn=0.014, axes=0.080),
        holes=[0.008, 0.010, 0.012],
        up=0.014,
        down=0.014,
        chord=0.036,
        full_travel=math.radians(45),
    )
    assert all(row.is_within_travel for row in rows)
    for row in rows:
        arm = math.pi / 2 + row.servo_up
        horn = math.pi / 2 + math.asin(14 / 36)
        rod = math.hypot(
            0.080 + 0.014 * math.cos(horn) - row.arm * math.cos(arm),
            0.014 * math.sin(horn) - row.arm * math.sin(arm),
        )
        assert rod == pytest.approx(math.hypot(0.080, 0.014 - row.arm), abs=1e-9)


@pytest.mark.parametrize(
    "wrong",
    [{"up": -0.01}, {"up": 0.05}, {"chord": 0.0}, {"full_travel": 0.0}, {"step": 0.0}],
)
def test_refuses_what_cannot_be(wrong):
    with pytest.raises(OutOfRange):
        hole_table(**{**TASK, **wrong}, holes=[0.010])


def test_refuses_an_arm_without_holes():
    with pytest.raises(OutOfRange, match="no hole"):
        hole_table(**TASK, holes=[])
