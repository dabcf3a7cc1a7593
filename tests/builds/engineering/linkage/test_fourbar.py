"""Planar four-bar linkage, checked against pylinkage and an independent numerical solution."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from builds.engineering.checks import OutOfRange
from builds.engineering.linkage import (
    Binds,
    Linkage,
    servo_angle,
    spline_step,
    surface_angle,
    transmission_ratio,
)

PLAIN = Linkage(arm=0.012, horn=0.015, axes=0.080)


def degrees(linkage, turn):
    return math.degrees(surface_angle(linkage=linkage, servo_angle=math.radians(turn)))


linkages = st.builds(
    Linkage,
    arm=st.floats(0.006, 0.014),
    horn=st.floats(0.010, 0.020),
    axes=st.floats(0.06, 0.2),
    arm_neutral=st.floats(math.radians(70), math.radians(110)),
    horn_neutral=st.floats(math.radians(70), math.radians(110)),
)
turns = st.floats(-math.radians(40), math.radians(40))


def test_textbook_linkage():
    # Crank 40, coupler 120, rocker 80, ground 100, crank at 40 degrees: rocker at 57.325 degrees.
    # Textbook example of Freudenstein's equation, from memory, not verified; the figure itself is
    # an independent numerical solution.
    def closure(angle):
        return (
            math.hypot(
                100 + 80 * math.cos(angle) - 40 * math.cos(math.radians(40)),
                80 * math.sin(angle) - 40 * math.sin(math.radians(40)),
            )
            - 120
        )

    rocker = brentq(closure, 0.5, 1.5)
    assert math.degrees(rocker) == pytest.approx(57.325, abs=5e-4)
    linkage = Linkage(arm=40, horn=80, axes=100, arm_neutral=math.radians(40), horn_neutral=rocker)
    assert linkage.rod == pytest.approx(120)
    freudenstein = 2.5 * math.cos(rocker) - 1.25 * math.cos(math.radians(40)) + 0.5625
    assert freudenstein == pytest.approx(math.cos(math.radians(40) - rocker), abs=1e-9)


def test_rod_of_the_plain_linkage():
    # sqrt(80 2 + 3 2) = sqrt(6409) mm, Pythagoras.
    assert PLAIN.rod == pytest.approx(math.sqrt(6409) / 1000)


@pytest.mark.parametrize(
    ("turn", "expected"),
    # Independent numerical solution (scipy brentq and sympy nsolve agree to all digits).
    [
        (30, 23.6359763304003),
        (-30, -23.51825),
        (45, 34.62062),
        (-45, -34.26780),
        (10, 7.99061),
        (-10, -7.97988),
    ],
)
def test_plain_linkage_both_ways(turn, expected):
    assert degrees(PLAIN, turn) == pytest.approx(expected, abs=6e-6)


def test_pin_of_the_horn_where_pylinkage_puts_it():
    from pylinkage.geometry import circle_intersect

    arm = math.radians(120)
    found = circle_intersect(
        0.012 * math.cos(arm), 0.012 * math.sin(arm), PLAIN.rod, 0.080, 0.0, 0.015
    )
    horn = math.pi / 2 + math.radians(degrees(PLAIN, 30))
    pin = (0.080 + 0.015 * math.cos(horn), 0.015 * math.sin(horn))
    points = list(zip(found[1::2], found[2::2], strict=False))
    assert any(
        point == (pytest.approx(pin[0], abs=1e-9), pytest.approx(pin[1], abs=1e-9))
        for point in points
    )
    assert pin == (pytest.approx(0.07398613486), pytest.approx(0.01374166751))


def test_slanted_arm_and_horn_make_the_throws_unequal():
    # Independent numerical solution: 29.08924 against 22.53010 degrees, 1.291 to 1.
    slanted = Linkage(
        arm=0.012,
        horn=0.015,
        axes=0.080,
        arm_neutral=math.radians(100),
        horn_neutral=math.radians(70),
    )
    assert slanted.rod * 1000 == pytest.approx(87.24382, abs=1e-5)
    assert degrees(slanted, -30) == pytest.approx(-29.08924, abs=1e-5)
    assert degrees(slanted, 30) == pytest.approx(22.53010, abs=1e-5)


@pytest.mark.parametrize(
    ("turn", "ratio"),
    # Independent numerical solution.
    [(0, 0.8000), (30, 0.7606), (45, 0.6973), (60, 0.5826)],
)
def test_transmission_ratio_falls_towards_full_travel(turn, ratio):
    found = transmission_ratio(linkage=PLAIN, servo_angle=math.radians(turn))
    assert found == pytest.approx(ratio, abs=5e-5)


@pytest.mark.parametrize(
    ("hole", "turn"),
    # Independent numerical solution: 10 mm on a chord of 40 mm is 14.47751 degrees.
    [(0.008, 27.63441), (0.010, 21.92655), (0.012, 18.18627)],
)
def test_servo_turn_for_a_throw(hole, turn):
    linkage = Linkage(arm=hole, horn=0.015, axes=0.080)
    found = servo_angle(linkage=linkage, surface_angle=math.asin(10 / 40))
    assert math.degrees(found) == pytest.approx(turn, abs=1e-5)


def test_spline_steps():
    # 360 degrees over the teeth, arithmetic.
    steps = [math.degrees(spline_step(teeth=teeth)) for teeth in (25, 24, 23, 21)]
    assert steps == pytest.approx([14.4, 15.0, 15.652, 17.143], abs=5e-4)


@given(linkage=linkages, turn=turns)
def test_the_rod_keeps_its_length(linkage, turn):
    try:
        angle = surface_angle(linkage=linkage, servo_angle=turn)
    except Binds:
        return
    arm, horn = linkage.arm_neutral + turn, linkage.horn_neutral + angle
    length = math.hypot(
        linkage.axes + linkage.horn * math.cos(horn) - linkage.arm * math.cos(arm),
        linkage.horn * math.sin(horn) - linkage.arm * math.sin(arm),
    )
    assert length == pytest.approx(linkage.rod, rel=1e-9)


@given(linkage=linkages, turn=turns)
def test_servo_turn_and_surface_angle_are_inverse(linkage, turn):
    try:
        angle = surface_angle(linkage=linkage, servo_angle=turn)
        ratio = transmission_ratio(linkage=linkage, servo_angle=turn)
    except Binds:
        return
    assume(ratio > 0.05)
    back = servo_angle(linkage=linkage, surface_angle=angle)
    assert back == pytest.approx(turn, abs=1e-6)


@given(linkage=linkages, turn=turns)
def test_ratio_is_the_slope_of_the_angle(linkage, turn):
    try:
        slope = (
            surface_angle(linkage=linkage, servo_angle=turn + 1e-6)
            - surface_angle(linkage=linkage, servo_angle=turn - 1e-6)
        ) / 2e-6
        ratio = transmission_ratio(linkage=linkage, servo_angle=turn)
    except Binds:
        return
    assume(abs(ratio) < 5)
    assert ratio == pytest.approx(slope, rel=1e-3, abs=1e-4)


@given(arm=st.floats(0.004, 0.02), axes=st.floats(0.05, 0.3), turn=turns)
def test_a_parallelogram_passes_the_angle_on_unchanged(arm, axes, turn):
    linkage = Linkage(arm=arm, horn=arm, axes=axes)
    assert surface_angle(linkage=linkage, servo_angle=turn) == pytest.approx(turn, abs=1e-7)


@given(linkage=linkages)
def test_neutral_stays_neutral(linkage):
    assert surface_angle(linkage=linkage, servo_angle=0.0) == pytest.approx(0.0, abs=1e-9)


def test_a_long_arm_on_a_short_horn_binds():
    with pytest.raises(Binds, match="rod and horn"):
        surface_angle(linkage=Linkage(arm=0.02, horn=0.008, axes=0.06), servo_angle=1.2)


def test_a_short_arm_cannot_give_a_wide_throw():
    with pytest.raises(Binds, match="arm and rod"):
        servo_angle(linkage=Linkage(arm=0.004, horn=0.02, axes=0.06), surface_angle=0.5)


def test_does_not_jump_to_the_other_branch_past_the_line_of_the_axes():
    # Arm 30 degrees short of pointing away from the hinge, rod and horn nearly straight: the rod
    # would have to stretch on the way, though 30 degrees beyond it fits again, as a mirror image.
    linkage = Linkage(
        arm=0.02,
        horn=0.015,
        axes=0.06,
        arm_neutral=math.radians(150),
        horn_neutral=math.radians(165),
    )
    with pytest.raises(Binds, match="rod and horn"):
        surface_angle(linkage=linkage, servo_angle=math.radians(60))


def test_refuses_rod_and_horn_in_line_at_neutral():
    with pytest.raises(Binds, match="in line at neutral"):
        Linkage(arm=0.01, horn=0.01, axes=0.08, arm_neutral=0.0, horn_neutral=0.0)


@pytest.mark.parametrize("wrong", [{"arm": 0.0}, {"horn": -1.0}, {"axes": math.nan}])
def test_refuses_a_linkage_without_size(wrong):
    with pytest.raises(OutOfRange):
        Linkage(**{"arm": 0.01, "horn": 0.01, "axes": 0.08, **wrong})


@pytest.mark.parametrize("teeth", [0, 1, 2.5])
def test_refuses_a_spline_without_teeth(teeth):
    with pytest.raises(OutOfRange, match="teeth"):
        spline_step(teeth=teeth)
