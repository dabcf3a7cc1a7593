"""Hinge moments and mixing."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

from builds.engineering.checks import OutOfRange
from builds.engineering.surfaces import (
    flap_derivatives,
    hinge_moment,
    mix,
    servo_torque,
    unmix,
)


@pytest.mark.parametrize(
    ("fraction", "tau", "lift", "by_incidence", "by_deflection"),
    # H. Glauert, ARC R&M 1095 (1927); the integrals by an independent numerical solution.
    [
        (0.20, 0.5498, 3.4546, -0.4994, -0.9229),
        (0.25, 0.6090, 3.8264, -0.5653, -0.9436),
        (0.30, 0.6607, 4.1516, -0.6274, -0.9654),
    ],
)
def test_thin_aerofoil_flap(fraction, tau, lift, by_incidence, by_deflection):
    flap = flap_derivatives(chord_fraction=fraction)
    assert flap.effectiveness == pytest.approx(tau, abs=6e-5)
    assert flap.lift_by_deflection == pytest.approx(lift, abs=6e-5)
    assert flap.hinge_by_incidence == pytest.approx(by_incidence, abs=6e-5)
    assert flap.hinge_by_deflection == pytest.approx(by_deflection, abs=6e-5)


@given(fraction=st.floats(0.05, 0.9))
def test_hinge_moment_by_incidence_is_the_integral_of_the_flat_plate_load(fraction):
    # Flat plate, thin-aerofoil theory: load 4 sqrt((1 - x) / x) per radian.
    moment, _ = quad(lambda x: 4 * math.sqrt((1 - x) / x) * (x - (1 - fraction)), 1 - fraction, 1)
    flap = flap_derivatives(chord_fraction=fraction)
    assert flap.hinge_by_incidence == pytest.approx(-moment / fraction**2, rel=1e-6)


def test_hinge_moment_of_an_elevon():
    # Independent numerical solution: 25 m/s, 300 x 40 mm, a fifth of the chord, 20 degrees.
    moment = hinge_moment(
        dynamic_pressure=0.5 * 1.225 * 25**2,
        span=0.30,
        chord=0.040,
        chord_fraction=0.20,
        deflection=math.radians(20),
    )
    assert abs(moment) == pytest.approx(0.05919, rel=1e-4)
    assert abs(moment) / 0.0980665 == pytest.approx(0.6036, rel=1e-4)
    torque = servo_torque(hinge_moment=moment, transmission_ratio=0.8)
    assert torque / 0.0980665 == pytest.approx(0.4829, rel=1e-4)


@given(speed=st.floats(1, 50), factor=st.floats(1.1, 3))
def test_hinge_moment_grows_with_the_square_of_the_speed(speed, factor):
    common = {"span": 0.3, "chord": 0.04, "chord_fraction": 0.2, "deflection": 0.3}
    slow = hinge_moment(dynamic_pressure=speed**2, **common)
    fast = hinge_moment(dynamic_pressure=(speed * factor) ** 2, **common)
    assert fast == pytest.approx(slow * factor**2)


def test_refuses_a_deflection_beyond_thin_aerofoil_theory():
    with pytest.raises(OutOfRange, match="deflection"):
        hinge_moment(dynamic_pressure=100, span=0.3, chord=0.04, chord_fraction=0.2, deflection=0.9)


@pytest.mark.parametrize("fraction", [0.0, 1.0, -0.2, math.nan])
def test_refuses_a_flap_without_wing(fraction):
    with pytest.raises(OutOfRange):
        flap_derivatives(chord_fraction=fraction)


def test_full_pitch_and_roll_together():
    # Sum and difference: 12 + 10 and 12 - 10 mm, arithmetic.
    mixed = mix(common=12, opposed=10, limit=30)
    assert (mixed.left, mixed.right, mixed.is_limited) == (22, 2, False)


def test_clipping_costs_roll():
    mixed = mix(common=12, opposed=10, limit=18)
    assert (mixed.left, mixed.right, mixed.opposed, mixed.is_limited) == (18, 2, 8, True)


def test_scaling_keeps_the_ratio():
    # 2 x 18 / 22 = 1.636 mm, arithmetic.
    mixed = mix(common=12, opposed=10, limit=18, saturation="scale")
    assert mixed.left == pytest.approx(18)
    assert mixed.right == pytest.approx(1.636, abs=5e-4)


def test_half_pitch_and_half_roll_the_other_way():
    mixed = mix(common=6, opposed=-5, limit=18)
    assert (mixed.left, mixed.right) == (1, 11)


def test_commands_behind_two_throws():
    # 3.6 of 12 mm and 6.0 of 10 mm: 0.3 and 0.6 of full command, arithmetic.
    common, opposed = unmix(left=9.6, right=-2.4)
    assert (common / 12, opposed / 10) == (pytest.approx(0.3), pytest.approx(0.6))


@pytest.mark.parametrize("saturation", ["clip", "scale"])
@given(common=st.floats(-100, 100), opposed=st.floats(-100, 100), limit=st.floats(1, 50))
def test_no_surface_goes_beyond_its_limit(saturation, common, opposed, limit):
    mixed = mix(common=common, opposed=opposed, limit=limit, saturation=saturation)
    assert max(abs(mixed.left), abs(mixed.right)) <= limit


@given(common=st.floats(-100, 100), opposed=st.floats(-100, 100))
def test_unlimited_mix_can_be_undone(common, opposed):
    mixed = mix(common=common, opposed=opposed, limit=1000)
    assert unmix(left=mixed.left, right=mixed.right) == (
        pytest.approx(common, abs=1e-9),
        pytest.approx(opposed, abs=1e-9),
    )


@pytest.mark.parametrize("wrong", [{"limit": 0}, {"common": math.nan}, {"opposed": math.inf}])
def test_refuses_commands_that_are_no_numbers(wrong):
    with pytest.raises(OutOfRange):
        mix(**{"common": 1, "opposed": 1, "limit": 10, **wrong})


def forces_of(mixed, dihedral):
    """Sideways and upward force of two surfaces whose halves rise outwards, per unit of throw.

    Each pushes along its own normal, in proportion to its throw; y to the right, z up.
    """
    left = (math.sin(dihedral), math.cos(dihedral))
    right = (-math.sin(dihedral), math.cos(dihedral))
    return tuple(mixed.left * a + mixed.right * b for a, b in zip(left, right, strict=True))


@given(common=st.floats(-20, 20), opposed=st.floats(-20, 20), dihedral=st.floats(0.3, 1.2))
def test_v_tail_pitches_by_the_common_and_yaws_by_the_opposed_command_alone(
    common, opposed, dihedral
):
    # Forces resolved along the normals of the two halves: statics, derived here.
    sideways, upwards = forces_of(mix(common=common, opposed=opposed, limit=50), dihedral)
    assert upwards == pytest.approx(2 * common * math.cos(dihedral), abs=1e-9)
    assert sideways == pytest.approx(2 * opposed * math.sin(dihedral), abs=1e-9)


@given(common=st.floats(-20, 20), opposed=st.floats(-20, 20), arm=st.floats(0.1, 1))
def test_elevons_pitch_by_the_common_and_roll_by_the_opposed_command_alone(common, opposed, arm):
    # Moments of two equal forces per throw at equal arms either side of the middle: statics.
    mixed = mix(common=common, opposed=opposed, limit=50)
    _, upwards = forces_of(mixed, dihedral=0.0)
    roll_to_the_right = arm * (mixed.left - mixed.right)
    assert upwards == pytest.approx(2 * common, abs=1e-9)
    assert roll_to_the_right == pytest.approx(2 * arm * opposed, abs=1e-9)


@given(common=st.floats(-50, 50), opposed=st.floats(-50, 50), limit=st.floats(1, 60))
def test_surfaces_reach_their_limit_where_both_commands_add_up_to_it(common, opposed, limit):
    # The greater of |c + o| and |c - o| is |c| + |o|.
    asked = abs(common) + abs(opposed)
    assume(abs(asked - limit) > 1e-9)
    mixed = mix(common=common, opposed=opposed, limit=limit)
    assert mixed.is_limited == (asked > limit)
    is_kept = mixed.common == pytest.approx(common) and mixed.opposed == pytest.approx(opposed)
    assert is_kept or asked > limit


@given(common=st.floats(-50, 50), opposed=st.floats(-50, 50), limit=st.floats(1, 60))
def test_scaling_takes_the_same_share_of_both_commands(common, opposed, limit):
    mixed = mix(common=common, opposed=opposed, limit=limit, saturation="scale")
    assert mixed.common * opposed == pytest.approx(mixed.opposed * common, abs=1e-6)
