"""What stands for a finding that a builder answers."""

from dataclasses import replace

import builds.rules  # noqa: F401
from builds.figures import figures_of
from builds.findings import Finding, Given, Judgement, Level, book, subjects_of
from builds.records import Value
from tests.builds.records_builder import aircraft, with_part

BUILD = aircraft()
GIVEN = Given("Camera: width (mm)", 19.0, "measured", name="width_mm")
FINDING = Finding(
    "fit.loose",
    Level.CAUTION,
    "It is loose.",
    "Shim it.",
    (("gap_mm", 1.1),),
    "camera",
    "",
    (GIVEN,),
)


def subject(*findings, build=BUILD):
    (found,) = subjects_of(Judgement(findings, (), 1), build).values()
    return found


def test_the_same_finding_has_the_same_digest():
    assert subject(FINDING).digest == subject(replace(FINDING)).digest


def test_another_number_gives_another_digest():
    other = replace(FINDING, numbers=(("gap_mm", 1.2),))
    assert subject(other).digest != subject(FINDING).digest


def test_another_input_gives_another_digest():
    other = replace(FINDING, inputs=(replace(GIVEN, value=18.9),))
    assert subject(other).digest != subject(FINDING).digest


def test_another_level_gives_another_digest():
    other = replace(FINDING, level=Level.WARNING)
    assert subject(other).digest != subject(FINDING).digest


def test_another_part_of_the_same_name_gives_another_digest():
    place = BUILD.at("camera")
    swapped = BUILD.with_part(place.id, replace(place.part, code="OTHER"))
    assert subject(FINDING, build=swapped).digest != subject(FINDING).digest


def test_another_wording_or_rounding_gives_the_same_digest():
    other = replace(FINDING, message="Loose.", inputs=(replace(GIVEN, value=19.0 + 1e-9),))
    assert subject(other).digest == subject(FINDING).digest


def test_who_measured_it_when_does_not_matter():
    other = replace(FINDING, inputs=(replace(GIVEN, by="somebody", source="weighed"),))
    assert subject(other).digest == subject(FINDING).digest


def test_all_that_a_rule_says_of_a_place_is_one_subject():
    second = replace(FINDING, level=Level.WARNING, message="And too wide.")
    found = subject(FINDING, second)
    assert (found.level, found.message) == (Level.WARNING, "It is loose. And too wide.")


def test_a_subject_with_one_final_warning_is_final():
    assert subject(FINDING, replace(FINDING, is_final=True)).is_final
    assert not subject(FINDING).is_final


def test_a_value_measured_anew_ends_the_answer():
    def digest(width):
        build = with_part(aircraft(), "camera", width_mm=Value(width, "measured"))
        judged = book.judge(build, figures_of(build), only=["fit.camera_loose_in_slot"])
        (found,) = subjects_of(judged, build).values()
        return found.digest

    assert digest(18.0) == digest(18.0)
    assert digest(18.0) != digest(18.1)
