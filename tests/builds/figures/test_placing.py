"""What the places of the parts do to the compass and to the radio."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.figures import figures_of
from builds.figures.compass import Field, compass_figures
from builds.figures.links import Ground, aerial_figures, link_figures
from builds.powering import grouped
from tests.builds.records_builder import aircraft, with_ground, with_part, with_place

# World Magnetic Model 2025, published test values (from memory, not verified): 80 N, 0 E, 2025.0,
# sea level: X 6521.6 nT and Y 145.9 nT, so H = 6523.2 nT.
NORTH = Field(80.0, 0.0, 0.0, 2025.0)
PAIR = "Gps (gps) and Lead (lead)"
VIDEO = "Video link: Video (Corrimuir A25)"
CONTROL = "Control link: Receiver (receiver)"


def with_compass(*, apart_mm=100.0):
    """The aircraft with a compass that far above the lead."""
    build = with_part(aircraft(), "gps", has_compass=True)
    return with_place(build, "gps", x_mm=122.0, y_mm=0.0, z_mm=apart_mm)


def compass(build, field=NORTH, **values):
    return grouped(compass_figures(figures_of(build), field, **values))


def links(build, **ground):
    return grouped(link_figures(figures_of(build), Ground(**ground)))


def test_earths_field_is_that_of_the_world_magnetic_model():
    assert compass(aircraft())["Earth"]["earth_field"].value == pytest.approx(6.5232, abs=1e-4)


def test_unknown_field_says_so():
    found = compass(with_compass(), Field())
    assert found["Earth"]["earth_field"].missing == ("latitude and longitude of the flying field",)
    assert not found[PAIR]["pair_share_percent"].is_known
    assert found[PAIR]["pair_field"].is_known


def test_year_beyond_the_model_is_said():
    found = compass(with_compass(), replace(NORTH, year=2031.0))
    assert "year must be from 2025 to 2030" in found["Earth"]["earth_field"].missing[0]


def test_pair_and_lone_lead_match_the_law_of_biot_and_savart():
    # magpylib 6.3.0: 40 A, 4 mm apart at 0.1 m gives 3.2013 microtesla; one wire gives 80.
    build = with_compass()
    current = figures_of(build)["current_max_a"].value
    found = compass(build)[PAIR]
    assert found["apart_mm"].value == pytest.approx(100.0)
    assert found["pair_field"].value == pytest.approx(3.2013 * current / 40, rel=1e-4)
    assert found["lone_lead_field"].value == pytest.approx(80.0 * current / 40, rel=1e-4)


def test_wanted_distance_brings_the_field_down_to_five_percent():
    build = with_compass()
    wanted = compass(build)[PAIR]["pair_distance_wanted_mm"].value
    moved = compass(with_compass(apart_mm=wanted))[PAIR]
    assert moved["pair_share_percent"].value == pytest.approx(5.0, rel=1e-6)
    # asin 0.05 = 2.866 degrees: vector sum of two fields.
    assert moved["heading_error_deg"].value == pytest.approx(2.866, abs=1e-3)


@given(st.floats(30.0, 500.0), st.floats(2.0, 20.0))
def test_leads_closer_together_disturb_less(apart_mm, spacing_mm):
    build = with_compass(apart_mm=apart_mm)
    near = compass(build, spacing_mm=spacing_mm)[PAIR]["pair_field"].value
    wide = compass(build, spacing_mm=1.5 * spacing_mm)[PAIR]["pair_field"].value
    assert near < wide


def test_place_that_is_not_known_is_named():
    build = with_place(with_compass(), "lead", z_mm=None)
    found = compass(build)[PAIR]["pair_field"]
    assert found.missing == ("the place “Lead”: z (mm)",)


def test_field_beyond_the_earths_leaves_no_heading():
    found = compass(with_compass(apart_mm=5.0))[PAIR]["heading_error_deg"]
    assert "no heading is left" in found.missing[0]


def test_video_link_matches_the_recommendation():
    # ITU-R P.525: 5.8 GHz over 1 km loses 107.7163 dB; 25 mW are 13.979 dBm; 1 dBi in the air.
    found = links(aircraft(), video_sensitivity_dbm=-100.0)[VIDEO]
    assert found["path_loss_db"].value == pytest.approx(107.7163, abs=1e-4)
    assert found["received_dbm"].value == pytest.approx(13.979 + 1.0 - 107.7163, abs=1e-3)
    assert found["link_margin_db"].value == pytest.approx(13.979 + 1 - 107.7163 + 100, abs=1e-3)


def test_control_link_matches_an_independent_solution():
    # Friis with ITU-R P.525: 100 mW at 2.44 GHz over 5 km between isotropic aerials: -94.17 dBm.
    build = with_part(aircraft(), "receiver", band_mhz=2440.0, sensitivity_dbm=-105.0)
    found = links(build, distance_m=5000.0, transmitter_power_mw=100.0)[CONTROL]
    assert found["received_dbm"].value == pytest.approx(-94.17, abs=0.005)
    assert found["link_margin_db"].value == pytest.approx(10.83, abs=0.005)


def test_what_no_sheet_carries_is_asked_for():
    found = links(aircraft())
    assert found[VIDEO]["received_dbm"].is_known
    assert found[VIDEO]["link_margin_db"].missing == (
        "video receiver on the ground: sensitivity (dBm)",
    )
    assert found[CONTROL]["received_dbm"].missing == ("radio transmitter: power (mW)",)


def test_ground_gear_says_what_nobody_asked_for_otherwise():
    # By hand with ITU-R P.525: 63 mW are 17.993 dBm; 100.196 dB over 1 km at 2.44 GHz; 2 dBi.
    build = with_part(aircraft(), "receiver", band_mhz=2440.0, sensitivity_dbm=-105.0)
    build = with_ground(build, "transmitter", power_mw=63.0, antenna_gain_dbi=2.0)
    build = with_ground(build, "video_receiver", sensitivity_dbm=-92.0)
    found = links(build)
    assert found[CONTROL]["received_dbm"].value == pytest.approx(17.993 + 2 - 100.196, abs=2e-3)
    assert found[VIDEO]["link_margin_db"].is_known
    asked = links(build, transmitter_power_mw=100.0, transmitter_gain_dbi=0.0)
    assert asked[CONTROL]["received_dbm"].value == pytest.approx(20 - 100.196, abs=2e-3)


@pytest.mark.parametrize(
    ("ours", "theirs", "loss_db"),
    # Half of a circular wave's power lies in a linear one: 3.01 dB.
    [
        ("right", "right", 0.0),
        ("right", "left", 20.0),
        ("linear", "left", 3.0103),
        ("linear", "linear", 0.0),
    ],
)
def test_polarisation_costs_what_textbooks_say(ours, theirs, loss_db):
    build = with_part(aircraft(), "aerial", polarisation=ours)
    build = with_ground(build, "video_receiver", polarisation=theirs)
    loss = links(build)[VIDEO]["polarisation_loss_db"]
    assert loss.value == pytest.approx(loss_db, abs=1e-4)


def test_video_unit_without_an_aerial_in_its_band_says_so():
    build = with_part(aircraft(), "aerial", band_min_mhz=2400.0, band_max_mhz=2500.0)
    assert (
        "Video (Corrimuir A25): an aerial in its band"
        in links(build)[VIDEO]["received_dbm"].missing
    )


def test_aerials_are_apart_by_wavelengths_of_the_lower_band():
    # c / 2.4 GHz = 124.914 mm.
    build = with_place(aircraft(), "aerial", x_mm=150.0, y_mm=124.914, z_mm=0.0)
    (found,) = grouped(aerial_figures(figures_of(build))).values()
    assert found["apart_mm"].value == pytest.approx(124.914)
    assert found["apart_wavelengths"].value == pytest.approx(1.0, abs=1e-4)
