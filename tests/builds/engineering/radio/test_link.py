"""Free-space links: Recommendations ITU-R P.525 and P.526."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.radio import (
    circular_isolation_loss,
    free_space_path_loss,
    fresnel_radius,
    linear_to_circular_loss,
    link_margin,
    polarisation_loss,
    power_level,
    radiated_power,
    wavelength,
)


@pytest.mark.parametrize(
    ("frequency", "distance", "loss", "tolerance"),
    [
        # ITU-R P.525 with its constant in full, 32.4478: read in text.
        (1e9, 1e3, 92.44778, 5e-6),
        (10e9, 10e3, 132.4478, 5e-5),
        # Independent numerical solution.
        (2.4e9, 1e3, 100.0520, 5e-5),
        (5.8e9, 1e3, 107.7163, 5e-5),
        (868e6, 10e3, 111.2182, 5e-5),
    ],
)
def test_free_space_path_loss(frequency, distance, loss, tolerance):
    found = free_space_path_loss(frequency=frequency, distance=distance)
    assert found == pytest.approx(loss, abs=tolerance)
    # ITU-R P.525, engineering form with the rounded constant 32.4.
    rounded = 32.4 + 20 * math.log10(frequency / 1e6) + 20 * math.log10(distance / 1e3)
    assert found == pytest.approx(rounded, abs=0.05)


@pytest.mark.parametrize(
    ("frequency", "radius"),
    # ITU-R P.526, middle of 1 km; independent numerical solution.
    [(2.4e9, 5.588), (5.8e9, 3.595), (915e6, 9.050)],
)
def test_fresnel_radius_half_way(frequency, radius):
    found = fresnel_radius(frequency=frequency, to_one_end=500, to_other_end=500)
    assert found == pytest.approx(radius, abs=5e-4)


@given(near=st.floats(1, 999))
def test_fresnel_zone_is_widest_half_way(near):
    at = fresnel_radius(frequency=2.4e9, to_one_end=near, to_other_end=1000 - near)
    assert at <= fresnel_radius(frequency=2.4e9, to_one_end=500, to_other_end=500) + 1e-12


def test_polarisation_loss_of_slanted_linear_antennas():
    # -20 log10 cos: 3.01 dB at 45 degrees, 6.02 dB at 60 degrees, arithmetic.
    assert polarisation_loss(angle=math.radians(45)) == pytest.approx(3.01, abs=0.005)
    assert polarisation_loss(angle=math.radians(60)) == pytest.approx(6.02, abs=0.005)
    assert linear_to_circular_loss() == pytest.approx(3.01, abs=0.005)


def test_crossed_antennas_lose_much_but_not_everything():
    # 20 dB: common practice, no source.
    assert polarisation_loss(angle=math.pi / 2) == 20.0
    assert circular_isolation_loss(same_hand=False) == 20.0
    assert circular_isolation_loss(same_hand=True) == 0.0


@given(angle=st.floats(-6, 6))
def test_polarisation_never_gains_and_never_loses_all(angle):
    assert 0 <= polarisation_loss(angle=angle) <= 20


def test_level_at_five_kilometres():
    # 100 mW, 2.44 GHz, 5 km, isotropic antennas; independent numerical solution: -94.17 dBm.
    link = link_margin(power=0.1, frequency=2.44e9, distance=5000, sensitivity=-105)
    assert link.received == pytest.approx(-94.17, abs=0.005)
    assert link.margin == pytest.approx(10.83, abs=0.005)


@given(distance=st.floats(10, 1e5))
def test_twice_as_far_costs_six_decibels(distance):
    near = free_space_path_loss(frequency=2.4e9, distance=distance)
    far = free_space_path_loss(frequency=2.4e9, distance=2 * distance)
    assert far - near == pytest.approx(20 * math.log10(2))


def test_gains_and_losses_add():
    common = {"power": 0.025, "frequency": 5.8e9, "distance": 500, "sensitivity": -90}
    plain = link_margin(**common)
    other = link_margin(**common, transmit_gain=2, receive_gain=5, other_loss=3)
    assert other.margin - plain.margin == pytest.approx(4)


@pytest.mark.parametrize(("frequency", "quarter"), [(868e6, 86.3), (2.44e9, 30.7), (5.8e9, 12.9)])
def test_quarter_wavelengths(frequency, quarter):
    # c / 4 f in millimetres, arithmetic.
    assert wavelength(frequency=frequency) / 4 * 1000 == pytest.approx(quarter, abs=0.06)


def test_radiated_power_with_antenna_gain():
    # 25 mW and 2 dB: 25 x 10^0.2 = 39.6 mW, arithmetic.
    assert radiated_power(power=0.025, gain=2) * 1000 == pytest.approx(39.6, abs=0.05)
    assert power_level(power=0.025) == pytest.approx(13.98, abs=0.005)


@pytest.mark.parametrize(
    "wrong",
    [
        {"power": 0},
        {"frequency": 0},
        {"distance": 0.01},
        {"sensitivity": math.nan},
        {"other_loss": -1},
        {"transmit_gain": 100},
    ],
)
def test_refuses_what_cannot_be(wrong):
    inputs = {"power": 0.1, "frequency": 2.4e9, "distance": 1000, "sensitivity": -100}
    with pytest.raises(OutOfRange):
        link_margin(**{**inputs, **wrong})


def test_refuses_antennas_in_each_others_near_field():
    with pytest.raises(OutOfRange, match="one wavelength"):
        free_space_path_loss(frequency=2.4e9, distance=0.05)
