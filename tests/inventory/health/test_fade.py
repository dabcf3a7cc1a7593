import random
from math import sqrt
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.interpolate import make_smoothing_spline
from scipy.stats import t as student

from inventory.health.fade import LEAST_NOISE, MOST_POINTS, fit_fade, fit_given
from inventory.health.trend import END_OF_LIFE_SHARE, crossing

DATA = Path(__file__).parent / "data"


def norris():
    lines = (DATA / "nist_norris.dat").read_text().splitlines()[60:]
    points = sorted(
        (float(x), float(y)) for y, x in (line.split() for line in lines if line.strip())
    )
    return (np.array(column) for column in zip(*points, strict=True))


def straight(x, y):
    return fit_given(np.asarray(x), np.asarray(y), np.ones(len(x)), recovery=0.0, bend=0.0)


def test_without_bend_the_fade_is_the_certified_line():
    # NIST Statistical Reference Datasets, linear regression, Norris: certified values in the head
    # of the data file, as packaged with scipy 1.17. The line at 0 is the intercept.
    x, y = norris()
    assert len(x) == 36
    fade = straight(x, y)
    value, sd = fade.at([0.0, 1000.0])
    assert value[0] == pytest.approx(-0.262323073774029, abs=1e-9)
    assert (value[1] - value[0]) / 1000 == pytest.approx(1.00211681802045, rel=1e-11)
    assert sd[0] == pytest.approx(0.232818234301152, rel=1e-9)
    assert fade.noise == pytest.approx(0.884796396144373, rel=1e-9)
    fall, fall_sd = fade.fall()
    assert fall_sd / fade.span == pytest.approx(0.429796848199937e-3, rel=1e-9)
    assert fall == pytest.approx(-1.00211681802045 * fade.span, rel=1e-11)


@pytest.mark.parametrize("bend", [0.1, 1.0, 10.0, 1000.0])
def test_with_bend_the_fade_is_the_smoothing_spline_of_the_reference_library(bend):
    # scipy.interpolate.make_smoothing_spline minimises the squares plus lam times the integral of
    # the squared second derivative; lam is the inverse ratio of the variances.
    rng = random.Random(1)
    x = np.array(sorted(rng.uniform(0, 100) for _ in range(20)))
    y = np.array([1 - 0.002 * v + rng.gauss(0, 0.01) for v in x])
    fade = fit_given(x, y, np.ones(20), recovery=0.0, bend=bend)
    spline = make_smoothing_spline(x, y, lam=fade.span**3 / bend)
    inside = np.linspace(x[0], x[-1], 50)
    assert fade.at(inside)[0] == pytest.approx(spline(inside), abs=1e-8)


def test_beyond_the_last_estimate_the_fade_goes_on_in_a_straight_line():
    # A natural spline has no bend at its ends.
    rng = random.Random(2)
    x = np.arange(30.0)
    y = np.array([1 - 0.003 * v - 1e-4 * v * v + rng.gauss(0, 0.002) for v in x])
    value, sd = fit_given(x, y, np.ones(30), recovery=0.0, bend=50.0).at([30, 40, 50, 60])
    assert np.diff(value, n=2) == pytest.approx([0, 0], abs=1e-9)
    assert np.all(np.diff(sd) > 0)


@given(st.integers(0, 10_000), st.integers(6, 30))
def test_the_interval_of_a_straight_fade_is_that_of_fieller(start, count):
    # E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175-185, for the place where a regression line
    # meets a limit: roots of (b^2 - t^2 s^2/Sxx) d^2 + 2 b D d + D^2 - t^2 s^2/n = 0 with
    # d = x - mean x and D = mean y - limit. Formula from memory, not verified.
    rng = random.Random(start)
    x = np.array([10.0 * place + rng.uniform(0, 5) for place in range(count)])
    y = np.array([1 - 0.2 * v / x[-1] + rng.gauss(0, 0.01) for v in x])
    fade = straight(x, y)
    assume(fade.noise > 1.01 * LEAST_NOISE)
    found = crossing(fade, np.linspace(0, 4 * x[-1], 40_001), coverage=0.90, shared_sd=0.0)
    b, square = np.polyfit(x, y, 1)[0], np.sum((x - x.mean()) ** 2)
    s = sqrt(np.sum((y - np.polyval(np.polyfit(x, y, 1), x)) ** 2) / (count - 2))
    ts2 = (student.ppf(0.95, count - 2) * s) ** 2
    above = y.mean() - END_OF_LIFE_SHARE
    roots = np.roots([b * b - ts2 / square, 2 * b * above, above**2 - ts2 / count])
    low, high = sorted(x.mean() + roots.real)
    assert found.cycles == pytest.approx(x.mean() - above / b, rel=1e-5)
    assert found.cycles_low == pytest.approx(low, rel=1e-4)
    assert found.cycles_high == pytest.approx(high, rel=1e-4)


def test_odd_estimates_hardly_move_the_fade():
    rng = random.Random(4)
    x = list(range(0, 90, 3))
    clean = [1 - 0.002 * v + rng.gauss(0, 0.005) for v in x]
    odd = [y - 0.08 if place % 7 == 3 else y for place, y in enumerate(clean)]
    before, after = (fit_fade(x, y).at([90.0])[0][0] for y in (clean, odd))
    assert after == pytest.approx(before, abs=0.008)


def test_a_flat_series_has_no_fall_and_a_falling_one_has_its_own():
    rng = random.Random(5)
    x = list(range(0, 100, 4))
    flat = fit_fade(x, [1 + rng.gauss(0, 0.005) for _ in x])
    falling = fit_fade(x, [1 - 0.002 * v + rng.gauss(0, 0.005) for v in x])
    assert abs(flat.fall()[0]) < 2 * flat.fall()[1]
    assert falling.fall()[0] == pytest.approx(0.192, abs=0.01)


def test_many_estimates_are_brought_to_few_medians():
    fade = fit_fade(range(500), [1 - 0.0004 * cycle for cycle in range(500)])
    assert len(fade.places) <= MOST_POINTS
    assert fade.at([400.0])[0][0] == pytest.approx(0.84, abs=1e-6)


def test_recovery_after_rest_is_told_from_noise():
    # 2 % regained every 30 cycles and lost again over 8: known by construction.
    rng = random.Random(6)
    x = list(range(120))
    gained = [0.02 * np.exp(-(v % 30) / 8) for v in x]
    with_rest = fit_fade(
        x, [1 - 0.002 * v + g + rng.gauss(0, 0.003) for v, g in zip(x, gained, strict=True)]
    )
    assert 0.003 < with_rest.recovery_sd() < 0.03


@pytest.mark.parametrize(("x", "y"), [([1, 2], [1, 0.9]), ([5, 5, 5], [1, 0.9, 0.8])])
def test_too_few_places_are_refused(x, y):
    with pytest.raises(ValueError, match="three estimates"):
        fit_fade(x, y)
    with pytest.raises(ValueError, match="three estimates"):
        straight(np.array(x, dtype=float), np.array(y))
