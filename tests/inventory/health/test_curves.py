import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.health.curves import LIPO_CURVE, NoCurve, curve_for
from inventory.health.entries import Chemistry
from tests.inventory.health.rows import facts

DATA = Path(__file__).parent / "data"


def full_table():
    with (DATA / "ocv_lco_graphite_ai2020.csv").open() as file:
        return [(float(row["soc"]), float(row["ocv_V"])) for row in csv.DictReader(file)]


# PyBaMM 26.10.1.1 (BSD-3), parameter set Ai2020, LiCoO2 and graphite at 25 °C, in steps of 1 %.
@pytest.mark.parametrize(("state", "volts"), full_table())
def test_the_reduced_table_agrees_with_the_full_one_within_half_a_percent_of_charge(state, volts):
    assert LIPO_CURVE.state_of_charge(volts) == pytest.approx(state, abs=0.005)


# The same source, rounded to 1 mV.
@pytest.mark.parametrize(
    ("percent", "volts"),
    [
        *[(0, 3.000), (5, 3.542), (10, 3.640), (20, 3.695), (30, 3.733), (40, 3.762)],
        *[(50, 3.793), (60, 3.837), (70, 3.909), (80, 3.995), (90, 4.088), (100, 4.200)],
    ],
)
def test_rest_voltage_by_tenths_of_charge(percent, volts):
    assert LIPO_CURVE.rest_v(percent / 100) == pytest.approx(volts, abs=0.001)


# Slope of the same table: charge that 5 mV stand for.
@pytest.mark.parametrize(("volts", "percent"), [(3.77, 1.8), (3.95, 0.6), (4.05, 0.5)])
def test_five_millivolts_are_more_charge_in_the_flat_zone(volts, percent):
    slope = LIPO_CURVE.slope_v(LIPO_CURVE.state_of_charge(volts))
    assert 100 * 0.005 / slope == pytest.approx(percent, abs=0.06)


# Storage voltages on the same table.
@pytest.mark.parametrize(("volts", "percent"), [(3.80, 52), (3.82, 57), (3.85, 62)])
def test_storage_voltages_are_about_half_full(volts, percent):
    assert 100 * LIPO_CURVE.state_of_charge(volts) == pytest.approx(percent, abs=0.6)


@given(st.floats(3.0, 4.2), st.floats(3.0, 4.2))
def test_a_higher_rest_voltage_is_never_less_charge(one, other):
    low, high = sorted((one, other))
    assert LIPO_CURVE.state_of_charge(low) <= LIPO_CURVE.state_of_charge(high)


def test_a_voltage_above_full_is_refused():
    with pytest.raises(ValueError, match="above a full cell"):
        LIPO_CURVE.state_of_charge(4.35)


@pytest.mark.parametrize(
    "values",
    [
        {"chemistry": Chemistry.LIPO_HV, "full_v_per_cell": 4.35},
        {"chemistry": Chemistry.LIPO, "full_v_per_cell": 4.35},
        {"chemistry": Chemistry.LI_ION, "full_v_per_cell": 4.20},
    ],
)
def test_cells_without_a_curve_of_their_own_are_refused(values):
    with pytest.raises(NoCurve, match="tester"):
        curve_for(facts(**values))
