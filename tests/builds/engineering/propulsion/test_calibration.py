"""One reading on the bench, solved backwards."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.propulsion import (
    Circuit,
    ConstantCoefficients,
    Motor,
    Propeller,
    Reading,
    Source,
    calibrate,
    operating_point,
    speed_constant,
)

RPM = math.pi / 30
MOTOR = Motor(speed_constant(rpm_per_volt=900), 0.090, 0.9)
INPUTS = {"motor": MOTOR, "controller_resistance": 0.005, "diameter": 0.254, "density": 1.225}
READING = Reading(voltage=10.5737, current=17.5447, speed=8016.23 * RPM, thrust=10.7852)


def test_finds_the_drive_behind_a_reading():
    # Independent numerical solution of the reference drive: 148.253 W, Cp 0.0480, 900 rpm/V.
    found = calibrate(reading=READING, **INPUTS)
    assert found.shaft_power == pytest.approx(148.253, rel=1e-4)
    assert found.power_coefficient == pytest.approx(0.0480, rel=1e-4)
    assert found.thrust_coefficient == pytest.approx(0.1185, rel=1e-4)
    assert found.speed_constant / RPM == pytest.approx(900.0, rel=1e-4)


def test_a_public_bench_log_gives_one_thrust_coefficient_over_three_throttles():
    # A public bench log, 5x4 three-blade: 139/416/783 g at 10346/17438/24082 rpm, read in text.
    # Ct 0.1439/0.1516/0.1496 is arithmetic in air of 1.225 kg/m3 (assumed). The three blades of
    # Deters et al., AIAA 2014-2151, average 0.1483 (5x3.75).
    weights_and_rpm = [(0.139, 10346, 0.1439), (0.416, 17438, 0.1516), (0.783, 24082, 0.1496)]
    motor = Motor(speed_constant(rpm_per_volt=2400), 0.05, 0.1)
    for mass, rpm, expected in weights_and_rpm:
        # Voltage and current only have to be lively enough not to be refused here.
        reading = Reading(voltage=16.0, current=25.0, speed=rpm * RPM, thrust=mass * 9.80665)
        found = calibrate(
            reading=reading, motor=motor, controller_resistance=0, diameter=0.127, density=1.225
        )
        assert found.thrust_coefficient == pytest.approx(expected, abs=2e-4)


@given(
    constant=st.floats(600, 2600),
    voltage=st.floats(7, 25),
    power=st.floats(0.03, 0.1),
    merit=st.floats(0.3, 0.8),
)
def test_a_reading_of_a_modelled_drive_gives_back_its_constants(constant, voltage, power, merit):
    thrust = (merit * power / math.sqrt(2 / math.pi)) ** (2 / 3)
    motor = Motor(speed_constant(rpm_per_volt=constant), 0.06, 1.0)
    propeller = Propeller(0.2, ConstantCoefficients(thrust, power))
    circuit = Circuit(Source(voltage, 0.02), controller=0.005)
    point = operating_point(motor=motor, propeller=propeller, circuit=circuit, density=1.1)
    found = calibrate(
        reading=Reading(
            point.controller_voltage, point.motor_current, point.speed, point.total_thrust
        ),
        motor=replace(motor, speed_constant=1.0),
        controller_resistance=0.005,
        diameter=0.2,
        density=1.1,
    )
    assert found.speed_constant == pytest.approx(motor.speed_constant, rel=1e-8)
    assert found.power_coefficient == pytest.approx(power, rel=1e-8)
    assert found.thrust_coefficient == pytest.approx(thrust, rel=1e-8)


def test_works_without_a_scale():
    found = calibrate(reading=replace(READING, thrust=None), **INPUTS)
    assert found.thrust_coefficient is None
    assert found.figure_of_merit is None
    assert found.power_coefficient == pytest.approx(0.0480, rel=1e-4)


def test_refuses_grams_given_as_newtons():
    with pytest.raises(OutOfRange, match="momentum theory"):
        calibrate(reading=replace(READING, thrust=1099.8), **INPUTS)


def test_refuses_a_current_below_idle():
    with pytest.raises(OutOfRange, match="idle current"):
        calibrate(reading=replace(READING, current=0.8), **INPUTS)


def test_refuses_a_winding_that_takes_the_whole_voltage():
    with pytest.raises(OutOfRange, match="whole voltage"):
        calibrate(reading=replace(READING, current=120.0), **INPUTS)
