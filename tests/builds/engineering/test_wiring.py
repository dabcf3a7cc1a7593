"""Copper leads and rails: ASTM B258 (gauges), IEC 60028 (copper)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.wiring import (
    RailLoad,
    conductor_resistance,
    gauge_area,
    gauge_diameter,
    lead_loss,
    linear_regulator_heat,
    rail_budget,
    switching_regulator_supply_current,
)

SERVO = RailLoad("servo", 0.01, 0.2, 0.75)


@pytest.mark.parametrize(
    ("gauge", "diameter", "tolerance"),
    [
        # Public wire table after ASTM B258, read in text; it rounds its steps.
        (-3, 11.684, 5e-4),
        (0, 8.2513, 5e-4),
        (4, 5.1893, 5e-4),
        # ASTM B258 formula, independent numerical solution.
        (12, 2.0525, 5e-5),
        (16, 1.2908, 5e-5),
        (20, 0.8118, 5e-5),
        (22, 0.6438, 5e-5),
        (26, 0.4049, 5e-5),
        (36, 0.127, 1e-9),
    ],
)
def test_gauge_diameters(gauge, diameter, tolerance):
    assert gauge_diameter(gauge=gauge) * 1000 == pytest.approx(diameter, abs=tolerance)


@pytest.mark.parametrize(
    ("gauge", "milliohm"),
    # Gauge 0: public wire table 0.0983 ohm per 1000 ft = 0.3225; others IEC 60028 with ASTM B258,
    # independent numerical solution.
    [
        (0, 0.3225),
        (12, 5.2108),
        (16, 13.1745),
        (20, 33.309),
        (22, 52.963),
        (26, 133.907),
    ],
)
def test_resistance_of_a_metre(gauge, milliohm):
    found = conductor_resistance(area=gauge_area(gauge=gauge), length=1.0)
    assert found * 1000 == pytest.approx(milliohm, rel=4e-4)


def test_drop_and_heat_in_a_motor_lead():
    # IEC 60028: 16 AWG, 150 mm both ways, 30 A: 0.11857 V, 3.557 W; at 60 degC 0.13721 V.
    cold = lead_loss(gauge=16, length=0.15, current=30)
    assert cold.drop == pytest.approx(0.11857, rel=1e-4)
    assert cold.heat == pytest.approx(3.557, rel=2e-4)
    warm = lead_loss(gauge=16, length=0.15, current=30, temperature=333.15)
    assert warm.drop == pytest.approx(0.13721, rel=1e-4)


@pytest.mark.parametrize(
    ("gauge", "length", "current", "drop"),
    # IEC 60028, independent numerical solution.
    [(12, 0.2, 40, 0.08337), (22, 0.5, 1.5, 0.0794), (26, 0.5, 1.5, 0.2009)],
)
def test_drop_in_other_leads(gauge, length, current, drop):
    assert lead_loss(gauge=gauge, length=length, current=current).drop == pytest.approx(
        drop, rel=1e-3
    )


def test_heat_per_metre_of_wire():
    # 40 A squared x 13.1745 milliohm a metre = 21.08 W/m, arithmetic.
    found = lead_loss(gauge=16, length=0.15, current=40).heat_per_length
    assert found == pytest.approx(21.08, abs=0.005)


@given(gauge=st.integers(-3, 37))
def test_three_gauges_thinner_is_about_half_the_copper(gauge):
    # ASTM B258: 92^(6/39) = 2.005.
    ratio = gauge_area(gauge=gauge) / gauge_area(gauge=gauge + 3)
    assert ratio == pytest.approx(92 ** (6 / 39), rel=1e-9)


@given(length=st.floats(0.01, 2), current=st.floats(0, 100), factor=st.floats(1, 5))
def test_heat_grows_with_the_square_of_the_current(length, current, factor):
    one = lead_loss(gauge=16, length=length, current=current)
    more = lead_loss(gauge=16, length=length, current=current * factor)
    assert more.heat == pytest.approx(one.heat * factor**2)


@pytest.mark.parametrize("gauge", [-4, 41, 16.5, math.nan])
def test_refuses_a_gauge_outside_the_table(gauge):
    with pytest.raises(OutOfRange):
        gauge_diameter(gauge=gauge)


def test_refuses_copper_hotter_than_its_insulation():
    with pytest.raises(OutOfRange, match="temperature"):
        conductor_resistance(area=1e-6, length=1, temperature=600)


def test_rail_budget_by_hand():
    # Two stalled servos and four steady users: 2 x 0.75 + 0.1 + 0.25 + 0.05 + 0.9 = 2.80 A.
    steady = [RailLoad(str(a), a, a, a) for a in (0.1, 0.25, 0.05, 0.9)]
    budget = rail_budget(loads=[SERVO, SERVO, *steady], continuous_rating=2, peak_rating=2.5)
    assert budget.worst == pytest.approx(2.80)
    assert budget.working == pytest.approx(1.70)
    assert budget.continuous_left == pytest.approx(0.30)
    assert budget.peak_left == pytest.approx(-0.30)


def test_only_the_hungriest_of_the_lone_servos_stalls():
    lone = RailLoad("hatch", 0.0, 0.1, 1.0, moves_with_others=False)
    other = RailLoad("release", 0.0, 0.1, 0.6, moves_with_others=False)
    budget = rail_budget(loads=[SERVO, lone, other], continuous_rating=3, peak_rating=3)
    assert budget.worst == pytest.approx(0.75 + 1.0 + 0.1)


def test_an_empty_rail_needs_nothing():
    assert rail_budget(loads=[], continuous_rating=3, peak_rating=3).worst == 0


@pytest.mark.parametrize(
    "load",
    [RailLoad("x", 0.5, 0.2, 1), RailLoad("x", 0.1, 0.2, 0.1), RailLoad("x", -0.1, 0.2, 1)],
)
def test_refuses_currents_out_of_order(load):
    with pytest.raises(OutOfRange):
        rail_budget(loads=[load], continuous_rating=3, peak_rating=3)


def test_refuses_a_peak_rating_below_the_continuous_one():
    with pytest.raises(OutOfRange, match="peak"):
        rail_budget(loads=[], continuous_rating=3, peak_rating=2)


def test_linear_regulator_heat():
    # (12.6 - 5) V x 1 A = 7.6 W, energy balance.
    assert linear_regulator_heat(supply=12.6, output=5.0, current=1.0) == pytest.approx(7.6)


def test_refuses_a_linear_regulator_that_steps_up():
    with pytest.raises(OutOfRange):
        linear_regulator_heat(supply=4.0, output=5.0, current=1.0)


@given(efficiency=st.floats(0.3, 1.0))
def test_switching_regulator_conserves_energy(efficiency):
    current = switching_regulator_supply_current(
        supply=16, output=5, current=2, efficiency=efficiency
    )
    assert current * 16 * efficiency == pytest.approx(10)
