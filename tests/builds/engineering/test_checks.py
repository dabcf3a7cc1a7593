"""Range checks on nominal values."""

import math

import numpy
import pytest
from uncertainties import ufloat

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_finite,
    require_not_negative,
    require_positive,
)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_numbers_that_are_none_are_refused(value):
    with pytest.raises(OutOfRange, match="chord must be a finite number"):
        require_finite(chord=value)


def test_zero_is_not_positive():
    with pytest.raises(OutOfRange, match="wing area must be more than 0, got 0"):
        require_positive(wing_area=0)


def test_zero_is_not_negative():
    require_not_negative(mass=0)


def test_limits_are_allowed():
    require_between(0, 1, share=0)
    require_between(0, 1, share=1)


def test_beyond_a_limit_is_refused():
    with pytest.raises(OutOfRange, match="share must be from 0 to 1, got 1.01"):
        require_between(0, 1, share=1.01)


def test_uncertain_number_is_judged_by_its_nominal_value():
    require_positive(mass=ufloat(0.1, 0.2))
    with pytest.raises(OutOfRange):
        require_positive(mass=ufloat(-0.1, 0.2))


def test_every_number_of_an_array_is_judged():
    require_positive(masses=numpy.array([0.1, 0.2]))
    with pytest.raises(OutOfRange):
        require_positive(masses=numpy.array([0.1, -0.2]))
