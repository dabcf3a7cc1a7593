"""Comparing with limits, and saying figures."""

from hypothesis import given
from hypothesis import strategies as st

from builds.limits import is_above, is_below, number

MEASURES = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False)


def test_rounding_of_floats_breaks_no_limit():
    assert 6 * 4.2 > 25.2
    assert not is_above(6 * 4.2, 25.2)


@given(MEASURES, MEASURES)
def test_above_and_below_mirror_each_other(value, limit):
    assert is_above(value, limit) == is_below(-value, -limit)
    assert not (is_above(value, limit) and is_below(value, limit))


@given(MEASURES)
def test_a_figure_as_said_is_within_half_a_hundredth(value):
    assert abs(float(number(value)) - value) <= 0.005001


def test_a_figure_shows_one_decimal_or_two():
    assert (number(17), number(17.4), number(16.96)) == ("17.0", "17.4", "16.96")
