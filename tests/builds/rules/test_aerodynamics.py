"""How it sits in the air. Worked cases: common practice, no source."""

import pytest

from builds.figures import Unknown
from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, without

LOADING = "aerodynamics.wing_loaded_beyond_role"
UNKNOWN = "aerodynamics.balance_not_known"
SIDE = "aerodynamics.one_side_heavier"


# 53.0 g/dm2 is usual for sport and too much for learning; a quarter above 45 is 56.25.
@pytest.mark.parametrize(
    ("role", "loading", "expected"),
    [
        ("sport", 53.0, []),
        ("trainer", 53.0, ["note"]),
        ("trainer", 45.0, []),
        ("trainer", 56.25, ["note"]),
        ("trainer", 57.0, ["caution"]),
        ("long_range", 80.0, ["note"]),
        ("racing", 80.0, []),
        ("racing", 115.0, ["caution"]),
    ],
)
def test_wing_loading_by_role(role, loading, expected):
    build = aircraft(role=role)
    found = levels(LOADING, build, wing_loading_g_dm2=loading)
    assert [level for level, _ in found] == expected


def test_loading_is_not_judged_without_the_wing():
    build = with_part(aircraft(), "airframe", wing_stations=None)
    assert missing(LOADING, build) == ["Airframe (airframe): wing stations"]


def test_loading_is_not_judged_without_the_role():
    assert missing(LOADING, aircraft(role="")) == ["this build: what it is flown for"]


@pytest.mark.parametrize("rule", [LOADING, SIDE])
def test_a_multirotor_has_no_wing(rule):
    build = with_part(aircraft(), "airframe", layout="multirotor")
    assert (levels(rule, build), missing(rule, build)) == ([], [])


def test_a_complete_aircraft_of_unknown_balance():
    build = with_part(aircraft(), "gps", mass_g=None)
    assert levels(UNKNOWN, build) == [("caution", "")]
    assert numbers(UNKNOWN, build) == {"missing": ("Gps (gps): mass (g)",)}


def test_a_known_balance_is_silent():
    assert levels(UNKNOWN, aircraft()) == []


def test_an_aircraft_that_is_not_complete_is_not_asked():
    build = without(with_part(aircraft(), "gps", mass_g=None), "camera")
    assert (levels(UNKNOWN, build), missing(UNKNOWN, build)) == ([], [])


# 640 mm of span: 6 g at the tip are 6 x 320 = 1920 g mm; over 480 g that is 4 mm.
@pytest.mark.parametrize(
    ("y", "expected"), [(4.0, ["note"]), (-4.0, ["note"]), (5 * 320 / 480, []), (0.0, [])]
)
def test_a_side_that_is_heavier(y, expected):
    found = levels(SIDE, aircraft(), cg_y_mm=y, auw_g=480.0)
    assert [level for level, _ in found] == expected


def test_the_mass_at_the_tip_is_told():
    assert numbers(SIDE, aircraft(), cg_y_mm=4.0, auw_g=480.0)["tip_g"] == 6.0


def test_sides_are_not_judged_without_a_place():
    unknown = Unknown("cg_y_mm", "mm", ("the place “Gps”: y (mm)",))
    assert missing(SIDE, aircraft(), cg_y_mm=unknown) == ["the place “Gps”: y (mm)"]


@pytest.mark.parametrize(
    "rule", [LOADING, "power.pitch_speed_too_low", "sources.single_source_of_power"]
)
def test_a_weight_that_is_only_a_lower_bound_lets_no_check_come_out_well(rule):
    build = with_part(aircraft(), "gps", mass_g=None)
    assert levels(rule, build) == []
    assert missing(rule, build) == ["Gps (gps): mass (g)"]
