"""The rule book as a whole: what it promises whatever its rules say."""

import pytest

import builds.rules  # noqa: F401
from builds.figures import MAKERS, figures_of
from builds.findings import ANY, Level, NotJudged, RuleBook, book, words_of
from builds.models import Build, Position
from builds.records import Value
from builds.snapshot import COMMON, HEALTH, LOG_COLUMNS
from inventory.kinds import DataSheet
from tests.builds.records_builder import aircraft, part, with_part, without


def columns_of(kind):
    if kind == "part":
        return COMMON
    if kind == "position":
        return [field.name for field in Position._meta.get_fields()]
    if kind == "build":
        return [
            *(field.name for field in Build._meta.get_fields()),
            "club_mass_line_g",
            "weigh_ins",
            "usual_cell_count",
            "usual_drive",
        ]
    if kind == "figure":
        return list(MAKERS)
    told = (*(entry for entry, _ in LOG_COLUMNS.values()), *HEALTH)
    log = told if kind == "pack" else ()
    return (*COMMON, *DataSheet.registry[kind].own_field_names(), *log)


def own_book(function, **declared):
    made = RuleBook()
    made.rule(group="own", source="test", **declared)(function)
    return made


@pytest.mark.parametrize("rule", list(book), ids=lambda rule: rule.id)
def test_every_declared_need_is_a_real_column(rule):
    for need in rule.needs:
        assert need.name in columns_of(need.kind), str(need)


@pytest.mark.parametrize("rule", list(book), ids=lambda rule: rule.id)
def test_every_rule_has_a_question_an_explanation_and_a_source(rule):
    text = (rule.function.__doc__ or "").strip()
    assert rule.question.endswith("?")
    assert "\n\n" in text
    assert rule.source


@pytest.mark.parametrize("rule", list(book), ids=lambda rule: rule.id)
def test_every_subject_is_a_real_kind(rule):
    assert set(rule.each) <= {ANY, *DataSheet.registry}


def test_a_good_aircraft_has_no_findings_and_no_gaps():
    build = aircraft()
    judged = book.judge(build, figures_of(build))
    assert judged.findings == ()
    assert judged.not_judged == ()
    assert judged.judged > len(book)


@pytest.mark.parametrize("key", [place.key for place in aircraft().positions])
def test_no_rule_fails_when_a_place_is_empty(key):
    build = without(aircraft(), key)
    judged = book.judge(build, figures_of(build))
    assert [gap for gap in judged.not_judged if not gap.missing] == []


@pytest.mark.parametrize("key", [place.key for place in aircraft().positions if place.part])
def test_no_rule_fails_when_nothing_is_known_of_a_part(key):
    build = aircraft()
    bare = part(build.at(key).kind, **dict.fromkeys(build.at(key).part.values))
    build = build.with_part(build.at(key).id, bare)
    judged = book.judge(build, figures_of(build))
    assert [gap for gap in judged.not_judged if not gap.missing] == []


def test_no_rule_fails_on_a_build_without_places():
    build = aircraft(positions=(), ground={}, radio_limits=())
    judged = book.judge(build, figures_of(build))
    assert [gap for gap in judged.not_judged if not gap.missing] == []


def test_an_error_in_one_rule_is_reported_and_harms_no_other():
    made = RuleBook()

    @made.rule(group="own", source="test")
    def broken(case):
        raise ZeroDivisionError

    @made.rule(group="own", source="test")
    def sound(case):
        yield case.finding(Level.NOTE, "Found.", "Nothing.")

    judged = made.judge(aircraft(), {})
    assert [finding.rule for finding in judged.findings] == ["own.sound"]
    assert judged.not_judged == (
        NotJudged("own.broken", (), "This check could not be made. Please report it."),
    )


def test_a_guess_never_turns_a_check_to_ok():
    def guessed(case):
        case.need((case.subject, "width_mm"))
        return ()

    made = own_book(guessed, each="camera", needs=["camera.width_mm"])
    build = with_part(aircraft(), "camera", width_mm=Value(20.0, "guessed"))
    (gap,) = made.judge(build, {}).not_judged
    assert gap.missing == ("Camera (Corrimuir A19): width (mm)",)
    assert gap.remedy.startswith("Measure what is only guessed")


