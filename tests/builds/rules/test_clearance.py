"""The propeller's way. Worked cases: geometry; room wanted: common practice, no source."""

import pytest

from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, with_place

AIRFRAME = "clearance.propeller_near_airframe"
GROUND = "clearance.propeller_near_ground"


def at(**distance):
    """A propeller of 152.4 mm, tip 76.2 mm from its axis."""
    return with_place(aircraft(), "propeller", **distance)


# 79.2 - 76.2 = 3 mm.
@pytest.mark.parametrize(
    ("distance", "expected"),
    [(79.2, ["caution"]), (81.2, []), (90.0, []), (76.2, ["warning"]), (70.0, ["warning"])],
)
def test_from_tip_to_airframe(distance, expected):
    build = at(axis_to_airframe_mm=distance)
    assert [level for level, _ in levels(AIRFRAME, build)] == expected


def test_the_gap_to_the_airframe_is_told():
    assert numbers(AIRFRAME, at(axis_to_airframe_mm=79.2)) == {"gap_mm": 3.0, "wanted_mm": 5.0}


# 8 in on an axis 97.6 mm high: -4 mm.
@pytest.mark.parametrize(
    ("height", "expected"),
    [(97.6, ["warning"]), (101.6, ["warning"]), (105.0, ["caution"]), (111.6, []), (120.0, [])],
)
def test_from_tip_to_ground(height, expected):
    build = with_part(at(axis_to_ground_mm=height), "propeller", diameter_mm=203.2)
    assert [level for level, _ in levels(GROUND, build)] == expected


@pytest.mark.parametrize("rule", [AIRFRAME, GROUND])
def test_the_makers_largest_propeller_answers_where_nobody_measured(rule):
    assert (levels(rule, aircraft()), missing(rule, aircraft())) == ([], [])


@pytest.mark.parametrize(
    ("rule", "what"),
    [
        (AIRFRAME, "propeller's axis to the nearest part of the airframe (mm)"),
        (GROUND, "height of the propeller's axis above the ground (mm)"),
    ],
)
def test_clearance_is_not_judged_without_measure_or_sheet(rule, what):
    build = with_part(aircraft(), "airframe", propeller_diameter_max_mm=None)
    assert missing(rule, build) == [f"the place “Propeller”: {what}"]


def test_a_multirotors_propellers_are_not_held_against_the_ground():
    build = with_part(at(axis_to_ground_mm=10.0), "airframe", layout="multirotor")
    assert (levels(GROUND, build), missing(GROUND, build)) == ([], [])
