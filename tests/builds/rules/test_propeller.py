"""The propeller. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import aircraft, levels, missing, with_part, without

LARGE = "propeller.propeller_too_large"
BORE = "propeller.propeller_bore_differs"
FAST = "propeller.propeller_too_fast"
TIP = "propeller.tip_too_fast"


@pytest.mark.parametrize(("most", "expected"), [(152.0, ["warning"]), (152.4, [])])
def test_diameter_against_the_airframe(most, expected):
    build = with_part(aircraft(), "airframe", propeller_diameter_max_mm=most)
    assert [level for level, _ in levels(LARGE, build)] == expected


def test_diameter_is_not_judged_unless_the_airframes_limit_is_known():
    build = with_part(aircraft(), "airframe", propeller_diameter_max_mm=None)
    assert missing(LARGE, build) == ["airframe: propeller diameter max (mm)"]


# 5.0 mm of bore on a shaft of 6.0 mm.
@pytest.mark.parametrize(
    ("bore", "shaft", "expected"),
    [(5.0, 6.0, ["warning"]), (6.0, 5.0, ["warning"]), (5.0, 5.0, []), (5.1, 5.0, [])],
)
def test_bore_against_the_shaft(bore, shaft, expected):
    build = with_part(with_part(aircraft(), "propeller", bore_mm=bore), "motor",
                      shaft_diameter_mm=shaft)  # fmt: skip
    assert [level for level, _ in levels(BORE, build)] == expected


def test_the_bore_is_not_judged_unless_known():
    build = with_part(aircraft(), "propeller", bore_mm=None)
    assert missing(BORE, build) == ["Propeller (propeller): bore (mm)"]


def test_the_bore_is_not_compared_without_a_motor():
    build = without(aircraft(), "motor")
    assert (levels(BORE, build), missing(BORE, build)) == ([], [])


@pytest.mark.parametrize(("speed", "expected"), [(30001.0, ["warning"]), (30000.0, [])])
def test_speed_against_the_makers_limit(speed, expected):
    assert [level for level, _ in levels(FAST, aircraft(), rpm_max=speed)] == expected


def test_speed_is_not_judged_unless_the_makers_limit_is_known():
    build = with_part(aircraft(), "propeller", speed_max_rpm=None)
    assert missing(FAST, build) == ["Propeller (propeller): speed max (rpm)"]


# Tips at 277 m/s are 0.81 of the speed of sound.
@pytest.mark.parametrize(("mach", "expected"), [(0.81, ["caution"]), (0.75, [])])
def test_speed_of_the_tips(mach, expected):
    assert [level for level, _ in levels(TIP, aircraft(), tip_mach=mach)] == expected


def test_speed_of_the_tips_is_not_judged_without_the_motors_constant():
    build = with_part(aircraft(), "motor", kv_rpm_v=None)
    assert missing(TIP, build) == ["Motor (Ostrelka 2207): speed constant (rpm/V)"]
