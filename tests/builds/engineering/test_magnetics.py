"""Fields of leads: law of Biot and Savart, with magpylib 6.3.0 having given the same figures.

Horizontal fields: the World Magnetic Model 2025 through the pygeomag package.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.magnetics import (
    distance_for_fraction,
    heading_error,
    pair_field,
    path_field,
    segment_field,
    single_wire_distance_for_fraction,
    wire_field,
)

CITIES = [
    # latitude, longitude, horizontal field in nanotesla at 2026.0, sea level.
    (51.5074, -0.1278, 19551.7),
    (40.0150, -105.2705, 20788.9),
    (-33.8688, 151.2093, 24631.1),
    (-0.1807, -78.4678, 26560.8),
    (59.9139, 10.7522, 15140.7),
]


def test_long_wire():
    # mu0 I / 2 pi r = 80 microtesla for 40 A at 0.1 m.
    assert wire_field(current=40, distance=0.1) * 1e6 == pytest.approx(80.0)


def test_short_wire():
    # magpylib 6.3.0: 56.5685 microtesla.
    found = segment_field(current=40, length=0.2, distance=0.1)
    assert found * 1e6 == pytest.approx(56.5685, abs=5e-5)


@pytest.mark.parametrize(
    ("spacing", "distance", "in_plane", "square_to_it"),
    # magpylib 6.3.0, microtesla.
    [
        (0.004, 0.1, 3.2013, 3.1987),
        (0.020, 0.1, 16.162, 15.842),
        (0.020, 0.05, 66.667, 61.538),
    ],
)
def test_go_and_return_pair(spacing, distance, in_plane, square_to_it):
    common = {"current": 40, "spacing": spacing, "distance": distance}
    assert pair_field(**common) * 1e6 == pytest.approx(in_plane, rel=4e-5)
    assert pair_field(**common, in_plane=False) * 1e6 == pytest.approx(square_to_it, rel=4e-5)


@pytest.mark.parametrize(
    ("horizontal", "distances"),
    # Pairs 4, 10, 20, 50 mm apart, 40 A, a twentieth of the field; independent numerical solution.
    [
        (19551.7e-9, (0.181, 0.286, 0.405, 0.640)),
        (15140.7e-9, (0.206, 0.325, 0.460, 0.727)),
        (26560.8e-9, (0.155, 0.245, 0.347, 0.549)),
    ],
)
def test_distance_that_a_compass_wants(horizontal, distances):
    found = [
        distance_for_fraction(current=40, spacing=s, horizontal_field=horizontal)
        for s in (0.004, 0.010, 0.020, 0.050)
    ]
    assert found == pytest.approx(distances, abs=6e-4)


def test_a_lone_lead_is_hopeless():
    found = single_wire_distance_for_fraction(current=40, horizontal_field=19551.7e-9)
    assert found == pytest.approx(8.18, abs=0.005)


@pytest.mark.parametrize(("latitude", "longitude", "horizontal"), CITIES)
def test_horizontal_field_of_the_world_magnetic_model(latitude, longitude, horizontal):
    # WMM2025 by pygeomag 1.1.0.
    pygeomag = pytest.importorskip("pygeomag")
    model = pygeomag.GeoMag(coefficients_file="wmm/WMM_2025.COF")
    found = model.calculate(glat=latitude, glon=longitude, alt=0, time=2026.0)
    assert found.h == pytest.approx(horizontal, abs=30)


def test_five_percent_turns_the_heading_by_less_than_three_degrees():
    # asin 0.05 = 2.866 degrees, atan 0.05 = 2.862 degrees.
    found = heading_error(disturbance=0.05, horizontal_field=1.0)
    assert math.degrees(found) == pytest.approx(2.866, abs=5e-4)


def test_a_disturbance_as_strong_as_the_field_leaves_no_heading():
    with pytest.raises(OutOfRange, match="no heading"):
        heading_error(disturbance=20e-6, horizontal_field=20e-6)


@given(current=st.floats(0.1, 200), spacing=st.floats(0.001, 0.1), fraction=st.floats(0.01, 1))
def test_distance_and_field_are_inverse(current, spacing, fraction):
    common = {"current": current, "spacing": spacing}
    distance = distance_for_fraction(**common, horizontal_field=2e-5, fraction=fraction)
    field = pair_field(**common, distance=distance)
    assert field == pytest.approx(fraction * 2e-5, rel=1e-6)


@given(distance=st.floats(0.01, 1), spacing=st.floats(0.001, 0.015))
def test_a_pair_disturbs_less_than_one_of_its_wires(distance, spacing):
    one = wire_field(current=10, distance=distance - spacing / 2)
    assert pair_field(current=10, spacing=spacing, distance=distance) < one


def test_a_very_long_path_is_a_wire_and_runs_round_it_by_the_right_hand():
    field = path_field(current=40, path=[(-1e4, 0, 0), (1e4, 0, 0)], point=(0, 0.1, 0))
    assert field == pytest.approx((0, 0, 80e-6), abs=1e-12)


def test_field_in_the_middle_of_a_square_loop():
    # Textbook, 2 sqrt 2 mu0 I / (pi a): 4 sides of a finite segment each.
    side, half = 0.1, 0.05
    path = [
        (-half, -half, 0),
        (half, -half, 0),
        (half, half, 0),
        (-half, half, 0),
        (-half, -half, 0),
    ]
    field = path_field(current=10, path=path, point=(0, 0, 0))
    assert field[2] == pytest.approx(2 * math.sqrt(2) * 4e-7 * 10 / side)


def test_there_and_back_on_one_line_cancels():
    path = [(0, 0, 0), (0.1, 0, 0), (0, 0, 0)]
    assert path_field(current=10, path=path, point=(0.05, 0.02, 0)) == pytest.approx((0, 0, 0))


def test_a_point_in_line_with_the_lead_beyond_its_end_has_no_field():
    field = path_field(current=10, path=[(0, 0, 0), (0.1, 0, 0)], point=(0.2, 0, 0))
    assert field == pytest.approx((0, 0, 0))


@pytest.mark.parametrize("point", [(0.05, 0, 0), (0, 0, 0), (0.1, 0, 0)])
def test_refuses_a_point_on_the_lead(point):
    with pytest.raises(OutOfRange, match="on the lead"):
        path_field(current=10, path=[(0, 0, 0), (0.1, 0, 0)], point=point)


def test_refuses_a_point_between_the_leads():
    with pytest.raises(OutOfRange, match="half the spacing"):
        pair_field(current=10, spacing=0.02, distance=0.01)


@pytest.mark.parametrize("wrong", [{"fraction": 0}, {"fraction": 1.5}, {"horizontal_field": 0}])
def test_refuses_a_fraction_or_field_that_cannot_be(wrong):
    with pytest.raises(OutOfRange):
        distance_for_fraction(**{"current": 40, "spacing": 0.01, "horizontal_field": 2e-5, **wrong})
