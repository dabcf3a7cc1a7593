"""How long a pack lasts."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.propulsion import (
    cruise_power,
    endurance_from_currents,
    endurance_from_power,
    level_drag,
)

GRAVITY = 9.80665
MIXED = {"charge": 4680.0, "reserve": 0.2, "cruise_current": 4.0, "full_current": 33.8}


def test_drag_in_level_flight():
    # Independent numerical solution: 0.656 kg, 0.191 m2, 1 m span, CD0 0.035, e 0.8, 15 m/s.
    drag = level_drag(
        weight=0.656 * GRAVITY,
        wing_area=0.191,
        span=1.0,
        airspeed=15.0,
        density=1.225,
        zero_lift_drag=0.035,
        span_efficiency=0.8,
    )
    assert drag == pytest.approx(1.04076, rel=1e-4)


def test_power_and_time_in_cruise():
    # Independent numerical solution: 0.55 x 0.80 x 0.95, 8 W beside, 22.2 Wh of which 80 %.
    power = cruise_power(
        drag=1.04076,
        airspeed=15.0,
        propeller_efficiency=0.55,
        motor_efficiency=0.80,
        controller_efficiency=0.95,
        other_power=8.0,
    )
    assert power == pytest.approx(45.348, rel=1e-4)
    time = endurance_from_power(energy=22.2 * 3600, reserve=0.2, power=power)
    assert time / 60 == pytest.approx(23.50, abs=0.005)


def test_mixed_flying_by_hand():
    # 4680 C x 0.8 = 3744 C; 0.1 x 33.8 + 0.9 x 4 + 0.5 = 7.48 A; 500.53 s. Arithmetic.
    found = endurance_from_currents(**MIXED, full_share=0.1, other_current=0.5)
    assert found.mean_current == pytest.approx(7.48)
    assert found.mixed == pytest.approx(3744 / 7.48)
    assert found.charge_used == pytest.approx(3744)


@given(share=st.floats(0, 1))
def test_mixed_time_lies_between_full_throttle_and_cruise(share):
    found = endurance_from_currents(**MIXED, full_share=share)
    assert found.full_only * (1 - 1e-12) <= found.mixed <= found.cruise_only * (1 + 1e-12)


@given(share=st.floats(0, 0.9), more=st.floats(0.01, 0.1))
def test_more_full_throttle_is_less_time(share, more):
    less = endurance_from_currents(**MIXED, full_share=share + more)
    assert less.mixed < endurance_from_currents(**MIXED, full_share=share).mixed


@pytest.mark.parametrize(
    "wrong",
    [
        {"charge": 0.0},
        {"reserve": 1.0},
        {"reserve": -0.1},
        {"cruise_current": 0.0},
        {"full_current": 3.0},
        {"other_current": -1.0},
        {"full_share": 1.1},
        {"charge": math.nan},
    ],
)
def test_refuses_what_cannot_be(wrong):
    with pytest.raises(OutOfRange):
        endurance_from_currents(**{**MIXED, "full_share": 0.1, **wrong})


def test_refuses_an_efficiency_above_one():
    with pytest.raises(OutOfRange):
        cruise_power(
            drag=1,
            airspeed=10,
            propeller_efficiency=55,
            motor_efficiency=0.8,
            controller_efficiency=0.9,
        )
