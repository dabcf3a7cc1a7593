"""Bands of the figures: JCGM 100:2008."""

import numpy as np
import pytest

from builds.engineering.checks import OutOfRange
from builds.engineering.propulsion import (
    CALIBRATED,
    GENERIC,
    MEASURED_PROPELLER,
    Circuit,
    ConstantCoefficients,
    Limits,
    Motor,
    Propeller,
    Source,
    operating_point,
    speed_constant,
    spread,
)

MOTOR = Motor(speed_constant(rpm_per_volt=1960), 0.055, 1.3)
CIRCUIT = Circuit(Source(15.2, 0.018), shared_lead=0.006, controller=0.004)
PROPELLER = Propeller(0.1524, ConstantCoefficients(0.11, 0.055))
DRIVE = {"motor": MOTOR, "propeller": PROPELLER, "circuit": CIRCUIT, "density": 1.225}


def current_band(limits):
    return spread(**DRIVE, limits=limits, figure=lambda point: point.pack_current)


def test_band_of_the_current_from_pitch_and_diameter_alone():
    # Independent numerical solution, random trials: 95 % from 24.7 to 39.4 A, about +-23 %.
    band = current_band(GENERIC)
    assert band.value == pytest.approx(31.773, rel=1e-4)
    assert (band.high - band.low) / 2 / band.value == pytest.approx(0.23, abs=0.015)
    assert band.low == pytest.approx(24.7, rel=0.04)
    assert band.high == pytest.approx(39.4, rel=0.04)


def test_band_of_the_thrust_from_pitch_and_diameter_alone():
    # Independent numerical solution, random trials: 95 % from 1008 to 1529 g, about +-21 %.
    band = spread(**DRIVE, limits=GENERIC, figure=lambda point: point.total_thrust / 9.80665 * 1000)
    assert band.low == pytest.approx(1008, rel=0.04)
    assert band.high == pytest.approx(1529, rel=0.04)


def test_band_covers_random_drives_as_often_as_it_says():
    # JCGM 101:2008, propagation of distributions, 2000 seeded trials.
    random = np.random.default_rng(20260401)
    band = current_band(GENERIC)
    inside = 0
    for _ in range(2000):
        kt, kp, kv, kr, kb = 1 + random.uniform(-1, 1, 5) * [0.15, 0.25, 0.05, 0.30, 0.40]
        point = operating_point(
            motor=Motor(MOTOR.speed_constant * kv, MOTOR.resistance * kr, 1.3),
            propeller=Propeller(0.1524, ConstantCoefficients(0.11 * kt, 0.055 * kp)),
            circuit=Circuit(Source(15.2, 0.018 * kb), shared_lead=0.006, controller=0.004),
            density=1.225,
        )
        inside += band.low <= point.pack_current <= band.high
    assert 0.93 <= inside / 2000 <= 0.985


def test_names_the_input_that_decides():
    assert current_band(GENERIC).dominant == "power_coefficient"
    assert current_band(MEASURED_PROPELLER).dominant == "speed_constant"


def test_a_measurement_narrows_the_band():
    widths = [
        band.high - band.low
        for band in map(current_band, (GENERIC, MEASURED_PROPELLER, CALIBRATED))
    ]
    assert widths == sorted(widths, reverse=True)


def test_no_limits_give_no_band():
    band = current_band(Limits(0, 0, 0, 0, 0))
    assert band.low == band.value == band.high


def test_refuses_limits_that_let_an_input_vanish():
    with pytest.raises(OutOfRange):
        Limits(1.0, 0, 0, 0, 0)
