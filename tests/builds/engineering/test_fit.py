"""Boxes in bays, shims, tolerances, hole patterns, screws and rods."""

import doctest
import math

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from builds.engineering import fit
from builds.engineering.checks import OutOfRange
from builds.engineering.fit import Contributor

MM = 1e-3
lengths = st.floats(0.001, 0.5)
boxes = st.tuples(lengths, lengths, lengths)


def mm(*values):
    return tuple(value * MM for value in values)


def test_docstring_examples_run():
    for module in (fit.bay, fit.stack, fit.holes, fit.screws):
        result = doctest.testmod(module)
        assert result.attempted > 0
        assert result.failed == 0


# Independent enumeration of all orientations.
@pytest.mark.parametrize(
    ("bay", "fits"), [(mm(80, 40, 34), True), (mm(34, 80, 40), True), (mm(78, 40, 34), False)]
)
def test_pack_with_clearance_fits_the_bays_that_it_should(bay, fits):
    best = fit.placements_in_bay(box=mm(75, 35, 29), bay=bay)[0]
    assert best.has_clearance(2 * MM) is fits


def test_gap_each_side_is_half_of_what_is_left():
    best = fit.placements_in_bay(box=mm(75, 35, 29), bay=mm(80, 40, 34))[0]
    assert best.gaps == pytest.approx(mm(2.5, 2.5, 2.5))


def test_clearance_just_met_counts():
    best = fit.placements_in_bay(box=mm(75, 35, 29), bay=mm(79, 39, 33))[0]
    assert best.has_clearance(2 * MM)


def test_box_too_long_shows_a_negative_gap():
    best = fit.placements_in_bay(box=mm(90, 35, 29), bay=mm(80, 40, 34))[0]
    assert best.tightest_gap == pytest.approx(-5 * MM)


# Body widths: common practice, no source.
@pytest.mark.parametrize(("mount", "body", "shim"), [(22, 19, 1.5), (19, 19, 0), (19, 22, -1.5)])
def test_camera_shim_is_half_the_difference(mount, body, shim):
    result = fit.shim_each_side(mount_width=mount * MM, body_width=body * MM)
    assert result == pytest.approx(shim * MM)


# Gap of an 80 +-0.5 bay less a 75 +-1 pack less three 1 +-0.2 pads: independent solution.
CHAIN = [
    Contributor(80 * MM, 0.5 * MM),
    Contributor(75 * MM, 1 * MM, -1),
    *[Contributor(1 * MM, 0.2 * MM, -1)] * 3,
]


def test_tolerance_stack_matches_an_independent_solution():
    result = fit.tolerance_stack(contributors=CHAIN)
    assert result.nominal == pytest.approx(2.0 * MM)
    assert result.worst_case == pytest.approx(2.1 * MM)
    assert result.statistical == pytest.approx(1.170 * MM, abs=6e-7)


def test_worst_case_can_interfere():
    result = fit.tolerance_stack(contributors=CHAIN)
    assert result.nominal - result.worst_case == pytest.approx(-0.1 * MM)


def test_statistical_tolerance_predicts_a_simulated_assembly():
    # Monte Carlo, 10^6 trials: uniform sizes have sd 0.6758 mm and fall below 1 mm in 7.2 %;
    # normal sizes with tolerance = 3 sigma have sd 0.3902 mm and fall below in 0.52 %.
    result = fit.tolerance_stack(contributors=CHAIN)
    random = numpy.random.default_rng(1)
    gaps = sum(
        each.direction * (each.size + each.tolerance * random.uniform(-1, 1, 1_000_000))
        for each in CHAIN
    )
    assert gaps.std() == pytest.approx(result.statistical / 3**0.5, rel=0.003)
    assert (gaps < 1 * MM).mean() == pytest.approx(0.072, abs=0.001)
    assert norm.cdf(1 * MM, result.nominal, result.statistical / 3) == pytest.approx(
        0.0052, abs=5e-5
    )


def test_three_contributors_have_no_statistical_tolerance():
    assert fit.tolerance_stack(contributors=CHAIN[:3]).statistical is None


def test_empty_stack_is_refused():
    with pytest.raises(ValueError, match="at least one dimension"):
        fit.tolerance_stack(contributors=[])


def test_direction_other_than_one_is_refused():
    with pytest.raises(OutOfRange, match="direction"):
        fit.tolerance_stack(contributors=[Contributor(0.01, 0.001, 2)])


# Diagonals of squares, Pythagoras; the sides are common practice, no source.
@pytest.mark.parametrize(
    ("side", "diagonal"), [(16, 22.627), (20, 28.284), (25.5, 36.062), (30.5, 43.134)]
)
def test_square_pattern_has_its_diagonal(side, diagonal):
    diagonals = fit.square_pattern(pitch=side * MM).diagonals
    assert diagonals == pytest.approx(mm(diagonal, diagonal), abs=6e-7)


def matches(part, mount, hole=3.2, screw=3.0):
    return fit.has_matching_holes(
        part=part, mount=mount, hole_diameter=hole * MM, screw_diameter=screw * MM
    )


def test_pattern_matches_itself():
    assert matches(fit.square_pattern(pitch=30.5 * MM), fit.square_pattern(pitch=30.5 * MM))


@pytest.mark.parametrize(("part", "mount"), [(30, 30.5), (25, 25.5), (20, 16)])
def test_near_squares_do_not_match(part, mount):
    assert not matches(fit.square_pattern(pitch=part * MM), fit.square_pattern(pitch=mount * MM))


def test_pitch_circle_is_not_the_square_of_the_same_number():
    circle = fit.cross_pattern(diameter_a=16 * MM, diameter_b=16 * MM)
    assert not matches(circle, fit.square_pattern(pitch=16 * MM))


