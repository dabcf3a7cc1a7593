"""Loading, Reynolds number and hover, against handbook figures and independent solutions."""

import math
from dataclasses import replace

import pytest

from builds.records import AirRecord, BuildSnapshot
from tests.builds.figures.model_wing import figure, place

# Two panels, swept forward inside and outside: y, leading edge x, chord [mm]; area 19.1 dm2, mean
# chord 199.651 mm (aerosandbox 4.2.10). The shift puts its quarter chord at 231.0 mm.
SHIFT_MM = 231.0 - 120.436
STATIONS = [
    {"y_mm": y, "leading_edge_x_mm": x + SHIFT_MM, "chord_mm": chord, "z_mm": 0.0}
    for y, x, chord in ((0.0, 120.0, 260.0), (150.0, 90.0, 220.0), (500.0, 0.0, 120.0))
]
PLANK = [
    {"y_mm": y, "leading_edge_x_mm": 0.0, "chord_mm": 200.0, "z_mm": 0.0} for y in (0.0, 500.0)
]


def model(mass_g=656.0, stations=STATIONS, **changes):
    values = {"layout": "flying_wing", "wing_stations": stations}
    frame = place(1, "airframe", "airframe", mass_g, (200, 0, 0), values=values)
    return BuildSnapshot(1, "Wing", (frame,), **changes)


def test_cubic_loading_matches_an_independent_solution():
    # 0.656 kg on 0.191 m2: 7.8497 oz/ft3, and 1 oz/ft3 is 1.00115 kg/m3 (NIST Handbook 44,
    # appendix C: 28.349523125 g and 0.3048 m).
    found = figure(model(), "cubic_loading_kg_m3")
    assert found.value == pytest.approx(7.8497 * 1.00115, rel=2e-5)


def test_reynolds_number_follows_the_viscosity_of_the_standard_atmosphere():
    # 10 m/s on 0.2 m at sea level: nu 1.46072e-5 m2/s, U.S. Standard Atmosphere 1976, table.
    found = figure(model(stations=PLANK, cruise_speed_m_s=10.0), "reynolds_cruise")
    assert found.value == pytest.approx(136919, rel=1e-4)


def test_cruise_speed_that_was_set_leads_over_the_rule():
    found = figure(model(cruise_speed_m_s=14.0), "cruise_speed_m_s")
    assert found.value == 14.0
    ruled = figure(model(), "cruise_speed_m_s")
    assert ruled.value == pytest.approx(1.6 * figure(model(), "stall_speed_m_s").value)


def test_stall_speed_rises_with_the_square_root_of_thinner_air():
    # Lift equation, FAA-H-8083-25, chapter 5; densities by the U.S. Standard Atmosphere 1976.
    high = model(air=AirRecord(elevation_m=3000.0))
    ratio = figure(high, "stall_speed_m_s").value / figure(model(), "stall_speed_m_s").value
    assert ratio == pytest.approx(math.sqrt(1.225 / 0.909254), rel=1e-5)


def test_usual_margins_span_a_tenth_of_the_mean_chord_ahead_of_the_neutral_point():
    # Definition of the static margin.
    point = figure(model(), "neutral_point_mm").value
    foremost = figure(model(), "cg_suggested_min_x_mm")
    rearmost = figure(model(), "cg_suggested_max_x_mm")
    assert foremost.value == pytest.approx(point - 0.15 * 199.651, abs=0.01)
    assert rearmost.value == pytest.approx(point - 0.05 * 199.651, abs=0.01)
    assert "common practice, no source" in foremost.note.lower()


def multirotor(mass_g=500.0):
    frame = place(1, "airframe", "airframe", mass_g, (0, 0, 0), values={"layout": "multirotor"})
    blades = place(2, "propeller", "propeller", 0.0, (0, 0, 0), values={"diameter_mm": 127.0})
    return BuildSnapshot(1, "Cross", (frame, replace(blades, quantity=4)))


def test_disc_loading_is_mass_over_the_four_discs():
    # Area of a circle: 4 x pi / 4 x (1.27 dm)^2 = 5.0671 dm2.
    found = figure(multirotor(), "disc_loading_g_dm2")
    assert found.value == pytest.approx(500 / 5.0671, rel=1e-4)


@pytest.mark.parametrize("name", ["disc_loading_g_dm2", "hover_throttle_percent"])
def test_wing_has_no_figures_of_a_multirotor(name):
    found = figure(model(), name)
    assert (found.missing, found.note) == ((), "Only a multirotor hangs on its propellers.")


@pytest.mark.parametrize("name", ["reynolds_stall", "cruise_speed_m_s", "cubic_loading_kg_m3"])
def test_multirotor_has_no_figures_of_a_wing(name):
    assert figure(multirotor(), name).note == "A multirotor has no wing."
