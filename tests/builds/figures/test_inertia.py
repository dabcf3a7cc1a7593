"""Moments of inertia about the centre of gravity."""

import numpy
import pytest

from builds.figures import figures_of
from tests.builds.figures.model_wing import changed, figure, wing

AXES = {"roll": 0, "pitch": 1, "yaw": 2}


@pytest.mark.parametrize(
    ("axis", "expected"),
    # Independent numerical solution (numpy) with boxes.
    [("roll", 0.02192254), ("pitch", 0.00758641), ("yaw", 0.02937980)],
)
def test_boxes_match_an_independent_solution(axis, expected):
    found = figure(wing(), f"inertia_{axis}_kg_m2")
    assert found.value == pytest.approx(expected, rel=1e-6)


def test_part_without_a_size_makes_a_lower_bound_that_names_it():
    found = figure(wing(), "inertia_roll_kg_m2")
    assert found.is_lower_bound
    assert set(found.left_out) == {"wiring (wiring): width (mm)", "wiring (wiring): height (mm)"}


def test_part_without_a_place_is_left_out_and_only_lowers_the_result():
    partial = changed(wing(), "left", y_mm=None)
    found = figure(partial, "inertia_roll_kg_m2")
    assert found.value < figure(wing(), "inertia_roll_kg_m2").value
    assert "the place “left”: y (mm)" in found.left_out


def test_pieces_in_one_place_are_said_to_sit_apart():
    found = figure(changed(wing(), "propeller", quantity=4), "inertia_yaw_kg_m2")
    assert "propeller (propeller): where each of the 4 pieces sits" in found.left_out


def test_without_places_the_moments_are_unknown():
    build = wing()
    for position in build.positions:
        build = changed(build, position.key, y_mm=None)
    assert not figure(build, "inertia_roll_kg_m2").is_known


def test_uncertainty_agrees_with_a_monte_carlo_run():
    # Monte Carlo, JCGM 101:2008: masses and places drawn, the tensor worked out for each draw.
    build, random = wing(), numpy.random.default_rng(5)
    figures = figures_of(build)
    trials = []
    values = [p.part.values for p in build.positions]
    masses = numpy.array([one["mass_g"].value for one in values]) / 1e3
    spreads = numpy.array([one["mass_g"].uncertainty for one in values]) / 1e3
    places = numpy.array([(p.x_mm, p.y_mm, p.z_mm) for p in build.positions]) / 1e3
    boxes = numpy.array([
        [one[side].value if side in one else 0.0 for side in ("length_mm", "width_mm", "height_mm")]
        for one in values
    ]) / 1e3  # fmt: skip
    for _ in range(4000):
        m = random.normal(masses, spreads)
        at = random.normal(places, 0.002)
        lever = at - m @ at / m.sum()
        squares = lever**2 + boxes**2 / 12
        trials.append([m @ (squares.sum(axis=1) - squares[:, axis]) for axis in range(3)])
    spread = numpy.std(trials, axis=0)
    for axis, number in AXES.items():
        found = figures[f"inertia_{axis}_kg_m2"]
        assert found.uncertainty == pytest.approx(spread[number], rel=0.06), axis
