"""Checks made, crashes written down, sheets signed. Common practice, no source."""

from datetime import timedelta

import pytest
from django.utils import timezone

from builds.answers import answered
from builds.field_sheets import draw_up
from builds.models import Build, CheckDone, Crash, FieldSheet
from builds.operations import change_build, change_position, fit_part, remove_part
from builds.operations.checks import record_checks, record_crash, sign_field_sheet
from builds.operations.controls import add_surface, change_surface
from builds.rechecks import due_checks
from builds.reports import report_on
from builds.snapshot import take_snapshot
from hangar.errors import Conflict, Missing, UserError
from inventory.models import Condition, LogEntry, Part
from inventory.operations import change_part, return_to_service
from tests.factories import BuildFactory, UserFactory, part_of

FOUND = "Looked at spars, servos and motor mount: no crack, no play."


@pytest.fixture
def build(user):
    made = BuildFactory(person=user)
    fit_part(made.positions.get(key="motor"), part_of("motor", user), by=user)
    fit_part(made.positions.get(key="servo-left"), part_of("servo", user), by=user)
    return fresh(made)


def fresh(build):
    return Build.objects.select_related("club").get(pk=build.pk)


def due(build):
    return {one.check.key for one in due_checks(take_snapshot(fresh(build)))}


def check(build, user, *kinds, note="", revision=None):
    revision = fresh(build).revision if revision is None else revision
    return record_checks(build, by=user, kinds=kinds, revision=revision, note=note)


def crash(build, user, *positions, **more):
    more = {"note": "into a hedge", "revision": fresh(build).revision} | more
    return record_crash(build, by=user, positions=positions, **more)


def sheet_of(build, user):
    build = fresh(build)
    report = report_on(build, viewer=user)
    is_first = not FieldSheet.objects.filter(build=build).exists()
    return draw_up(report, answered(build, report), is_first=is_first)


def sign(build, user, *ticked, **more):
    more = {"digest": sheet_of(build, user).digest} | more
    return sign_field_sheet(build, by=user, ticked=ticked, **more)


# What makes checks due


def test_a_part_that_is_fitted_makes_its_checks_due(build):
    assert {"motor_direction", "surface_directions", "balance"} <= due(build)


def test_a_check_counts_until_the_next_change_of_its_kind(build, user):
    check(build, user, "balance", "motor_direction")
    assert not {"balance", "motor_direction"} & due(build)
    remove_part(build.fittings.get(position__key="servo-left"), by=user)
    assert "balance" in due(build)
    assert "motor_direction" not in due(build)


def test_a_part_taken_out_a_place_moved_and_set_up_changed_are_remembered(build, user):
    change_position(build.positions.get(key="motor"), by=user, turning="cw")
    change_build(build, by=user, servo_rate_hz=50.0)
    surface = add_surface(build, by=user, name="Elevon", mixing="elevon")
    change_surface(surface, by=user, chord_mm=36.0, play_mm=0.2)
    last = fresh(build).changed_in
    number = fresh(build).revision
    assert last["place.motor.turning"] == number - 3
    assert last["set_up.servo_rate_hz"] == number - 2
    assert last["surface.added"] == number - 1
    assert last["surface.chord_mm"] == number
    assert "surface.play_mm" not in last


# Ticking


def test_a_tick_says_who_when_and_on_which_revision(build, user):
    (made,) = check(build, user, "balance", note="level at 134")
    assert (made.by, made.revision, made.note) == (user, build.revision, "level at 134")


def test_two_people_may_make_the_same_check(build, user):
    check(build, user, "balance")
    check(build, user, "balance")
    assert CheckDone.objects.filter(build=build, kind="balance").count() == 2


def test_a_check_of_an_aircraft_that_changed_meanwhile_is_refused(build, user):
    with pytest.raises(Conflict):
        check(build, user, "balance", revision=build.revision - 1)
    assert not CheckDone.objects.exists()


@pytest.mark.parametrize("kinds", [(), ("balance", "no_such_check")])
def test_nothing_is_recorded_of_no_check_or_a_strange_one(build, user, kinds):
    with pytest.raises(UserError):
        check(build, user, *kinds)
    assert not CheckDone.objects.exists()


def test_a_stranger_records_nothing(build):
    stranger = UserFactory()
    with pytest.raises(Missing):
        check(build, stranger, "balance")
    with pytest.raises(Missing):
        crash(build, stranger, "motor")
    with pytest.raises(Missing):
        sign(build, stranger)


# Crashes


def test_a_crash_makes_parts_suspect_stops_the_pack_and_makes_checks_due(build, user):
    pack = part_of("pack", user)
    made = crash(build, user, "servo-left", pack=pack)
    servo = build.fittings.get(position__key="servo-left").part
    assert servo.condition == Condition.SUSPECT
    assert build.fittings.get(position__key="motor").part.condition != Condition.SUSPECT
    pack.refresh_from_db()
    assert pack.out_of_service
    entry = LogEntry.objects.get(pack=pack)
    assert (entry.kind, entry.incident) == ("incident", "crashed")
    assert "crash_inspection" in due(build)
    assert [(one["position"], one["part"]) for one in made.harmed] == [
        ("servo-left", servo.code), ("", pack.code),
    ]  # fmt: skip