def test_a_figure_made_of_a_guess_never_turns_a_check_to_ok():
    build = with_part(aircraft(), "camera", mass_g=Value(8.0, "guessed"))
    gaps = book.judge(build, figures_of(build), only=["weight.too_heavy"]).not_judged
    assert gaps[0].missing == ("Camera (Corrimuir A19): mass (g)",)


def test_what_a_guess_shows_to_be_wrong_stays_found():
    build = with_part(aircraft(), "camera", width_mm=Value(25.0, "guessed"))
    found = book.judge(build, figures_of(build), only=["fit.part_larger_than_room"]).findings
    assert [finding.level for finding in found] == [Level.WARNING]


def test_a_gap_does_not_hide_what_was_found_before_it():
    def half(case):
        yield case.finding(Level.NOTE, "Found.", "Nothing.")
        case.need((case.subject, "lens_diameter_mm"))

    judged = own_book(half, each="camera", needs=["camera.lens_diameter_mm"]).judge(aircraft(), {})
    assert len(judged.findings) == len(judged.not_judged) == 1
    assert judged.judged == 0


def test_one_unweighed_part_does_not_mute_the_rule_for_the_others():
    def per_servo(case):
        case.need((case.subject, "torque_kgcm"))
        yield case.finding(Level.NOTE, "Known.", "Nothing.")

    made = own_book(per_servo, each="servo", needs=["servo.torque_kgcm"])
    judged = made.judge(with_part(aircraft(), "servo_left", torque_kgcm=None), {})
    assert [gap.position for gap in judged.not_judged] == ["servo_left"]
    assert [finding.position for finding in judged.findings] == ["servo_right"]


def test_a_figure_that_was_not_declared_is_refused():
    def sly(case):
        case.need((case.subject, "mass_g"))
        return ()

    judged = own_book(sly, each="camera").judge(aircraft(), {})
    assert judged.not_judged[0].missing == ()


def test_a_figure_that_does_not_apply_is_no_gap():
    def figured(case):
        case.need_figure("tip_mach")
        return ()

    class DoesNotApply:
        is_known, missing = False, ()

    made = own_book(figured, needs=["figure.tip_mach"])
    judged = made.judge(aircraft(), {"tip_mach": DoesNotApply()})
    assert (judged.not_judged, judged.judged, judged.not_applicable) == ((), 0, 1)


def test_two_rules_of_one_name_are_refused():
    made = own_book(lambda case: ())
    with pytest.raises(ValueError, match="two rules"):
        made.rule(group="own", source="test")(lambda case: ())


def test_the_gravest_findings_come_first():
    build = with_part(without(aircraft(), "gps"), "servo_left", condition="broken")
    found = book.judge(build, figures_of(build)).findings
    assert [finding.level for finding in found] == sorted(
        (finding.level for finding in found), reverse=True
    )
    assert found[0].level is Level.WARNING


def test_names_of_columns_are_said_in_words():
    assert words_of("voltage_max_v") == "voltage max (V)"
    assert words_of("cells_max") == "cells max"
    assert words_of("plug_a") == "plug a"


def test_a_rule_without_a_subject_is_not_counted_as_judged():
    judged = own_book(lambda case: (), each="regulator").judge(aircraft(), {})
    assert (judged.judged, judged.not_applicable) == (0, 1)


def test_a_rule_that_stops_before_it_reads_a_figure_is_not_counted_as_judged():
    made = own_book(lambda case: (), each="servo", needs=["servo.torque_kgcm"])
    judged = made.judge(aircraft(), {})
    assert (judged.judged, judged.not_applicable) == (0, 2)


def test_a_rule_that_read_a_figure_and_found_nothing_is_counted_as_judged():
    def reads(case):
        case.need((case.subject, "torque_kgcm"))
        return ()

    judged = own_book(reads, each="servo", needs=["servo.torque_kgcm"]).judge(aircraft(), {})
    assert (judged.judged, judged.not_applicable) == (2, 0)


def test_an_empty_place_takes_its_checks_out_of_the_number_judged():
    whole, empty = aircraft(), without(aircraft(), "camera")
    before, after = (book.judge(build, figures_of(build)) for build in (whole, empty))
    assert after.judged < before.judged
    assert "Camera" in after.findings[0].message
