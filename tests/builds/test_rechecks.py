"""Which change makes which check due. Worked cases: common practice, no source."""

from dataclasses import replace

import pytest

from builds.rechecks import BY_KEY, CHECKS, due_checks
from builds.records import PowerReadingRecord, WeighInRecord
from tests.builds.controls.surfaces import ELEVON, reading, wing
from tests.builds.records_builder import aircraft, without

MOTOR = {"motor_direction", "balance", "current", "clearance", "motor_temperature"}
SERVO = {"surface_directions", "stabiliser_directions", "throws", "balance"}


def due(build, *changes, revision=4, **columns):
    changed = dict.fromkeys(changes, revision)
    found = due_checks(replace(build, changed_in=changed, **columns))
    return {one.check.key for one in found}


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ("part.motor", MOTOR),
        ("part.propeller", MOTOR - {"motor_direction"}),
        ("part.servo", SERVO),
        ("part.camera", {"balance"}),
        ("part.receiver", {
            "failsafe", "range", "surface_directions", "balance", "settings", "model_match",
        }),
        ("place.antenna.x_mm", {"range"}),
        ("place.receiver.z_mm", {"range"}),
        ("place.flight_controller.x_mm", {"stabiliser_directions"}),
        ("place.servo.output", {
            "surface_directions", "stabiliser_directions", "throws", "settings",
        }),
        ("place.motor.turning", {"motor_direction", "clearance"}),
        ("surface.arm_radius_mm", {"throws"}),
        ("surface.mixing", {
            "surface_directions", "stabiliser_directions", "throws", "settings",
        }),
        ("set_up.pack_x_mm", {"balance"}),
        ("set_up.timer_s", set()),
        ("place.camera.name", set()),
    ],
)  # fmt: skip
def test_a_change_makes_its_checks_due(change, expected):
    assert due(wing(), change) == expected


def test_a_crash_asks_for_the_inspection_and_for_all_that_can_have_moved():
    assert due(wing(), "crash") >= {"crash_inspection", "failsafe", "range", "throws", "balance"}


def test_nothing_is_due_before_anything_changed():
    assert due_checks(wing()) == ()


def test_a_check_made_on_the_revision_of_the_change_is_no_longer_due():
    assert "balance" not in due(wing(), "part.camera", checks_done={"balance": 4})


def test_a_check_made_before_the_change_is_due_again():
    (one,) = due_checks(replace(wing(), changed_in={"part.camera": 4}, checks_done={"balance": 3}))
    assert (one.since_revision, one.done_revision) == (4, 3)


def test_of_several_changes_the_latest_counts():
    build = replace(wing(), changed_in={"part.camera": 4, "part.gps": 6})
    by_key = {one.check.key: one for one in due_checks(build)}
    assert by_key["balance"].since_revision == 6


def test_the_gravest_check_comes_first():
    levels = [one.check.level for one in due_checks(replace(wing(), changed_in={"crash": 2}))]
    assert levels == sorted(levels, reverse=True)


@pytest.mark.parametrize(
    ("columns", "key"),
    [
        ({"weigh_ins": (WeighInRecord(1, 509.0, 4, cg_x_mm=134.0),)}, "balance"),
        ({"power_readings": (PowerReadingRecord(1, 15.6, 30.0, 24000.0, revision=4),)}, "current"),
        (
            {"surfaces": (replace(ELEVON, throws=(reading(up_mm=14.0, revision=4),)),)},
            "throws",
        ),
    ],
)
def test_what_was_measured_counts_as_a_check(columns, key):
    changes = ("part.motor", "part.servo")
    assert key in due(wing(), *changes)
    assert key not in due(wing(), *changes, **columns)


def test_a_scale_without_a_balance_point_is_no_check_of_the_balance():
    weighed = (WeighInRecord(1, 509.0, 4),)
    assert "balance" in due(wing(), "part.motor", weigh_ins=weighed)


def test_one_surface_that_was_not_measured_leaves_the_throws_due():
    measured = replace(ELEVON, throws=(reading(up_mm=14.0, revision=4),))
    bare = replace(ELEVON, id=2, key="right_elevon")
    assert "throws" in due(wing(measured, bare), "part.servo")


def test_a_throw_that_was_only_set_is_not_measured():
    told = replace(ELEVON, throws=(reading(up_mm=14.0, revision=4, source="sheet"),))
    assert "throws" in due(wing(told), "part.servo")


@pytest.mark.parametrize(
    ("place", "key"),
    [("receiver", "range"), ("board", "stabiliser_directions"), ("propeller", "clearance")],
)
def test_no_check_is_asked_of_what_is_not_fitted(place, key):
    assert key in due(aircraft(), "crash")
    assert key not in due(without(aircraft(), place), "crash")


def test_keys_are_unique():
    assert len(BY_KEY) == len(CHECKS)