def test_of_a_bag_only_the_history_tells(build, user):
    bag = part_of("propeller", user, is_bag=True, count=5)
    fit_part(build.positions.get(key="propeller"), bag, by=user)
    crash(build, user, "propeller")
    bag.refresh_from_db()
    assert bag.condition != Condition.SUSPECT
    assert bag.events.filter(verb="harmed").exists()


@pytest.mark.parametrize(
    "more",
    [
        {"note": " "},
        {"note": "x" * 301},
        {"at": timezone.now() + timedelta(days=1)},
    ],
)
def test_a_crash_that_cannot_be_is_not_recorded(build, user, more):
    with pytest.raises(UserError):
        crash(build, user, "motor", **more)
    assert not Crash.objects.exists()


def test_a_crash_names_what_was_in_it(build, user):
    with pytest.raises(UserError, match="Name the parts"):
        crash(build, user)
    with pytest.raises(UserError, match="Nothing is fitted in: nowhere"):
        crash(build, user, "motor", "nowhere")
    assert not Part.objects.filter(condition=Condition.SUSPECT).exists()


def test_a_pack_that_cannot_be_seen_was_not_aboard(build, user):
    with pytest.raises(UserError, match="No such pack"):
        crash(build, user, "motor", pack=part_of("pack", UserFactory()))


def test_the_inspection_waits_until_each_part_is_cleared(build, user):
    crash(build, user, "servo-left")
    with pytest.raises(Conflict, match="First say how these parts are"):
        check(build, user, "crash_inspection", note=FOUND)
    servo = build.fittings.get(position__key="servo-left").part
    change_part(servo, by=user, condition="good")
    with pytest.raises(UserError, match="20 characters"):
        check(build, user, "crash_inspection", note="fine")
    check(build, user, "crash_inspection", note=FOUND)
    assert "crash_inspection" not in due(build)


def test_a_pack_of_the_crash_comes_back_by_its_own_inspection(build, user):
    pack = part_of("pack", user)
    crash(build, user, "motor", pack=pack)
    return_to_service(pack, finding="Wrap cut open, no dent, cells level after a day.", by=user)
    pack.refresh_from_db()
    assert not pack.out_of_service


# Sheets


def test_a_signed_sheet_keeps_what_was_ticked_and_what_was_not(build, user):
    signed = sign(build, user, "site-1", note="calm")
    lines = {
        line["key"]: line["is_ticked"]
        for section in signed.content["sections"]
        for line in section["lines"]
    }
    assert lines["site-1"] is True
    assert lines["site-2"] is False
    assert signed.content["is_first_flight"] is True
    assert (signed.by, signed.revision, signed.note) == (user, build.revision, "calm")


def test_a_due_check_ticked_on_the_sheet_is_made(build, user):
    sign(build, user, "check-balance")
    assert "balance" not in due(build)
    assert "motor_direction" in due(build)


def test_the_inspection_after_a_crash_is_not_made_by_a_tick_on_the_sheet(build, user):
    crash(build, user, "motor")
    sign(build, user, "check-crash_inspection")
    assert "crash_inspection" in due(build)


def test_the_second_sheet_is_no_longer_of_a_first_flight(build, user):
    sign(build, user)
    assert sign(build, user).content["is_first_flight"] is False


def test_a_sheet_that_reads_otherwise_now_is_not_signed(build, user):
    digest = sheet_of(build, user).digest
    change_build(build, by=user, timer_s=240.0)
    with pytest.raises(Conflict, match="changed since you opened it"):
        sign(build, user, digest=digest)
    assert not FieldSheet.objects.exists()


def test_a_line_that_is_not_on_the_sheet_cannot_be_ticked(build, user):
    with pytest.raises(UserError, match="no such line: moon"):
        sign(build, user, "moon")


def test_a_signed_sheet_stays_as_it_was_when_the_build_changes(build, user):
    signed = sign(build, user)
    before = dict(signed.content)
    change_build(build, by=user, name="Another name")
    assert FieldSheet.objects.get(pk=signed.pk).content == before


def test_a_warning_that_must_be_put_right_keeps_it_from_being_signed(build, user):
    motor = build.fittings.get(position__key="motor")
    remove_part(motor, by=user)
    few = part_of("motor", user, sheet__cells_min=2, sheet__cells_max=3)
    fit_part(motor.position, few, by=user)
    change_build(build, by=user, pack=part_of("pack", user, sheet__cell_count=6))
    with pytest.raises(Conflict, match="put right first"):
        sign(build, user)
    assert not FieldSheet.objects.exists()
