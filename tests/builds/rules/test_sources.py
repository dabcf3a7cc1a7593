"""What feeds a rail. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
    without,
)

TWO = "sources.two_sources_on_one_rail"
SHARED = "sources.video_shares_rail_with_servos"
SINGLE = "sources.single_source_of_power"


def with_own_regulator(build):
    return with_part(build, "controller", has_regulator=True, regulator_voltage_v=5.0)


def test_two_regulators_on_the_servo_rail():
    build = with_own_regulator(aircraft())
    assert levels(TWO, build) == [("warning", "")]
    assert numbers(TWO, build) == {"source_count": 2}


def test_a_lifted_red_wire_leaves_one():
    build = with_place(with_own_regulator(aircraft()), "controller", is_regulator_cut=True)
    assert levels(TWO, build) == []


def test_one_regulator_is_as_it_should_be():
    build = with_part(with_own_regulator(aircraft()), "board", servo_rail_v=None)
    assert levels(TWO, build) == []


def test_the_regulators_of_two_controllers_are_two():
    build = with_part(with_own_regulator(aircraft()), "board", servo_rail_v=None)
    build = with_place(build, "controller", quantity=2)
    assert numbers(TWO, build) == {"source_count": 2}


def test_the_sources_are_not_judged_unless_the_controller_is_known():
    build = with_part(aircraft(), "controller", has_regulator=None)
    assert missing(TWO, build) == ["Controller (Ostrelka 50): has regulator"]


def test_a_rail_without_servos_has_no_sources():
    build = without(without(with_own_regulator(aircraft()), "servo_left"), "servo_right")
    assert (levels(TWO, build), missing(TWO, build)) == ([], [])


def test_the_camera_on_the_servo_rail():
    build = with_place(aircraft(), "camera", supply="servo_rail")
    assert levels(SHARED, build) == [("note", "camera")]
    assert numbers(SHARED, build) == {"servo_count": 2}


def test_the_video_unit_on_the_servos_regulator():
    build = with_part(aircraft(), "regulator")
    build = with_place(build, "servo_left", regulator_key="regulator")
    assert levels(SHARED, build) == [("note", "video")]


@pytest.mark.parametrize("supply", ["pack", "board_5v", "none"])
def test_video_on_a_supply_of_its_own(supply):
    assert levels(SHARED, with_place(aircraft(), "camera", supply=supply)) == []


def test_a_shared_rail_is_not_judged_unless_the_supply_is_known():
    build = with_place(aircraft(), "camera", supply="")
    assert missing(SHARED, build) == ["the place “Camera”: supply"]


def test_a_video_unit_without_servos_shares_with_none():
    build = without(without(aircraft(), "servo_left"), "servo_right")
    assert levels(SHARED, with_place(build, "camera", supply="servo_rail")) == []


@pytest.mark.parametrize(("mass", "expected"), [(6999.0, []), (7000.0, ["note"])])
def test_a_large_aircraft_wants_two_sources(mass, expected):
    assert [level for level, _ in levels(SINGLE, aircraft(), auw_g=mass)] == expected


def test_the_source_is_counted():
    found = numbers(SINGLE, aircraft(), auw_g=8200.0)
    assert found == {"mass_g": 8200.0, "limit_g": 7000.0, "source_count": 1}


def test_an_isolated_regulator_is_a_second_source():
    build = with_part(aircraft(), "regulator", is_isolated=True)
    assert levels(SINGLE, build, auw_g=8200.0) == []


def test_a_regulator_of_unknown_kind_is_asked_for():
    build = with_part(aircraft(), "regulator")
    assert missing(SINGLE, build, auw_g=8200.0) == ["Regulator (regulator): is isolated"]
