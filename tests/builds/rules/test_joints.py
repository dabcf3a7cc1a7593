"""What holds parts together. Worked cases: common practice, no source."""

from dataclasses import replace

import pytest

from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, with_place

SPLINE = "joints.arm_spline_differs"
THREAD = "joints.screw_holds_by_too_little"
LOCK = "joints.screw_not_locked"
SPARE = "joints.retainer_without_spare"
WORK = "joints.work_cannot_be_undone"


def hardware(**changes):
    return with_part(aircraft(), "screws", **changes)


# An arm of 25 teeth on a spline of 21.
@pytest.mark.parametrize(("teeth", "expected"), [(25, ["warning"]), (21, [])])
def test_an_arm_of_another_spline(teeth, expected):
    build = with_part(aircraft(), "servo_left", arm_spline_teeth=teeth)
    assert [level for level, _ in levels(SPLINE, build)] == expected


def test_the_spline_is_not_judged_without_the_teeth_of_the_arm():
    build = with_part(aircraft(), "servo_left", arm_spline_teeth=None)
    assert missing(SPLINE, build) == ["Servo left (Fennarick F9M): teeth of the arm on it"]


# 2.0 of 3.0 mm: less than one diameter.
@pytest.mark.parametrize(("engaged", "expected"), [(2.0, ["caution"]), (3.0, []), (4.0, [])])
def test_thread_that_holds_a_screw(engaged, expected):
    build = hardware(purpose="hatch screws", engaged_mm=engaged, diameter_mm=3.0)
    assert [level for level, _ in levels(THREAD, build)] == expected


def test_the_thread_is_not_judged_unless_measured():
    build = hardware(purpose="hatch screws", engaged_mm=None)
    assert missing(THREAD, build) == ["Screws (hardware): engaged (mm)"]


@pytest.mark.parametrize("purpose", ["motor screws", "spar"])
def test_motor_screws_and_other_hardware_are_not_asked_for_their_thread(purpose):
    build = hardware(purpose=purpose, engaged_mm=None)
    assert (levels(THREAD, build), missing(THREAD, build)) == ([], [])


@pytest.mark.parametrize(
    ("purpose", "thread_in", "is_locked", "expected"),
    [
        ("motor screws", None, False, ["caution"]),
        ("motor screws", None, True, []),
        ("servo screws", "metal", False, ["caution"]),
        ("servo screws", "plastic", False, []),
        ("servo screws", "wood", None, []),
        ("hatch", None, None, []),
    ],
)
def test_screws_in_metal_want_a_lock(purpose, thread_in, is_locked, expected):
    build = hardware(purpose=purpose, thread_in=thread_in, is_locked=is_locked)
    assert [level for level, _ in levels(LOCK, build)] == expected


@pytest.mark.parametrize(
    ("purpose", "what"), [("motor screws", "are they locked"), ("servo screws", "thread in")]
)
def test_the_lock_is_not_judged_unless_known(purpose, what):
    build = hardware(purpose=purpose, thread_in=None, is_locked=None)
    assert missing(LOCK, build) == [f"Screws (hardware): {what}"]


def straps(*, count, fitted=1):
    build = hardware(purpose="battery strap")
    place = build.at("screws")
    part = replace(place.part, count=count)
    return with_place(build, "screws", part=part, quantity=fitted)


@pytest.mark.parametrize(
    ("count", "fitted", "expected"), [(1, 1, ["note"]), (2, 1, []), (2, 2, ["note"]), (5, 2, [])]
)
def test_a_spare_of_what_holds_the_pack(count, fitted, expected):
    build = straps(count=count, fitted=fitted)
    assert [level for level, _ in levels(SPARE, build)] == expected


def test_fitted_and_spare_are_told():
    assert numbers(SPARE, straps(count=1)) == {"fitted_count": 1, "spare_count": 0}


def test_other_hardware_needs_no_spare():
    assert (levels(SPARE, hardware()), missing(SPARE, hardware())) == ([], [])


def test_work_that_cannot_be_undone_is_noted():
    build = aircraft(work_planned="three cuts for the camera")
    assert levels(WORK, build) == [("note", "")]


def test_without_work_planned_nothing_is_asked():
    assert (levels(WORK, aircraft()), missing(WORK, aircraft())) == ([], [])
