"""Throw at the trailing edge: geometry of the circle."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.linkage import angle_for_edge, edge_distance

MEASURES = ["height", "ruler", "arc"]


@pytest.mark.parametrize(
    ("measure", "distance"), [("height", 16.037), ("ruler", 16.384), ("arc", 16.501)]
)
def test_three_measures_of_one_throw(measure, distance):
    # r sin d, 2 r sin(d/2), r d for 23.63598 degrees on 40 mm: arithmetic.
    angle = math.radians(23.63598)
    assert edge_distance(angle=angle, chord=40, measure=measure) == pytest.approx(
        distance, abs=5e-4
    )


@pytest.mark.parametrize("measure", MEASURES)
@given(angle=st.floats(-1.5, 1.5), chord=st.floats(0.005, 0.3))
def test_angle_and_distance_are_inverse(measure, angle, chord):
    distance = edge_distance(angle=angle, chord=chord, measure=measure)
    assert angle_for_edge(distance=distance, chord=chord, measure=measure) == pytest.approx(
        angle, abs=1e-6
    )


@given(angle=st.floats(0.01, 1.5))
def test_height_is_less_than_ruler_is_less_than_arc(angle):
    height, ruler, arc = (edge_distance(angle=angle, chord=1, measure=m) for m in MEASURES)
    assert height < ruler < arc


@pytest.mark.parametrize("measure", MEASURES)
def test_refuses_a_throw_wider_than_the_chord_allows(measure):
    with pytest.raises(OutOfRange, match="check throw and chord"):
        angle_for_edge(distance=0.080, chord=0.040, measure=measure)


def test_refuses_a_throw_that_is_not_a_number():
    with pytest.raises(OutOfRange):
        angle_for_edge(distance=math.nan, chord=0.040)
