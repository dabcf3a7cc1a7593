"""The air at the field, against the tables of the standard atmosphere."""

import pytest

from builds.records import AirRecord, BuildSnapshot
from tests.builds.figures.model_wing import figure


def in_air(**air):
    return BuildSnapshot(1, "Bare", air=AirRecord(**air))


@pytest.mark.parametrize(
    ("elevation_m", "density"),
    # U.S. Standard Atmosphere 1976, table I, geometric altitudes (ambiance 1.3.1 agrees).
    [(0.0, 1.225), (1000.0, 1.11166), (3000.0, 0.909254)],
)
def test_density_of_standard_air_is_that_of_the_tables(elevation_m, density):
    found = figure(in_air(elevation_m=elevation_m), "air_density_kg_m3")
    assert found.value == pytest.approx(density, rel=1e-5)


def test_warm_day_at_sea_level_matches_an_independent_solution():
    # 35 C dry at 1013.25 hPa: 1.145493 kg/m3, density altitude 693.5 m, own numerical solution of
    # the equations of the U.S. Standard Atmosphere 1976.
    warm = in_air(elevation_m=0.0, temperature_c=35.0)
    assert figure(warm, "air_density_kg_m3").value == pytest.approx(1.145493, abs=5e-7)
    assert figure(warm, "density_altitude_m").value == pytest.approx(693.5, abs=0.05)


def test_standard_air_has_the_density_altitude_of_its_elevation():
    # Geopotential 999.84 m at 1000 m: U.S. Standard Atmosphere 1976, equation (18).
    found = figure(in_air(elevation_m=1000.0), "density_altitude_m")
    assert found.value == pytest.approx(999.84, abs=0.05)


def test_what_nobody_gave_is_stated_as_an_assumption():
    found = figure(in_air(), "air_density_kg_m3")
    elevation, temperature = found.inputs
    assert (elevation.value, elevation.source) == (0.0, "assumed")
    assert (temperature.value, temperature.source) == (pytest.approx(15.0), "assumed")
    assert "sea level is assumed" in found.note


def test_elevation_of_the_club_says_so():
    found = figure(in_air(elevation_m=420.0, source="club"), "air_density_kg_m3")
    assert found.inputs[0].source == "of the club's field"


def test_elevation_outside_the_troposphere_is_refused_in_words():
    assert "altitude" in figure(in_air(elevation_m=20_000.0), "air_density_kg_m3").missing[0]
