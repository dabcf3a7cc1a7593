"""Judging a changed build by what its rules declare, against judging it anew."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import builds.rules  # noqa: F401
from builds.figures import figures_of
from builds.findings import Level, RuleBook, book
from builds.models import Build
from builds.records import Value
from builds.snapshot import take_snapshot
from hangar import demo
from tests.builds.controls.surfaces import ELEVON, wing
from tests.builds.findings.changing import changes
from tests.builds.records_builder import aircraft, with_part, with_place, without
from tests.builds.rules.mutations import MUTATIONS

SLOW = settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
BASES = (aircraft(), wing(ELEVON), without(aircraft(), "gps"))


def anew(build):
    return book.judge(build, figures_of(build))


def check_steps(data, build):
    """After each of some changes, what is judged again equals what is judged anew."""
    judged = anew(build)
    for _ in range(data.draw(st.integers(1, 3))):
        build = data.draw(changes(build))
        judged = book.judge_again(judged, build, figures_of(build))
        fresh = anew(build)
        assert judged == fresh
        assert judged.trace.outcomes == fresh.trace.outcomes


@SLOW
@given(st.data(), st.sampled_from(BASES))
def test_a_changed_build_judged_again_is_as_judged_anew(data, build):
    check_steps(data, build)


@pytest.mark.django_db
def test_a_changed_aircraft_of_the_demo_judged_again_is_as_judged_anew():
    demo.load()
    snapshots = [take_snapshot(build) for build in Build.objects.select_related("club")]
    assert len(snapshots) >= 4

    @settings(SLOW, max_examples=25)
    @given(st.data(), st.sampled_from(snapshots))
    def walk(data, build):
        check_steps(data, build)

    walk()


@pytest.mark.parametrize("rule_id", sorted(MUTATIONS))
def test_a_good_aircraft_spoilt_and_mended_is_judged_again_as_anew(rule_id):
    good, spoilt = aircraft(), MUTATIONS[rule_id].build()
    judged = book.judge_again(anew(good), spoilt, figures_of(spoilt))
    assert judged == anew(spoilt)
    assert book.judge_again(judged, good, figures_of(good)) == anew(good)


def asked_again(before, after):
    """Ids of the rules whose functions ran for the second build."""
    figures = figures_of(before)
    judged = book.judge(before, figures)
    again = book.judge_again(judged, after, figures_of(after))
    old, new = judged.trace.outcomes, again.trace.outcomes
    return {rule_id for rule_id in new if new[rule_id] is not old[rule_id]}


def test_an_unchanged_build_asks_no_rule():
    assert asked_again(aircraft(), aircraft()) == set()


def test_a_servo_weighed_anew_asks_no_rule_of_radio():
    changed = with_part(aircraft(), "servo_left", mass_g=Value(9.4, "weighed"))
    asked = asked_again(aircraft(), changed)
    assert "weight.too_heavy" in asked or "records.weighed_far_from_sheet" in asked
    assert not {rule_id for rule_id in asked if rule_id.startswith(("radio.", "packs."))}


def test_a_camera_slot_made_wider_asks_only_what_looks_at_widths_or_at_all():
    asked = asked_again(aircraft(), with_place(aircraft(), "camera", width_mm=21.0))
    assert "fit.camera_loose_in_slot" in asked
    assert len(asked) < len(book) / 4


def test_a_place_emptied_asks_every_rule():
    assert len(asked_again(aircraft(), without(aircraft(), "camera"))) == len(book)


def test_a_figure_that_fails_is_asked_again_and_harms_nothing():
    class Failing(dict):
        def __missing__(self, name):
            raise ZeroDivisionError

    made = RuleBook()

    @made.rule(group="own", source="test", needs=["figure.auw_g", "build.motor_signal"])
    def heavy(case):
        yield case.finding(Level.NOTE, f"{case.need_figure('auw_g').value}", "Nothing.")

    judged = made.judge(aircraft(), Failing())
    again = made.judge_again(judged, aircraft(), Failing())
    assert again == judged
    assert [gap.rule for gap in again.not_judged] == ["own.heavy"]


def test_a_rule_left_out_before_is_left_out_again():
    build = aircraft()
    judged = book.judge(build, figures_of(build), only=["fit.camera_loose_in_slot"])
    narrow = with_part(build, "camera", width_mm=18.0)
    again = book.judge_again(judged, narrow, figures_of(narrow))
    assert {finding.rule for finding in again.findings} == {"fit.camera_loose_in_slot"}
