"""Mass, centre of gravity, inertia, ballast and reconciliation."""

import doctest
import math
from dataclasses import astuple, replace

import numpy
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import nominal_value, std_dev, ufloat

from builds.engineering import mass
from builds.engineering.checks import OutOfRange
from builds.engineering.mass import Item

GRAM, MM = 1e-3, 1e-3
SCALE = GRAM / 3**0.5  # JCGM 100:2008, 4.3.7: a limit of +-1 g is a rectangular distribution


def part(name, grams, place, box=None, *, limit_percent=None):
    """One part in grams and millimetres; weighed on the scale unless only estimated."""
    estimated = limit_percent is not None
    return Item(
        name,
        grams * GRAM,
        *(along * MM for along in place),
        u_mass=limit_percent / 100 * grams * GRAM / 3**0.5 if estimated else SCALE,
        on_scale=not estimated,
        size=tuple(side * MM for side in box) if box else None,
    )


# An invented model wing; expected values are independent numerical solutions (numpy matrices,
# 10^6-trial Monte Carlo) unless the test names another source.
MODEL = (
    part("airframe", 310, (245, 0, 0), (250, 900, 25), limit_percent=10),
    part("battery", 210, (90, 0, 12), (75, 35, 35)),
    part("motor", 33, (405, 0, 5), (30, 28, 28)),
    part("propeller", 7, (425, 0, 5), (8, 152, 8)),
    part("speed controller", 22, (330, 0, -8), (45, 20, 8)),
    part("flight controller", 12, (200, 0, 10), (36, 36, 10)),
    part("video transmitter", 9, (300, 40, 12), (30, 30, 8)),
    part("camera", 8, (15, 0, 8), (20, 19, 19)),
    part("receiver", 2, (270, -60, 10), (18, 11, 4)),
    part("left servo", 9, (290, -220, 0), (23, 12, 24)),
    part("right servo", 9, (290, 220, 0), (23, 12, 24)),
    part("wiring", 25, (230, 0, 0), limit_percent=10),
)
UNSHARED = tuple(replace(item, on_scale=False) for item in MODEL)
EXACT_MASSES = tuple(replace(item, u_mass=0.0, on_scale=False) for item in MODEL)
# The scale's error as one bias common to all weighed parts, nothing of their own beside it.
ONLY_SHARED = tuple(replace(item, u_mass=0.0) if item.on_scale else item for item in MODEL)


def with_arms_within(items, limit_mm):
    u = limit_mm * MM / 3**0.5
    return tuple(replace(item, u_x=u, u_y=u, u_z=u) for item in items)


def test_docstring_examples_run():
    for module in (mass.items, mass.inertia, mass.shift, mass.reconciliation):
        result = doctest.testmod(module)
        assert result.attempted > 0
        assert result.failed == 0


def test_lever_balances_where_the_moments_do():
    # Lever of three weights as in FAA-H-8083-1, chapter 2 (attribution from memory, not
    # verified); the result is plain arithmetic.
    lever = [Item("A", 100, 50, 0, 0), Item("B", 100, 90, 0, 0), Item("C", 200, 150, 0, 0)]
    assert mass.balance(items=lever).x == pytest.approx(110)


def test_three_jack_weighing_gives_the_published_mass_and_balance():
    # EASA European Central Question Bank, subject 031 Mass and balance, weighing on jacks:
    # nose 6488 kg at 161 in, each main 17 783 kg at 775 in -> 42 054 kg, 680.3 in.
    jacks = [
        Item("nose", 6488, 161, 0, 0),
        Item("left", 17783, 775, 0, 0),
        Item("right", 17783, 775, 0, 0),
    ]
    result = mass.balance(items=jacks)
    assert result.mass == 42054
    assert result.x == pytest.approx(680.3, abs=0.05)


def test_loading_sheet_of_a_light_helicopter_is_reproduced():
    # Sample loading in a light helicopter's published flight manual, weight and balance section:
    # 1599 lb, moment 158 098 lb in, 98.9 in.
    sheet = [
        Item("empty", 1109, 104.7, 0, 0),
        Item("pilot", 180, 72.4, 0, 0),
        Item("passenger", 160, 72.4, 0, 0),
        Item("fuel", 150, 115.8, 0, 0),
    ]
    result = mass.balance(items=sheet)
    assert result.mass == 1599
    assert result.mass * result.x == pytest.approx(158098, abs=1)
    assert result.x == pytest.approx(98.9, abs=0.05)


