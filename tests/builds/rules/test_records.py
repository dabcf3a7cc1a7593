"""What is recorded of the parts. Worked cases: common practice, no source."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from builds.records import Value
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


PROMISED = "records.promised_part_fitted"
REPAIRED = "records.mass_older_than_repair"
UNIT = "records.read_in_another_unit"
MEMORY = "records.figures_from_memory"


def gps(person_id=None, **facts):
    build = replace(aircraft(), person_id=person_id)
    place = build.at("gps")
    return build.with_part(place.id, replace(place.part, **facts))


@pytest.mark.parametrize(
    ("person_id", "facts", "expected"),
    [
        (1, {"claimed_by_id": 2, "claimed_by": "ada"}, ["caution"]),
        (2, {"claimed_by_id": 2, "claimed_by": "ada"}, []),
        (None, {"claimed_by_id": 2, "claimed_by": "ada"}, ["caution"]),
        (1, {"lent_to_id": 2, "lent_to": "ada"}, ["warning"]),
        (2, {"lent_to_id": 2, "lent_to": "ada"}, []),
        (2, {"lent_to_id": 2, "lent_to": "ada", "overdue_days": 1}, ["warning"]),
        (1, {}, []),
    ],
)
def test_a_part_promised_to_somebody_else(person_id, facts, expected):
    assert [level for level, _ in levels(PROMISED, gps(person_id, **facts))] == expected


def test_an_overdue_loan_is_told_once():
    build = gps(1, lent_to_id=2, lent_to="ada", overdue_days=12)
    (found,) = judge(PROMISED, build).findings
    assert found.message == "Gps (gps) is lent to ada and 12 days overdue."


@pytest.mark.parametrize(("hours", "expected"), [(23, []), (24, ["note"]), (-24, [])])
def test_a_mass_of_before_the_repair(hours, expected):
    at = datetime(2026, 3, 1, tzinfo=UTC)
    build = with_part(aircraft(), "gps", mass_g=Value(6.6, "weighed", at=at))
    place = build.at("gps")
    fixed = replace(place.part, repaired_at=at + timedelta(hours=hours))
    found = levels(REPAIRED, build.with_part(place.id, fixed))
    assert [level for level, _ in found] == expected


def test_a_repair_of_a_part_with_no_date_of_weighing_says_nothing():
    assert levels(REPAIRED, gps(repaired_at=datetime(2026, 3, 1, tzinfo=UTC))) == []


# An avoirdupois ounce is 28.34952 g and an inch 25.4 mm: NIST SP 811 (2008), appendix B.8.
@pytest.mark.parametrize(
    ("column", "measured", "expected"),
    [
        ("mass_g", 9.6 * 28.34952, ["caution"]),
        ("mass_g", 9.6 / 28.34952, ["caution"]),
        ("mass_g", 9.6 / 28.34952 * 1.019, ["caution"]),
        ("mass_g", 9.6 / 28.34952 * 1.03, []),
        ("length_mm", 23.0 / 25.4, ["caution"]),
        ("width_mm", 12.0 / 10.0, ["caution"]),
        ("mass_g", 9.6 / 1000, ["caution"]),
        ("mass_g", 14.2, []),
        ("mass_g", None, []),
    ],
)
def test_a_figure_that_is_off_as_two_units_are(column, measured, expected):
    value = None if measured is None else Value(measured, "measured")
    build = with_part(aircraft(), "servo_left", **{column: value})
    assert [level for level, _ in levels(UNIT, build)] == expected


def test_guessed_figures_are_one_finding_that_names_the_parts():
    build = with_part(aircraft(), "gps", mass_g=Value(6.6, "guessed"))
    build = with_part(build, "camera", width_mm=Value(20.0, "unknown"))
    assert numbers(MEMORY, build) == {"parts": ("Gps (gps)", "Camera (Corrimuir A19)")}


def test_a_guess_of_what_changes_no_check_of_weight_or_room_is_not_told():
    assert levels(MEMORY, with_part(aircraft(), "gps", baud_hz=Value(9600.0, "guessed"))) == []
    assert levels(MEMORY, aircraft()) == []
    assert levels(MEMORY, with_part(aircraft(), "gps", mass_g=None)) == []
