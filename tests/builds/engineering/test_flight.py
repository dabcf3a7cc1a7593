"""Loading, stall, turning, Reynolds number and ideal hover."""

import doctest
import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from builds.engineering import flight
from builds.engineering.checks import OutOfRange

OUNCE, FOOT, INCH = 0.028349523125, 0.3048, 0.0254  # exact, NIST SP 811 appendix B
positive = st.floats(0.01, 100)


def test_docstring_examples_run():
    result = doctest.testmod(flight)
    assert result.attempted > 0
    assert result.failed == 0


# Independent numerical solution; conversions by NIST SP 811.
@pytest.mark.parametrize(
    ("mass", "area", "g_per_dm2", "oz_per_ft2", "oz_per_ft3"),
    [(0.656, 0.191, 34.3455, 11.2552, 7.8497), (1.0, 0.25, 40.0, 13.1082, 7.9908)],
)
def test_loadings_match_an_independent_solution(mass, area, g_per_dm2, oz_per_ft2, oz_per_ft3):
    loading = flight.wing_loading(mass=mass, area=area)
    cubic = flight.cubic_wing_loading(mass=mass, area=area)
    assert loading * 10 == pytest.approx(g_per_dm2, abs=6e-5)
    assert loading * FOOT**2 / OUNCE == pytest.approx(oz_per_ft2, abs=6e-5)
    assert cubic * FOOT**3 / OUNCE == pytest.approx(oz_per_ft3, abs=6e-5)


# Independent numerical solution.
@pytest.mark.parametrize(
    ("mass", "area", "density", "speed"),
    [(0.656, 0.191, 1.225, 7.4155), (0.656, 0.191, 0.97168, 8.3262), (1.0, 0.25, 1.225, 8.0027)],
)
def test_stall_speed_matches_an_independent_solution(mass, area, density, speed):
    result = flight.stall_speed(mass=mass, area=area, max_lift_coefficient=1.0, density=density)
    assert result == pytest.approx(speed, abs=6e-5)


# FAA-H-8083-25, chapter 5, load factor chart: 60 degrees doubles the load, 2.0; 45: 1.41.
@pytest.mark.parametrize(("degrees", "load_factor"), [(0, 1.0), (45, 1.41), (60, 2.0)])
def test_load_factor_in_bank_matches_the_pilots_handbook(degrees, load_factor):
    result = flight.load_factor_in_bank(bank=math.radians(degrees))
    assert result == pytest.approx(load_factor, abs=0.005)


def test_stall_speed_in_a_steep_bank_matches_an_independent_solution():
    # Square root of the load factor, FAA-H-8083-25, chapter 5; 10.4872 m/s at 60 degrees.
    load_factor = flight.load_factor_in_bank(bank=math.radians(60))
    result = flight.stall_speed(
        mass=0.656, area=0.191, max_lift_coefficient=1.0, density=1.225, load_factor=load_factor
    )
    assert result == pytest.approx(10.4872, abs=6e-5)


def test_reynolds_number_matches_the_common_rule():
    # 68.46 per m/s and mm at sea level (independent solution with the 1976 viscosity).
    result = flight.reynolds_number(speed=1.0, chord=0.001, kinematic_viscosity=1.46072e-5)
    assert result == pytest.approx(68.46, abs=0.006)


# Independent numerical solution: 0.5 kg on four 5 in, 1 kg on one 10 in propeller.
@pytest.mark.parametrize(
    ("mass", "inches", "count", "power"), [(0.5, 5, 4, 30.816), (1.0, 10, 1, 87.160)]
)
def test_ideal_hover_power_matches_an_independent_solution(mass, inches, count, power):
    area = flight.disc_area(diameter=inches * INCH, count=count)
    result = flight.ideal_hover_power(thrust=mass * 9.80665, area=area, density=1.225)
    assert result == pytest.approx(power, abs=6e-4)


@given(positive, positive, st.floats(0.5, 1.4), st.floats(0.1, 10))
def test_stall_speed_grows_with_the_root_of_size_at_one_cubic_loading(mass, area, density, scale):
    def speed(m, s):
        return flight.stall_speed(mass=m, area=s, max_lift_coefficient=1.0, density=density)

    assert speed(mass * scale**3, area * scale**2) == pytest.approx(speed(mass, area) * scale**0.5)
    assert flight.cubic_wing_loading(mass=mass * scale**3, area=area * scale**2) == pytest.approx(
        flight.cubic_wing_loading(mass=mass, area=area)
    )


@given(positive, positive, st.floats(0.5, 1.4))
def test_ideal_power_obeys_the_momentum_balance(thrust, area, density):
    # Thrust is twice the induced velocity times the mass flow: T = 2 rho A v2.
    velocity = flight.induced_velocity(thrust=thrust, area=area, density=density)
    power = flight.ideal_hover_power(thrust=thrust, area=area, density=density)
    assert 2 * density * area * velocity**2 == pytest.approx(thrust)
    assert power**3 == pytest.approx((thrust**1.5 / (2 * density * area) ** 0.5) ** 3)


@given(positive, positive)
def test_disc_loading_fixes_the_induced_velocity(thrust, area):
    loading = flight.disc_loading(thrust=thrust, area=area)
    velocity = flight.induced_velocity(thrust=thrust, area=area, density=1.225)
    assert velocity == pytest.approx((loading / 2.45) ** 0.5)


@given(st.floats(0, math.radians(80)), st.floats(0, math.radians(80)))
def test_steeper_bank_loads_more(one, other):
    shallow, steep = sorted((one, other))
    assert 1 <= flight.load_factor_in_bank(bank=shallow) <= flight.load_factor_in_bank(bank=steep)


def test_uncertain_figures_pass_through_the_stall_speed():
    # First order by hand: half of 15 % of the lift coefficient.
    result = flight.stall_speed(
        mass=0.656, area=0.191, max_lift_coefficient=ufloat(0.9, 0.135), density=1.225
    )
    assert result.std_dev / result.nominal_value == pytest.approx(0.075)


def test_dimensions_come_out_as_named():
    # Dimensional analysis by pint.
    unit = pint.UnitRegistry()
    mass, area = 1.0 * unit.kg, 0.25 * unit.m**2
    thrust, density = 9.8 * unit.N, 1.225 * unit.kg / unit.m**3
    assert flight.wing_loading(mass=mass, area=area).check("[mass]/[length]**2")
    assert flight.cubic_wing_loading(mass=mass, area=area).check("[mass]/[length]**3")
    assert flight.disc_loading(thrust=thrust, area=area).check("[pressure]")
    assert flight.induced_velocity(thrust=thrust, area=area, density=density).check("[speed]")
    assert flight.ideal_hover_power(thrust=thrust, area=area, density=density).check("[power]")


@pytest.mark.parametrize(
    "wrong",
    [{"mass": 0}, {"area": -1}, {"density": math.nan}, {"max_lift_coefficient": 9}],
)
def test_impossible_stall_is_refused(wrong):
    figures = {"mass": 1.0, "area": 0.2, "max_lift_coefficient": 1.0, "density": 1.2} | wrong
    with pytest.raises(OutOfRange, match=next(iter(wrong)).replace("_", " ")):
        flight.stall_speed(**figures)


def test_knife_edge_bank_is_refused():
    with pytest.raises(OutOfRange, match="bank"):
        flight.load_factor_in_bank(bank=math.radians(90))
