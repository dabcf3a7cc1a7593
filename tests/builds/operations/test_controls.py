"""Surfaces, throws and outputs in the database."""

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from builds.models import Revision, ThrowRecord
from builds.operations import change_build, change_position, fit_part, remove_part, remove_position
from builds.operations.controls import (
    accept_outputs,
    add_surface,
    change_surface,
    record_throw,
    remove_surface,
)
from builds.snapshot import take_snapshot
from hangar.errors import Conflict, Missing, UserError
from tests.factories import BuildFactory, PositionFactory, UserFactory, part_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    """A wing with servos, motor and board, the motor beside the servos."""
    build = BuildFactory(person=user)
    for key in ("motor", "servo-left", "servo-right", "board"):
        position = build.positions.get(key=key)
        fit_part(position, part_of(position.kind, user), by=user)
    change_build(build, by=user, motor_signal="digital")
    build.positions.filter(key="servo-right").update(output=5)
    build.positions.filter(key="motor").update(output=4)
    build.refresh_from_db()
    return build


@pytest.fixture
def surface(build, user):
    servo = build.positions.get(key="servo-left")
    return add_surface(build, by=user, name="Left elevon", mixing="elevon", servo=servo)


def outputs(build):
    fitted = build.positions.filter(kind__in=("motor", "servo"))
    return dict(fitted.values_list("key", "output"))


def record_of(build):
    (record,) = take_snapshot(build).surfaces
    return record


def test_a_surface_gets_a_short_name_and_a_revision(surface, build):
    assert surface.key == "left-elevon"
    assert Revision.objects.filter(build=build).first().text.startswith("Added the control surface")


def test_two_surfaces_of_one_name_are_refused(surface, build, user):
    with pytest.raises(ValidationError):
        add_surface(build, by=user, name="Left elevon", mixing="aileron")


def test_a_surface_is_moved_by_a_servo_of_this_build(build, user):
    for position in (build.positions.get(key="motor"), PositionFactory(kind="servo")):
        with pytest.raises(UserError):
            add_surface(build, by=user, name="Rudder", mixing="rudder", servo=position)


def test_a_change_of_the_linkage_leaves_earlier_throws_behind(surface, build, user):
    record_throw(surface, by=user, axis="roll", up_mm=14.0)
    before = record_of(build)
    assert before.throws[0].revision >= before.since_revision
    change_surface(surface, by=user, arm_radius_mm=8.0)
    after = record_of(build)
    assert after.throws[0].revision < after.since_revision


def test_another_throw_wanted_leaves_earlier_throws_standing(surface, build, user):
    record_throw(surface, by=user, axis="roll", up_mm=14.0)
    change_surface(surface, by=user, throw_roll_mm=12.0)
    record = record_of(build)
    assert record.throws[0].revision >= record.since_revision


def test_play_that_was_measured_leaves_earlier_throws_standing(surface, build, user):
    record_throw(surface, by=user, axis="roll", up_mm=14.0)
    change_surface(surface, by=user, play_mm=0.6)
    record = record_of(build)
    assert record.play_mm == 0.6
    assert record.throws[0].revision >= record.since_revision


def test_another_servo_leaves_earlier_throws_behind(surface, build, user):
    record_throw(surface, by=user, axis="roll", up_mm=14.0)
    fitting = build.fittings.open().get(position=surface.servo)
    remove_part(fitting, by=user)
    fit_part(surface.servo, part_of("servo", user), by=user)
    record = record_of(build)
    assert record.throws[0].revision < record.since_revision


@pytest.mark.parametrize("throw", [{"axis": "yaw", "up_mm": 3.0}, {"axis": "roll"}])
def test_a_throw_that_says_nothing_of_this_surface_is_refused(surface, user, throw):
    with pytest.raises(UserError):
        record_throw(surface, by=user, **throw)
    assert not ThrowRecord.objects.exists()


def test_a_surface_with_throws_stays(surface, user):
    record_throw(surface, by=user, axis="roll", up_mm=14.0)
    with pytest.raises(Conflict):
        remove_surface(surface, by=user)


def test_a_surface_without_throws_goes(surface, build, user):
    remove_surface(surface, by=user)
    assert not build.surfaces.exists()


def test_a_servo_position_that_a_surface_names_stays_a_servo(surface, build, user):
    empty = PositionFactory(build=build, kind="servo")
    change_surface(surface, by=user, servo=empty)
    with pytest.raises(Conflict):
        remove_position(empty, by=user)
    with pytest.raises(Conflict):
        change_position(empty, by=user, kind="motor")


def test_nobody_else_changes_the_controls(surface, build):
    stranger = UserFactory()
    with pytest.raises(Missing):
        change_surface(surface, by=stranger, name="Mine")
    with pytest.raises(Missing):
        record_throw(surface, by=stranger, axis="roll", up_mm=1.0)
    with pytest.raises(Missing):
        accept_outputs(build, by=stranger)


def test_surfaces_and_throws_take_one_query(build, surface, user):
    def queries():
        with CaptureQueriesContext(connection) as seen:
            take_snapshot(build)
        return len(seen)

    before = queries()
    for number in range(5):
        other = add_surface(build, by=user, name=f"Flap {number}", mixing="flap")
        record_throw(other, by=user, axis="pitch", up_mm=1.0)
    assert queries() == before


def test_a_map_is_taken_with_one_revision(build, user):
    number = build.revision
    accept_outputs(build, by=user, revision=number)
    assert outputs(build) == {"motor": 1, "servo-left": 3, "servo-right": 5}
    build.refresh_from_db()
    assert build.revision == number + 1
    assert build.revisions.first().text == "Outputs: Motor 4 to 1."


def test_what_is_fixed_stays(build, user):
    accept_outputs(build, by=user, fixed=["motor"])
    assert outputs(build)["motor"] == 4


@pytest.mark.parametrize("fixed", [["motor", "servo-left"], ["tail"]])
def test_a_map_that_cannot_be_changes_nothing(build, user, fixed):
    before = outputs(build)
    with pytest.raises(UserError):
        accept_outputs(build, by=user, fixed=fixed)
    assert outputs(build) == before


def test_a_map_seen_on_an_older_revision_is_not_taken(build, user):
    with pytest.raises(Conflict):
        accept_outputs(build, by=user, revision=build.revision - 1)


def test_a_map_taken_twice_is_refused_the_second_time(build, user):
    accept_outputs(build, by=user)
    with pytest.raises(Conflict):
        accept_outputs(build, by=user)
