"""Motor model: M. Drela, First-Order DC Electric Motor Model, MIT Aero & Astro (2007).

The relations were read in the documentation of a program that uses them; the numbers here are
an independent numerical solution of those relations.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.propulsion import (
    Motor,
    best_current,
    motor_efficiency,
    motor_speed,
    motor_torque,
    rewound,
    speed_constant,
    warmed,
)

RPM = math.pi / 30
BENCH = Motor(speed_constant(rpm_per_volt=1000), 0.1, 1.0)

motors = st.builds(
    Motor,
    speed_constant=st.floats(20, 500),
    resistance=st.floats(0.005, 0.5),
    idle_current=st.floats(0.05, 3),
)


def test_torque_constant_is_the_reciprocal_of_the_speed_constant():
    # 30 / (pi x 1000) N m/A: SI identity of back voltage and torque constant.
    assert BENCH.torque_constant == pytest.approx(0.00954930, rel=1e-6)


def test_speed_torque_and_efficiency_at_a_current():
    # Independent numerical solution: 10 V, 0.1 ohm, 1 A idle, 20 A, 1000 rpm/V.
    speed = motor_speed(motor=BENCH, voltage=10.0, current=20.0)
    torque = motor_torque(motor=BENCH, current=20.0)
    assert speed / RPM == pytest.approx(8000)
    assert torque == pytest.approx(0.181437, rel=1e-5)
    assert speed * torque == pytest.approx(152.0)
    assert motor_efficiency(motor=BENCH, voltage=10.0, current=20.0) == pytest.approx(0.76)


def test_best_efficiency_at_the_root_of_idle_current_times_voltage_over_resistance():
    # Drela (2007): best current sqrt(I0 V / R), best efficiency (1 - sqrt(I0 R / V)) squared.
    current = best_current(motor=BENCH, voltage=10.0)
    assert current == pytest.approx(10.0)
    assert motor_efficiency(motor=BENCH, voltage=10.0, current=current) == pytest.approx(0.81)


@given(motor=motors, voltage=st.floats(5, 30), share=st.floats(0.01, 0.99))
def test_no_current_beats_the_best_efficiency(motor, voltage, share):
    stall = voltage / motor.resistance
    if motor.idle_current >= stall:
        return
    current = motor.idle_current + share * (stall - motor.idle_current)
    best = (1 - math.sqrt(motor.idle_current * motor.resistance / voltage)) ** 2
    found = motor_efficiency(motor=motor, voltage=voltage, current=current)
    assert 0 <= found <= best + 1e-9


def test_rewinding_keeps_the_copper():
    # Independent derivation: R ~ 1/Kv2, I0 ~ Kv. 1960 rpm/V, 0.055 ohm, 1.3 A wound for 1300.
    motor = Motor(speed_constant(rpm_per_volt=1960), 0.055, 1.3)
    slow = rewound(motor=motor, speed_ratio=1300 / 1960)
    assert slow.resistance == pytest.approx(0.12502, rel=1e-4)
    assert slow.idle_current == pytest.approx(0.86224, rel=1e-4)


def test_a_winding_eighty_kelvin_warmer_has_31_percent_more_resistance():
    # IEC 60028: 0.00393 a kelvin.
    assert warmed(motor=BENCH, rise=80.0).resistance == pytest.approx(0.1 * 1.3144)


@pytest.mark.parametrize(
    ("kv", "resistance", "idle"),
    [(0, 0.1, 1), (100, 0, 1), (100, 0.1, -1), (math.nan, 0.1, 1), (100, math.inf, 1)],
)
def test_refuses_constants_that_no_motor_has(kv, resistance, idle):
    with pytest.raises(OutOfRange):
        Motor(kv, resistance, idle)


def test_says_that_a_motor_without_voltage_does_not_turn():
    with pytest.raises(OutOfRange, match="does not turn"):
        motor_speed(motor=BENCH, voltage=1.0, current=20.0)


def test_refuses_to_drive_the_motor_from_outside():
    with pytest.raises(OutOfRange, match="idle current"):
        motor_torque(motor=BENCH, current=0.5)


def test_refuses_a_best_current_below_the_turning_voltage():
    with pytest.raises(OutOfRange, match="does not turn"):
        best_current(motor=BENCH, voltage=0.05)