def test_weight_shift_matches_the_pilots_handbook():
    # FAA-H-8083-25, chapter 10, weight shifting: 7800 lb, 81.5 -> 80.5 in, station 150 -> 30: 65 lb
    assert mass.mass_to_shift(mass=7800, cg_change=-1.0, distance=-120) == pytest.approx(65)


def test_model_has_the_mass_and_balance_of_an_independent_solution():
    result = mass.balance(items=MODEL)
    assert result.mass == pytest.approx(0.656)
    assert (result.x, result.y, result.z) == pytest.approx(
        (206.0671 * MM, 0.3659 * MM, 4.3537 * MM), abs=5e-8
    )  # x by hand: 135 180 g mm / 656 g


def test_inertia_with_boxes_matches_an_independent_solution():
    result = mass.inertia_about_cg(items=MODEL)
    assert (result.xx, result.yy, result.zz) == pytest.approx(
        (0.02192254, 0.00758641, 0.02937980), abs=5e-9
    )


def test_inertia_of_points_alone_misses_most_of_the_roll_inertia():
    points = [replace(item, size=None) for item in MODEL]
    result = mass.inertia_about_cg(items=points)
    assert (result.xx, result.yy, result.zz) == pytest.approx(
        (0.00091613, 0.00582292, 0.00669222), abs=6e-9
    )


def test_product_of_inertia_carries_the_sign_of_the_tensor():
    # Two masses on the line x = y: -sum(m x y) is negative (tensor convention).
    pair = [Item("a", 1, 1, 1, 0), Item("b", 1, -1, -1, 0)]
    assert mass.inertia_about_cg(items=pair).xy == -2


def test_bifilar_swing_matches_an_independent_solution():
    inertia = mass.bifilar_inertia(mass=0.656, spacing=0.6, length=1.0, period=1.5)
    assert inertia == pytest.approx(0.032998, abs=5e-7)


def test_bifilar_swing_of_a_uniform_rod_returns_its_handbook_inertia():
    # Uniform rod m L2/12 swung on lines at its ends: T = 2 pi sqrt(h/(3 g)), any mechanics text.
    period = 2 * math.pi * math.sqrt(1.5 / (3 * 9.80665))
    inertia = mass.bifilar_inertia(mass=0.2, spacing=0.8, length=1.5, period=period)
    assert inertia == pytest.approx(0.2 * 0.8**2 / 12)


def test_pack_moves_to_the_place_of_an_independent_solution():
    others = [item for item in MODEL if item.name != "battery"]
    x = mass.position_for_cg(others=others, movable_mass=0.210, cg=0.195)
    assert x - 0.090 == pytest.approx(-34.571 * MM, abs=5e-7)


# Independent solution: neutral point 231.0 mm, mean chord 199.65 mm, positions for static
# margins of 15, 10 and 5 %.
@pytest.mark.parametrize(
    ("pack_g", "forward_mm", "middle_mm", "aft_mm"),
    [(210, 74.3, 105.5, 136.7), (175, 49.0, 84.4, 119.8), (190, 61.0, 94.4, 127.8)],
)
def test_pack_tray_window_matches_an_independent_solution(pack_g, forward_mm, middle_mm, aft_mm):
    others = [item for item in MODEL if item.name != "battery"]
    chord = 0.19965
    forward, aft = mass.position_window_for_cg_range(
        others=others,
        movable_mass=pack_g * GRAM,
        cg_forward=0.231 - 0.15 * chord,
        cg_aft=0.231 - 0.05 * chord,
    )
    assert forward == pytest.approx(forward_mm * MM, abs=0.1 * MM)
    assert aft == pytest.approx(aft_mm * MM, abs=0.1 * MM)
    assert (forward + aft) / 2 == pytest.approx(middle_mm * MM, abs=0.1 * MM)


def test_ballast_matches_an_independent_solution():
    ballast = mass.ballast_for_cg(items=MODEL, cg=0.195, ballast_x=0.010)
    assert ballast == pytest.approx(39.243 * GRAM, abs=5e-7)


def test_ballast_on_the_wrong_side_is_refused():
    with pytest.raises(OutOfRange, match="beyond the centre of gravity wanted"):
        mass.ballast_for_cg(items=MODEL, cg=0.195, ballast_x=0.400)


def test_ballast_at_the_wanted_place_is_refused():
    with pytest.raises(OutOfRange, match="cannot do it"):
        mass.ballast_for_cg(items=MODEL, cg=0.195, ballast_x=0.195)


def test_no_ballast_is_needed_when_it_balances():
    at_wanted = [Item("model", 0.5, 0.2, 0, 0)]
    assert mass.ballast_for_cg(items=at_wanted, cg=0.2, ballast_x=0.2) == 0


