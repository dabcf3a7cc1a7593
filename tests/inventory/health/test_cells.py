import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.health.cells import is_comparable, self_discharge_per_day, spread, worst_cell
from inventory.health.entries import Chemistry, Kind
from tests.inventory.health.rows import entry, facts


def rest(*volts, day=0.0):
    return entry(Kind.REST, day, rest_v=volts)


# Slope of the open-circuit table of LiCoO2 and graphite (PyBaMM, parameter set Ai2020).
@pytest.mark.parametrize(("volts", "percent"), [(3.77, 7), (4.00, 2)])
def test_twenty_millivolts_are_much_charge_in_the_flat_zone_and_little_above(volts, percent):
    found = spread(rest(volts + 0.01, volts + 0.01, volts - 0.01, volts + 0.01), facts())
    assert 100 * found.state == pytest.approx(percent, abs=0.5)
    assert found.volts == pytest.approx(0.02)
    assert found.low_cell == 3


def test_without_a_curve_only_the_volts_are_told():
    li_ion = facts(chemistry=Chemistry.LI_ION)
    assert spread(rest(3.6, 3.6, 3.6, 3.55), li_ion).state is None


def test_a_single_cell_has_no_spread_and_no_worst_cell():
    assert spread(rest(3.8), facts(cells=1)) is None
    row = entry(Kind.RESISTANCE, 0, resistance_mohm=(5.0,))
    assert worst_cell(row, facts(cells=1)) is None


# Worked by hand: 7.6 / 5.1 and 31.0 / 6.3.
@pytest.mark.parametrize(
    ("values", "cell", "ratio"),
    [((5.1, 5.0, 5.2, 5.1, 7.6, 5.1), 5, 1.49), ((6.2, 6.4, 31.0, 6.3), 3, 4.92)],
)
def test_the_worst_cell_stands_against_the_median_of_the_others(values, cell, ratio):
    row = entry(Kind.RESISTANCE, 0, resistance_mohm=values)
    found = worst_cell(row, facts(cells=len(values)))
    assert found.cell == cell
    assert found.ratio == pytest.approx(ratio, abs=0.005)


def test_two_cells_are_compared_with_each_other():
    row = entry(Kind.RESISTANCE, 0, resistance_mohm=(5.0, 15.0))
    assert worst_cell(row, facts(cells=2)).ratio == pytest.approx(3.0)


def test_cells_near_empty_are_not_compared():
    assert not is_comparable(rest(3.31, 3.30, 3.31, 3.20), facts())
    assert is_comparable(rest(3.81, 3.80, 2.61, 3.81), facts())


def test_self_discharge_is_told_after_a_week():
    before, after = rest(3.85, 3.85, 3.85, 3.85), rest(3.85, 3.85, 3.80, 3.85, day=10)
    lost = self_discharge_per_day([before, after], facts())
    # 3.85 V is 62 % and 3.80 V 52 % on the curve: 1 % a day.
    assert lost == pytest.approx((0, 0, 0.010, 0), abs=0.0005)
    assert self_discharge_per_day([before, rest(3.8, 3.8, 3.8, 3.8, day=3)], facts()) is None


@given(st.lists(st.floats(0.5, 50), min_size=2, max_size=8))
def test_the_worst_cell_is_never_better_than_the_others(values):
    row = entry(Kind.RESISTANCE, 0, resistance_mohm=tuple(values))
    assert worst_cell(row, facts(cells=len(values))).ratio >= 1
