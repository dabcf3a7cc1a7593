"""Standard atmosphere, moist air, density altitude and viscosity."""

import doctest
import math

import ambiance
import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering import atmosphere as air
from builds.engineering.checks import OutOfRange

altitudes = st.floats(-1000, 11_000)


def test_docstring_examples_run():
    result = doctest.testmod(air)
    assert result.attempted > 0
    assert result.failed == 0


# U.S. Standard Atmosphere 1976, tables by geometric altitude; same digits from the packages
# ambiance 1.3.1 and fluids 1.3.1.
@pytest.mark.parametrize(
    ("height", "temperature", "pressure", "density"),
    [
        (0, 288.15, 101325, 1.225),
        (1000, 281.651, 89876.3, 1.11166),
        (3000, 268.659, 70121.1, 0.909254),
    ],
)
def test_geometric_heights_match_the_standard_tables(height, temperature, pressure, density):
    altitude = air.geopotential_altitude(geometric_altitude=height)
    assert air.standard_temperature(altitude=altitude) == pytest.approx(temperature, abs=6e-4)
    assert air.standard_pressure(altitude=altitude) == pytest.approx(pressure, abs=0.06)
    assert air.standard_density(altitude=altitude) == pytest.approx(density, abs=6e-6)


def test_geopotential_kilometre_matches_an_independent_solution():
    assert air.standard_density(altitude=1000) == pytest.approx(1.111643, abs=6e-7)


def test_sea_level_viscosity_matches_the_standard():
    # U.S. Standard Atmosphere 1976, sea level: 1.7894e-5 Pa s, 1.4607e-5 m2/s; digits by ambiance.
    assert air.dynamic_viscosity(temperature=288.15) == pytest.approx(1.78938e-5, abs=6e-11)
    assert air.kinematic_viscosity(temperature=288.15, density=1.225) == pytest.approx(
        1.46072e-5, abs=6e-11
    )


# Independent numerical solution: hot and high, hot, hot and humid.
@pytest.mark.parametrize(
    ("pressure", "celsius", "humidity", "density", "altitude"),
    [
        (air.standard_pressure(altitude=1500), 30, 0.0, 0.971684, 2348.6),
        (101325, 35, 0.0, 1.145493, 693.5),
        (101325, 35, 0.8, 1.126305, 866.4),
    ],
)
def test_hot_and_humid_air_matches_an_independent_solution(
    pressure, celsius, humidity, density, altitude
):
    result = air.air_density(
        pressure=pressure, temperature=celsius + 273.15, relative_humidity=humidity
    )
    assert result == pytest.approx(density, abs=6e-7)
    assert air.density_altitude(density=result) == pytest.approx(altitude, abs=0.06)


def test_density_altitude_is_near_the_pilots_rule():
    # 120 ft per degree C above standard: FAA practice, 2405 m for 30 C at 1500 m.
    density = air.air_density(pressure=air.standard_pressure(altitude=1500), temperature=303.15)
    assert air.density_altitude(density=density) == pytest.approx(2405, rel=0.03)


@given(st.floats(0, 11_000))
def test_atmosphere_equals_two_reference_packages(height):
    altitude = air.geopotential_altitude(geometric_altitude=height)
    one, other = ambiance.Atmosphere(height), fluids.ATMOSPHERE_1976(height)
    density = air.standard_density(altitude=altitude)
    temperature = air.standard_temperature(altitude=altitude)
    assert altitude == pytest.approx(float(one.H[0]), rel=1e-6, abs=1e-9)
    assert temperature == pytest.approx(other.T, rel=1e-6)
    assert air.standard_pressure(altitude=altitude) == pytest.approx(other.P, rel=1e-5)
    assert density == pytest.approx(float(one.density[0]), rel=1e-5)
    assert air.dynamic_viscosity(temperature=temperature) == pytest.approx(other.mu, rel=1e-5)
    assert air.kinematic_viscosity(temperature=temperature, density=density) == pytest.approx(
        float(one.kinematic_viscosity[0]), rel=1e-5
    )


@given(altitudes)
def test_density_altitude_undoes_the_standard_density(altitude):
    density = air.standard_density(altitude=altitude)
    if 0.364 <= density <= 1.347:
        assert air.density_altitude(density=density) == pytest.approx(altitude, abs=1e-6)


@given(altitudes, altitudes)
def test_air_thins_with_altitude(one, other):
    low, high = sorted((one, other))
    assert air.standard_density(altitude=low) >= air.standard_density(altitude=high)


@given(st.floats(20_000, 115_000), st.floats(243, 333), st.floats(0, 1), st.floats(0, 1))
def test_moister_air_is_lighter(pressure, temperature, one, other):
    dry, moist = sorted((one, other))
    assert air.air_density(
        pressure=pressure, temperature=temperature, relative_humidity=moist
    ) <= air.air_density(pressure=pressure, temperature=temperature, relative_humidity=dry)


@pytest.mark.parametrize("altitude", [-1001, 11_001, math.nan, math.inf])
def test_altitude_outside_the_troposphere_is_refused(altitude):
    with pytest.raises(OutOfRange, match="altitude"):
        air.standard_density(altitude=altitude)


@pytest.mark.parametrize(
    "wrong",
    [{"pressure": 1013.25}, {"temperature": 20.0}, {"relative_humidity": 80}],
    ids=["hectopascal", "celsius", "percent"],
)
def test_air_in_the_wrong_unit_is_refused(wrong):
    figures = {"pressure": 101325.0, "temperature": 288.15, "relative_humidity": 0.5} | wrong
    with pytest.raises(OutOfRange, match=next(iter(wrong)).replace("_", " ")):
        air.air_density(**figures)


def test_density_outside_the_troposphere_is_refused():
    with pytest.raises(OutOfRange, match="density"):
        air.density_altitude(density=0.1)