# Reference values: uncertainties package, JCGM 100:2008 5.1.2; Monte Carlo 18.06 g and 1.311 mm.
@pytest.mark.parametrize(
    ("items", "u_x_mm"),
    [
        (UNSHARED, 1.1271),
        (with_arms_within(EXACT_MASSES, 2), 0.6654),
        (with_arms_within(UNSHARED, 2), 1.3089),
    ],
    ids=["masses only", "arms only", "both"],
)
def test_uncertainty_of_the_balance_matches_the_guide(items, u_x_mm):
    assert mass.balance(items=items).u_x == pytest.approx(u_x_mm * MM, abs=5e-8)


def test_uncertainty_of_the_mass_matches_the_guide():
    assert mass.balance(items=UNSHARED).u_mass == pytest.approx(18.0485 * GRAM, abs=5e-8)


def test_shared_scale_bias_widens_the_uncertainty_of_the_mass():
    # JCGM 100:2008, 5.2.2, fully correlated readings: linear sum. Independent solution 18.86 g.
    assert mass.balance(items=ONLY_SHARED, u_scale=SCALE).u_mass == pytest.approx(
        18.86 * GRAM, abs=5e-6
    )


def test_weighed_parts_alone_show_the_shared_bias_at_full_size():
    # Ten readings of one scale: 10 x 0.577 = 5.77 g against 1.83 g were they independent.
    weighed = [item for item in ONLY_SHARED if item.on_scale]
    assert mass.balance(items=weighed, u_scale=SCALE).u_mass == pytest.approx(5.77 * GRAM, abs=5e-6)


# Reference values: uncertainties package.
@pytest.mark.parametrize(
    ("items", "x_mm", "u_x_mm"),
    [
        (
            [
                Item("a", 0.100, 0.050, 0, 0, u_mass=0.001),
                Item("b", 0.300, 0.250, 0, 0, u_mass=0.001),
            ],
            200.0,
            0.395285,
        ),
        (
            [
                Item("front", 0.180, 0.100, 0, 0, u_mass=0.001, u_x=0.0005),
                Item("rear", 0.476, 0.240, 0, 0, u_mass=0.001, u_x=0.0005),
            ],
            201.585,
            0.4217,
        ),
    ],
    ids=["two parts", "two scales"],
)
def test_two_readings_give_the_uncertainty_of_the_guide(items, x_mm, u_x_mm):
    result = mass.balance(items=items)
    assert result.x == pytest.approx(x_mm * MM, abs=5e-7)
    assert result.u_x == pytest.approx(u_x_mm * MM, abs=5e-8)


def test_whole_model_weighing_falls_on_the_least_certain_part():
    # Independent solution (numpy, generalised least squares): 668 +-1 g weighed, 656 g summed.
    result = mass.reconcile(items=UNSHARED, weighed_mass=0.668, u_weighed=SCALE)
    grams = {item.name: item.mass / GRAM for item in result.items}
    assert grams["airframe"] == pytest.approx(321.788, abs=5e-4)
    assert grams["wiring"] == pytest.approx(25.0767, abs=5e-5)
    assert grams["battery"] == pytest.approx(210.0123, abs=5e-5)
    assert result.balance.mass == pytest.approx(667.988 * GRAM, abs=5e-7)
    assert result.balance.x == pytest.approx(206.767 * MM, abs=5e-7)
    assert result.balance.u_mass == pytest.approx(0.5771 * GRAM, abs=5e-8)
    assert result.balance.u_x == pytest.approx(0.340 * MM, abs=5e-7)


def test_reconciliation_tells_how_surprising_the_difference_is():
    parts = [Item("frame", 0.3, 0.2, 0, 0, u_mass=0.003), Item("pack", 0.2, 0.1, 0, 0)]
    result = mass.reconcile(items=parts, weighed_mass=0.515, u_weighed=0.004)
    assert result.normalised_difference == pytest.approx(3.0)


def test_reconciliation_with_a_shared_bias_agrees_with_the_kalman_update():
    # Oracle: Kalman measurement update written with full matrices.
    u_weighed = 0.0004
    own = numpy.diag([item.u_mass**2 for item in MODEL])
    bias = numpy.array([SCALE if item.on_scale else 0.0 for item in MODEL])
    before = own + numpy.outer(bias, bias)
    ones = numpy.ones(len(MODEL))
    gain = before @ ones / (ones @ before @ ones + u_weighed**2)
    expected = numpy.array([item.mass for item in MODEL]) + gain * (0.668 - 0.656)
    after = before - numpy.outer(gain, before @ ones)
    result = mass.reconcile(items=MODEL, weighed_mass=0.668, u_weighed=u_weighed, u_scale=SCALE)
    lever = numpy.array([item.x - result.balance.x for item in MODEL]) / result.balance.mass
    assert [item.mass for item in result.items] == pytest.approx(list(expected))
    assert [item.u_mass for item in result.items] == pytest.approx(
        list(numpy.sqrt(numpy.diag(after)))
    )
    assert result.balance.u_mass == pytest.approx(math.sqrt(ones @ after @ ones))
    assert result.balance.u_x == pytest.approx(math.sqrt(lever @ after @ lever))