def test_pitch_circle_matches_the_square_inside_it():
    # Side of a square in a 16 mm circle: 11.314 mm, geometry.
    circle = fit.cross_pattern(diameter_a=16 * MM, diameter_b=16 * MM)
    assert matches(circle, fit.square_pattern(pitch=11.314 * MM))


def test_two_pitch_circles_match_either_way_round():
    one = fit.cross_pattern(diameter_a=16 * MM, diameter_b=19 * MM)
    other = fit.cross_pattern(diameter_a=19 * MM, diameter_b=16 * MM)
    assert fit.hole_offset(part=one, mount=other) == 0


def test_rectangle_does_not_match_the_square_of_the_same_diagonal():
    rectangle = fit.rectangular_pattern(pitch_a=16 * MM, pitch_b=25.3 * MM)
    square = fit.square_pattern(pitch=math.hypot(16, 25.3) / 2**0.5 * MM)
    assert not matches(rectangle, square)


# ISO 273, table 1 (from memory, not verified).
@pytest.mark.parametrize(
    ("thread", "fine", "medium", "coarse"),
    [("M2", 2.2, 2.4, 2.6), ("M2.5", 2.7, 2.9, 3.1), ("M3", 3.2, 3.4, 3.6)],
)
def test_clearance_holes_are_those_of_the_standard(thread, fine, medium, coarse):
    series = {"fine": fine, "medium": medium, "coarse": coarse}
    for name, diameter in series.items():
        assert fit.clearance_hole(thread=thread, series=name) == pytest.approx(diameter * MM)


@pytest.mark.parametrize("wrong", [{"thread": "M7"}, {"thread": "M3", "series": "loose"}])
def test_unknown_clearance_hole_is_refused(wrong):
    with pytest.raises(ValueError, match="thread M7|not loose"):
        fit.clearance_hole(**wrong)


# Plain geometry: screw length less the clamped thickness, against the depth of the thread.
@pytest.mark.parametrize(
    ("length", "clamped", "depth", "engagement", "tip_gap"),
    [(8, 5, 4, 3, 1), (8, 3, 4, 4, -1), (4, 5, 4, 0, 4)],
    ids=["sits", "too deep", "too short"],
)
def test_screw_sits_as_geometry_says(length, clamped, depth, engagement, tip_gap):
    seat = fit.screw_seat(
        screw_length=length * MM,
        clamped=clamped * MM,
        thread_depth=depth * MM,
        screw_diameter=2 * MM,
    )
    assert seat.engagement == pytest.approx(engagement * MM)
    assert seat.tip_gap == pytest.approx(tip_gap * MM)
    assert seat.engaged_diameters == pytest.approx(engagement / 2)


def test_shaft_in_hole_matches_the_standard_fit():
    # ISO 286, 25 mm H7/g6: hole 25.000 to 25.021, shaft 24.980 to 24.993 mm, so clearance 7 to
    # 41 um (deviations from memory, not verified).
    result = fit.rod_in_bore(
        rod=24.9865 * MM, bore=25.0105 * MM, rod_tolerance=0.0065 * MM, bore_tolerance=0.0105 * MM
    )
    assert result.least == pytest.approx(0.007 * MM)
    assert result.most == pytest.approx(0.041 * MM)


def test_rod_thicker_than_its_bore_interferes():
    assert fit.rod_in_bore(rod=5.0 * MM, bore=4.9 * MM).most < 0


@pytest.mark.parametrize("wrong", [{"box": (0, 1, 1)}, {"bay": (1, math.nan, 1)}])
def test_impossible_box_is_refused(wrong):
    with pytest.raises(OutOfRange, match="size"):
        fit.placements_in_bay(**({"box": (1, 1, 1), "bay": (1, 1, 1)} | wrong))


@given(boxes, boxes)
def test_roomiest_placement_pairs_the_sides_in_order_of_length(box, bay):
    best = fit.placements_in_bay(box=box, bay=bay)[0]
    sorted_gap = min((b - a) / 2 for a, b in zip(sorted(box), sorted(bay), strict=True))
    assert best.tightest_gap == pytest.approx(sorted_gap)


@given(boxes, boxes, lengths)
def test_a_roomier_bay_never_fits_worse(box, bay, extra):
    larger = (bay[0] + extra, bay[1], bay[2])
    assert (
        fit.placements_in_bay(box=box, bay=larger)[0].tightest_gap
        >= fit.placements_in_bay(box=box, bay=bay)[0].tightest_gap
    )


@given(lengths, lengths)
def test_offset_of_two_squares_is_half_the_difference_of_their_diagonals(one, other):
    offset = fit.hole_offset(
        part=fit.square_pattern(pitch=one), mount=fit.square_pattern(pitch=other)
    )
    assert offset == pytest.approx(abs(one - other) / 2**0.5, abs=1e-12)


patterns = st.builds(fit.rectangular_pattern, pitch_a=lengths, pitch_b=lengths) | st.builds(
    fit.cross_pattern, diameter_a=lengths, diameter_b=lengths
)


@given(patterns, patterns)
def test_offset_is_the_same_either_way(one, other):
    assert fit.hole_offset(part=one, mount=other) == pytest.approx(
        fit.hole_offset(part=other, mount=one), abs=1e-12
    )


@given(st.lists(st.builds(Contributor, lengths, lengths, st.sampled_from([1, -1])), min_size=4))
def test_statistical_tolerance_never_exceeds_the_worst_case(contributors):
    result = fit.tolerance_stack(contributors=contributors)
    assert result.statistical <= result.worst_case * (1 + 1e-12)
