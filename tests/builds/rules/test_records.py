"""What is recorded of the parts. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    judge,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
    without,
)

UNUSABLE = "records.unusable_part_fitted"
EMPTY = "records.required_place_empty"
UNCLEAR = "records.airframe_mass_unclear"
DOUBT = "records.weighed_far_from_sheet"


@pytest.mark.parametrize(
    ("condition", "expected"),
    [
        ("broken", ["warning"]),
        ("retired", ["warning"]),
        ("suspect", ["caution"]),
        ("worn", []),
        ("new", []),
    ],
)
def test_condition_of_a_fitted_part(condition, expected):
    build = with_part(aircraft(), "servo_left", condition=condition)
    assert [level for level, _ in levels(UNUSABLE, build)] == expected


def test_a_part_out_of_service_says_why():
    build = with_part(aircraft(), "pack", out_of_service="swollen")
    (found,) = judge(UNUSABLE, build).findings
    assert found.message == "Pack (Dunmarrow 4×1300) is out of service (swollen)."
    assert found.level.label == "warning"


def test_empty_places_are_one_finding():
    build = without(without(aircraft(), "gps"), "motor")
    assert numbers(EMPTY, build) == {"positions": ("motor", "gps")}


def test_a_place_that_may_be_empty_is_no_fault():
    build = with_place(without(aircraft(), "gps"), "gps", is_required=False)
    assert levels(EMPTY, build) == []


def test_an_airframe_mass_of_unclear_contents_is_a_note():
    build = with_part(aircraft(), "airframe", dry_mass_contents=None)
    assert levels(UNCLEAR, build) == [("note", "airframe")]


def test_the_contents_are_not_asked_before_the_mass_is_known():
    build = with_part(aircraft(), "airframe", mass_g=None)
    assert missing(UNCLEAR, build) == ["Airframe (airframe): mass (g)"]


@pytest.mark.parametrize(
    ("weighed", "expected"), [(200.0, ["note"]), (194.7, []), (150.0, ["note"])]
)
def test_weighed_mass_against_the_makers(weighed, expected):
    build = with_part(aircraft(), "airframe", mass_g=weighed)
    assert [level for level, _ in levels(DOUBT, build)] == expected


def test_a_gram_of_difference_is_no_doubt():
    assert levels(DOUBT, with_part(aircraft(), "aerial", mass_g=5.0)) == []