def test_reconciliation_refuses_a_negative_part():
    parts = [Item("guess", 0.01, 0, 0, 0, u_mass=0.01), Item("pack", 0.2, 0, 0, 0)]
    with pytest.raises(ValueError, match="guess with a negative mass"):
        mass.reconcile(items=parts, weighed_mass=0.15, u_weighed=0.0001)


def test_reconciliation_needs_an_uncertain_part():
    with pytest.raises(ValueError, match="no mass is uncertain"):
        mass.reconcile(items=[Item("pack", 0.2, 0, 0, 0)], weighed_mass=0.21, u_weighed=0.001)


def test_no_parts_have_no_balance():
    with pytest.raises(ValueError, match="at least one part"):
        mass.balance(items=[])


def test_parts_without_mass_have_no_balance():
    with pytest.raises(ValueError, match="no mass"):
        mass.balance(items=[Item("label", 0, 0.1, 0, 0)])


@pytest.mark.parametrize(
    "wrong",
    [{"mass": -0.1}, {"mass": math.nan}, {"x": math.inf}, {"u_mass": -1}, {"size": (1, -1, 1)}],
)
def test_an_impossible_part_is_refused_by_name(wrong):
    figures = {"mass": 0.1, "x": 0.0, "y": 0.0, "z": 0.0} | wrong
    with pytest.raises(OutOfRange, match="motor: "):
        Item("motor", **figures)


def test_window_refuses_limits_the_wrong_way_round():
    with pytest.raises(OutOfRange, match="behind the aft limit"):
        mass.position_window_for_cg_range(
            others=MODEL, movable_mass=0.2, cg_forward=0.22, cg_aft=0.21
        )


def test_shift_the_wrong_way_is_refused():
    with pytest.raises(OutOfRange, match="same way"):
        mass.mass_to_shift(mass=1, cg_change=0.01, distance=-0.1)


def test_shift_over_no_distance_is_refused():
    with pytest.raises(OutOfRange, match="distance must not be 0"):
        mass.mass_to_shift(mass=1, cg_change=0.01, distance=0)


lengths = st.floats(-2, 2)
masses = st.floats(0.001, 5)
small = st.floats(0, 0.1)
items = st.builds(
    Item, st.just("part"), masses, lengths, lengths, lengths,
    small, small, small, small, st.booleans(),
    st.none() | st.tuples(small, small, small),
)  # fmt: skip
models = st.lists(items, min_size=1, max_size=8)


@given(models, small)
def test_uncertainties_equal_those_of_the_uncertainties_package(model, u_scale):
    bias = ufloat(0, u_scale) if u_scale else 0
    weights = [
        (ufloat(i.mass, i.u_mass) if i.u_mass else i.mass) + (bias if i.on_scale else 0)
        for i in model
    ]
    arms = [ufloat(i.x, i.u_x) if i.u_x else i.x for i in model]
    total = sum(weights)
    x = sum(m * arm for m, arm in zip(weights, arms, strict=True)) / total
    result = mass.balance(items=model, u_scale=u_scale)
    assert result.u_mass == pytest.approx(std_dev(total), rel=1e-9, abs=1e-12)
    assert result.x == pytest.approx(nominal_value(x), abs=1e-12)
    assert result.u_x == pytest.approx(std_dev(x), rel=1e-6, abs=1e-9)


@given(models)
def test_mirrored_model_balances_at_the_mirrored_place(model):
    mirrored = [replace(item, y=-item.y) for item in model]
    there, here = mass.balance(items=mirrored), mass.balance(items=model)
    assert there.y == -here.y
    assert there.x == here.x


@given(models, masses)
def test_item_at_the_centre_of_gravity_does_not_move_it(model, extra):
    before = mass.balance(items=model)
    after = mass.balance(items=[*model, Item("more", extra, before.x, before.y, before.z)])
    assert (after.x, after.y, after.z) == pytest.approx((before.x, before.y, before.z), abs=1e-12)


