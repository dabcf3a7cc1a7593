"""Parts that are alike show the same fault once."""

from builds.spares import compare
from tests.builds.records_builder import aircraft, judge, levels, with_part, with_place

RATE = "signal.servo_rate_too_high"
SERVO = "rails.servo_voltage_unsuitable"


def test_alike_parts_with_one_fault_are_one_finding_that_names_them():
    (found,) = judge(RATE, aircraft(servo_rate_hz=400.0)).findings
    assert found.position == "servo_left"
    assert found.message.startswith("Servo left and Servo right: each takes 333.0 pulses")


def test_unlike_parts_are_a_finding_each():
    build = with_part(aircraft(servo_rate_hz=400.0), "servo_right", frame_rate_max_hz=50.0)
    assert levels(RATE, build) == [("warning", "servo_left"), ("warning", "servo_right")]


def test_a_single_part_is_named_with_its_place():
    build = with_part(aircraft(), "servo_right", frame_rate_max_hz=40.0)
    (found,) = judge(RATE, build).findings
    assert found.message.startswith("Servo right (Fennarick F9M) takes 40.0 pulses")


def test_parts_fed_from_elsewhere_are_not_alike():
    build = with_part(aircraft(), "board", servo_rail_v=8.4)
    assert len(judge(SERVO, build).findings) == 1
    build = with_place(build, "servo_right", supply="pack")
    assert levels(SERVO, build) == [("warning", "servo_left"), ("warning", "servo_right")]


def test_a_spare_for_one_of_two_alike_parts_makes_no_new_finding_at_the_other():
    before = aircraft(servo_rate_hz=400.0)
    after = with_part(before, "servo_left", frame_rate_max_hz=500.0)
    found = [judge(RATE, build).findings for build in (before, after)]
    assert [[one.position for one in each] for each in found] == [["servo_left"], ["servo_right"]]
    assert compare(*found, "servo_left") == ()


def test_a_spare_as_bad_as_another_part_is_a_new_finding_at_its_own_place():
    before = with_part(aircraft(), "servo_left", frame_rate_max_hz=40.0)
    after = with_part(before, "servo_right", frame_rate_max_hz=30.0)
    found = [judge(RATE, build).findings for build in (before, after)]
    assert [one.position for one in compare(*found, "servo_right")] == ["servo_right"]
