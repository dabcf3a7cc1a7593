"""What must be looked at again. Worked cases: common practice, no source."""

from dataclasses import replace

import pytest

from builds.rechecks import BY_KEY
from tests.builds.controls.surfaces import wing
from tests.builds.records_builder import aircraft, judge, levels, numbers, without

DUE = "checks.checks_due"
CRASH = "checks.crash_not_inspected"


def changed(build=None, *, revision=4, done=None, **words):
    last = {word.replace("__", "."): at for word, at in words.items()}
    return replace(build or wing(), revision=revision, changed_in=last, checks_done=done or {})


def test_a_motor_that_was_changed_is_one_finding_that_names_all():
    (found,) = judge(DUE, changed(part__motor=4)).findings
    assert found.level.label == "warning"
    assert found.message == (
        "5 checks are due: since revision 4 direction in which each motor turns, centre of "
        "gravity, current at full throttle, clearance of the propeller and temperature of the "
        "motor."
    )
    assert dict(found.numbers)["since_revision"] == 4


@pytest.mark.parametrize(
    ("word", "level"),
    [
        ("part__receiver", "warning"),
        ("part__servo", "warning"),
        ("part__flight_controller", "warning"),
        ("place__antenna__x_mm", "warning"),
        ("surface__mixing", "warning"),
        ("part__propeller", "caution"),
        ("set_up__pack_x_mm", "caution"),
        ("surface__arm_radius_mm", "caution"),
        ("set_up__motor_signal", "warning"),
        ("place__propeller__axis_to_airframe_mm", "note"),
    ],
)
def test_failsafe_range_and_directions_make_it_a_warning(word, level):
    assert levels(DUE, changed(**{word: 4})) == [(level, "")]


def test_two_changes_are_told_with_their_revisions_the_latest_first():
    (found,) = judge(DUE, changed(part__camera=2, place__propeller__x_mm=3)).findings
    assert found.message == (
        "2 checks are due: since revision 3 clearance of the propeller; since revision 2 centre "
        "of gravity."
    )


def test_one_check_is_told_as_one():
    (found,) = judge(DUE, changed(part__camera=2)).findings
    assert found.message == "1 check is due: since revision 2 centre of gravity."


def test_a_check_made_on_the_very_revision_is_enough():
    assert levels(DUE, changed(part__camera=4, done={"balance": 4})) == []
    assert levels(DUE, changed(part__camera=4, done={"balance": 3})) == [("caution", "")]


def test_without_a_change_nothing_is_due():
    assert levels(DUE, aircraft()) == []


def test_an_aircraft_that_cannot_fly_yet_is_not_asked_for_checks():
    assert levels(DUE, changed(without(wing(), "motor"), part__servo=4)) == []


def test_the_inspection_is_not_told_twice():
    done = dict.fromkeys(set(BY_KEY) - {"crash_inspection"}, 4)
    assert levels(DUE, changed(crash=4, done=done)) == []


def test_a_crash_stands_until_it_is_inspected():
    assert numbers(CRASH, changed(crash=4)) == {"crash_revision": 4}
    assert levels(CRASH, changed(crash=4)) == [("warning", "")]


def test_an_inspection_before_the_crash_does_not_count():
    assert levels(CRASH, changed(crash=4, done={"crash_inspection": 3})) == [("warning", "")]
    assert levels(CRASH, changed(crash=4, done={"crash_inspection": 4})) == []


def test_without_a_crash_there_is_nothing_to_inspect():
    assert levels(CRASH, changed(part__servo=4)) == []


def test_a_crash_is_told_even_while_a_place_is_empty():
    assert levels(CRASH, changed(without(wing(), "propeller"), crash=4)) == [("warning", "")]