@given(models, lengths)
def test_moving_the_datum_moves_only_the_place(model, offset):
    moved = [replace(item, x=item.x + offset) for item in model]
    before, after = mass.balance(items=model), mass.balance(items=moved)
    assert after.x == pytest.approx(before.x + offset, abs=1e-9)
    assert after.u_x == pytest.approx(before.u_x, rel=1e-6, abs=1e-9)
    assert astuple(mass.inertia_about_cg(items=moved)) == pytest.approx(
        astuple(mass.inertia_about_cg(items=model)), abs=1e-9
    )


@given(models)
def test_inertia_obeys_the_triangle_inequality(model):
    result = mass.inertia_about_cg(items=model)
    assert result.xx + result.yy >= result.zz - 1e-9
    assert result.xx + result.zz >= result.yy - 1e-9
    assert result.yy + result.zz >= result.xx - 1e-9


@given(models, st.floats(0.1, 10))
def test_inertia_grows_with_mass_and_the_square_of_size(model, scale):
    scaled = [
        replace(
            item,
            x=item.x * scale,
            y=item.y * scale,
            z=item.z * scale,
            size=tuple(side * scale for side in item.size) if item.size else None,
        )
        for item in model
    ]
    before, after = mass.inertia_about_cg(items=model), mass.inertia_about_cg(items=scaled)
    assert astuple(after) == pytest.approx(
        [element * scale**2 for element in astuple(before)], rel=1e-9, abs=1e-9
    )


@given(models, masses, lengths)
def test_movable_item_at_the_place_found_gives_the_balance_wanted(model, movable, wanted):
    x = mass.position_for_cg(others=model, movable_mass=movable, cg=wanted)
    assume(abs(x) < 1e4)
    result = mass.balance(items=[*model, Item("pack", movable, x, 0, 0)])
    assert result.x == pytest.approx(wanted, abs=1e-9)


@given(models, lengths, lengths)
def test_ballast_found_gives_the_balance_wanted(model, wanted, ballast_x):
    excess = mass.balance(items=model).x - wanted
    assume(excess * (wanted - ballast_x) > 1e-6)
    ballast = mass.ballast_for_cg(items=model, cg=wanted, ballast_x=ballast_x)
    result = mass.balance(items=[*model, Item("lead", ballast, ballast_x, 0, 0)])
    assert result.x == pytest.approx(wanted, abs=1e-8)


@given(masses, st.floats(0, 1), lengths)
def test_shift_and_its_inverse_agree(total, share, distance):
    assume(abs(distance) > 1e-3)
    change = mass.cg_change_by_shift(mass=total, shifted_mass=share * total, distance=distance)
    moved = mass.mass_to_shift(mass=total, cg_change=change, distance=distance)
    assert moved == pytest.approx(share * total, abs=1e-12)


@given(models, st.floats(1e-4, 0.1))
def test_weighing_the_whole_never_adds_uncertainty(model, u_weighed):
    uncertain = [replace(item, u_mass=item.u_mass + 0.001) for item in model]
    before = mass.balance(items=uncertain)
    after = mass.reconcile(items=uncertain, weighed_mass=before.mass, u_weighed=u_weighed).balance
    assert after.u_mass <= before.u_mass + 1e-12
    assert after.u_mass <= u_weighed + 1e-12


def test_weighing_of_some_items_tells_of_the_others_through_the_scale_they_share():
    # Oracle: Kalman measurement update written with full matrices.
    masses = numpy.array([item.mass for item in MODEL])
    covariance = mass.items.MassCovariance.of(MODEL, SCALE)
    before = numpy.diag(covariance.own) + numpy.outer(covariance.shared, covariance.shared)
    on = numpy.array([item.name not in ("battery", "propeller") for item in MODEL], dtype=float)
    gain = before @ on / (on @ before @ on + 0.0004**2)
    expected = masses + gain * (0.450 - on @ masses)
    after = before - numpy.outer(gain, before @ on)
    told = mass.masses_after_weighing(
        masses=masses, covariance=covariance, weighing=mass.Weighing(0.450, 0.0004, on > 0)
    )
    left = told.covariance
    found = (
        numpy.diag(left.own)
        + numpy.outer(left.shared, left.shared)
        - numpy.outer(left.learnt, left.learnt)
    )
    assert told.masses == pytest.approx(list(expected))
    assert found == pytest.approx(after)
    assert told.difference == pytest.approx(0.450 - on @ masses)


def test_weighing_of_exact_masses_leaves_nothing_to_adjust():
    exact = mass.items.MassCovariance((0.0,), (0.0,), (0.0,))
    with pytest.raises(ValueError, match="nothing to adjust"):
        mass.masses_after_weighing(
            masses=[1.0], covariance=exact, weighing=mass.Weighing(1.1, 0.01, [True])
        )
