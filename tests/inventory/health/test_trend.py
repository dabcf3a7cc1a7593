import csv
import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import theilslopes

from inventory.health.capacity import Estimate
from inventory.health.trend import NoEndDate, end_of_life, theil_sen

DATA = Path(__file__).parent / "data"
DAYS = (0, 30, 61, 92, 120, 150, 181, 212, 240)
SHARES = (1, 0.988, 0.981, 0.969, 0.90, 0.951, 0.939, 0.930, 0.922)


def series(cycles, capacities, days_apart=7.0, shared_sd=0.0):
    return [
        Estimate(cycles=c, day=days_apart * place, capacity_mah=q, shared_sd=shared_sd)
        for place, (c, q) in enumerate(zip(cycles, capacities, strict=True))
    ]


def test_slope_and_joint_intercept_of_a_series_with_an_outlier():
    # Reference: scipy.stats.theilslopes, method "joint"; crossing of 0.80 at 612 days, where the
    # separate intercept would say 585 and least squares 592.
    slope, intercept = theil_sen(DAYS, SHARES)
    reference = theilslopes(SHARES, DAYS, method="joint")
    assert slope == pytest.approx(reference.slope, rel=1e-12)
    assert intercept == pytest.approx(reference.intercept, rel=1e-12)
    assert slope == pytest.approx(-0.000325, abs=5e-7)
    assert (0.80 - intercept) / slope == pytest.approx(612.0, abs=0.1)
    separate = theilslopes(SHARES, DAYS, method="separate")
    assert (0.80 - separate.intercept) / separate.slope == pytest.approx(584.6, abs=0.1)


@given(st.lists(st.integers(-1000, 1000), min_size=2, max_size=25, unique=True), st.integers())
def test_the_trend_agrees_with_the_reference_library(x, start):
    rng = random.Random(start)
    y = [rng.gauss(0, 1) for _ in x]
    reference = theilslopes(y, x, method="joint")
    assert theil_sen(x, y) == pytest.approx((reference.slope, reference.intercept), abs=1e-9)


def test_points_at_one_place_have_no_trend():
    with pytest.raises(ValueError, match="two different places"):
        theil_sen([1, 1], [2, 3])


def test_a_straight_fade_ends_where_it_crosses_80_percent():
    # Arithmetic: 2200 - 4 n = 1760 at n = 110.
    cycles = range(0, 100, 10)
    found = end_of_life(series(cycles, [2200 - 4 * c for c in cycles]), rated_mah=2200)
    assert found.cycles == pytest.approx(110)
    assert found.cycles_low < 110 < found.cycles_high


def ageing_series():
    with (DATA / "pybamm_sei_series.csv").open() as file:
        return [(float(r["cycle"]), float(r["capacity_Ah"])) for r in csv.DictReader(file)]


# PyBaMM 26.10.1.1 (BSD-3), simulated growth of the surface layer: truth 47.6 cycles to 80 %.
@pytest.mark.parametrize(("points_used", "said"), [(10, 37.8), (20, 40.4), (30, 42.5)])
def test_a_line_through_early_points_ends_sooner_than_a_fade_that_slows(points_used, said):
    points = ageing_series()
    first = points[0][1]
    slope, intercept = theil_sen(*zip(*points[:points_used], strict=True))
    assert (0.8 * first - intercept) / slope == pytest.approx(said, abs=0.5)
    truth = next(cycle for cycle, capacity in points if capacity < 0.8 * first)
    assert truth == pytest.approx(47.6, abs=1)


@pytest.mark.parametrize(
    ("found", "why"),
    [
        (series(range(5), [2200] * 5), "5 capacity estimates"),
        (series(range(6), [2200, 2190, 2180, 2170, 2160, 2150]), "span"),
        (series(range(0, 60, 10), [2200, 2190, 2180, 2170, 2160, 2150], 1.0), "span"),
        (series(range(0, 60, 10), [2200, 2190, 2205, 2195, 2201, 2199]), "beyond doubt"),
        (series(range(0, 60, 10), [2000, 2010, 2020, 2030, 2040, 2050]), "beyond doubt"),
        (series(range(0, 60, 10), [1700, 1690, 1680, 1670, 1660, 1650]), "from the first"),
        (series(range(0, 60, 10), [2200, 2192, 2184, 2176, 2168, 2160]), "not before"),
    ],
)
def test_no_end_is_given_where_the_log_does_not_tell_it(found, why):
    with pytest.raises(NoEndDate, match=why):
        end_of_life(found, rated_mah=2200)


def test_the_order_of_the_estimates_does_not_matter():
    rng = random.Random(5)
    cycles = range(0, 96, 8)
    found = series(cycles, [(2200 - 4 * c) * rng.gauss(1, 0.01) for c in cycles])
    assert end_of_life(found[::-1], rated_mah=2200) == end_of_life(found, rated_mah=2200)


@given(st.floats(0.1, 10))
def test_the_unit_of_charge_does_not_matter(factor):
    cycles = range(0, 96, 8)
    rng = random.Random(5)
    drawn = [(2200 - 4 * c) * rng.gauss(1, 0.01) for c in cycles]
    found = end_of_life(series(cycles, drawn), rated_mah=2200)
    scaled = end_of_life(series(cycles, [factor * q for q in drawn]), rated_mah=factor * 2200)
    assert scaled.cycles == pytest.approx(found.cycles, rel=1e-6)
    assert scaled.cycles_low == pytest.approx(found.cycles_low, rel=1e-6)


def test_an_error_that_all_estimates_share_widens_the_interval():
    cycles = range(0, 100, 10)
    drawn = [2200 - 4 * c for c in cycles]
    alone = end_of_life(series(cycles, drawn), rated_mah=2200)
    shared = end_of_life(series(cycles, drawn, shared_sd=0.02), rated_mah=2200)
    assert shared.cycles_low < alone.cycles_low - 5
    assert shared.cycles_high > alone.cycles_high + 5
