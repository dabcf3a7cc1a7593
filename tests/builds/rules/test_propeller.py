"""The propeller. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    part,
    with_part,
    with_place,
    without,
)

LARGE = "propeller.propeller_too_large"
BORE = "propeller.propeller_bore_differs"
FAST = "propeller.propeller_too_fast"
TIP = "propeller.tip_too_fast"
WAY = "propeller.turns_the_wrong_way"
NUT = "propeller.nut_turns_loose"


@pytest.mark.parametrize(("most", "expected"), [(152.0, ["warning"]), (152.4, [])])
def test_diameter_against_the_airframe(most, expected):
    build = with_part(aircraft(), "airframe", propeller_diameter_max_mm=most)
    assert [level for level, _ in levels(LARGE, build)] == expected


def test_diameter_is_not_judged_unless_the_airframes_limit_is_known():
    build = with_part(aircraft(), "airframe", propeller_diameter_max_mm=None)
    assert missing(LARGE, build) == ["airframe: propeller diameter max (mm)"]


# 5.0 mm of bore on a shaft of 6.0 mm.
@pytest.mark.parametrize(
    ("bore", "shaft", "expected"),
    [(5.0, 6.0, ["warning"]), (6.0, 5.0, ["warning"]), (5.0, 5.0, []), (5.1, 5.0, [])],
)
def test_bore_against_the_shaft(bore, shaft, expected):
    build = with_part(with_part(aircraft(), "propeller", bore_mm=bore), "motor",
                      shaft_diameter_mm=shaft)  # fmt: skip
    assert [level for level, _ in levels(BORE, build)] == expected


def test_the_bore_is_not_judged_unless_known():
    build = with_part(aircraft(), "propeller", bore_mm=None)
    assert missing(BORE, build) == ["Propeller (propeller): bore (mm)"]


def test_the_bore_is_not_compared_without_a_motor():
    build = without(aircraft(), "motor")
    assert (levels(BORE, build), missing(BORE, build)) == ([], [])


@pytest.mark.parametrize(("speed", "expected"), [(30001.0, ["warning"]), (30000.0, [])])
def test_speed_against_the_makers_limit(speed, expected):
    assert [level for level, _ in levels(FAST, aircraft(), rpm_max=speed)] == expected


def test_speed_is_not_judged_unless_the_makers_limit_is_known():
    build = with_part(aircraft(), "propeller", speed_max_rpm=None)
    assert missing(FAST, build) == ["Propeller (propeller): speed max (rpm)"]


# Tips at 277 m/s are 0.81 of the speed of sound.
@pytest.mark.parametrize(("mach", "expected"), [(0.81, ["caution"]), (0.75, [])])
def test_speed_of_the_tips(mach, expected):
    assert [level for level, _ in levels(TIP, aircraft(), tip_mach=mach)] == expected


def test_speed_of_the_tips_is_not_judged_without_the_motors_constant():
    build = with_part(aircraft(), "motor", kv_rpm_v=None)
    assert missing(TIP, build) == ["Motor (Ostrelka 2207): speed constant (rpm/V)"]


def test_a_propeller_turned_the_wrong_way():
    build = with_part(aircraft(), "propeller", hand="cw")
    assert levels(WAY, build) == [("warning", "propeller")]
    assert numbers(WAY, build) == {"propeller": "cw", "motor": "ccw"}


def test_a_propeller_turned_as_it_is_made():
    assert levels(WAY, aircraft()) == []


@pytest.mark.parametrize(
    ("mounting", "expected"), [("tractor", ["warning"]), ("pusher", []), ("either", [])]
)
def test_a_propeller_behind_its_motor_is_a_pusher(mounting, expected):
    build = with_part(aircraft(), "propeller", mounting=mounting, hand=None)
    assert [level for level, _ in levels(WAY, build)] == expected


def test_the_nearest_motor_turns_a_propeller():
    build = with_place(aircraft(), "screws", kind="motor", x_mm=270.0, y_mm=200.0, turning="cw")
    build = build.with_part(build.at("screws").id, part("motor", id=60))
    assert levels(WAY, build) == []
    build = with_place(build, "propeller", y_mm=190.0)
    assert levels(WAY, build) == [("warning", "propeller")]


def test_the_propellers_of_a_multirotor_have_both_hands():
    build = with_part(with_part(aircraft(), "propeller", hand="cw"), "airframe",
                      layout="multirotor")  # fmt: skip
    assert (levels(WAY, build), levels(NUT, build)) == ([], [])


def test_the_direction_is_not_judged_unless_both_are_known():
    build = with_part(with_place(aircraft(), "motor", turning=""), "propeller", hand=None)
    assert missing(WAY, build) == [
        "Propeller (propeller): hand",
        "the place “Motor”: which way its motor turns",
    ]


# Seen on its nut a right-hand thread tightens on a shaft that turns counter-clockwise; the nut of
# a pusher faces aft, that of a tractor forward.
@pytest.mark.parametrize(
    ("thread", "turning", "x_mm", "expected"),
    [
        ("right", "ccw", 276.0, []),
        ("right", "cw", 276.0, ["caution"]),
        ("left", "cw", 276.0, []),
        ("right", "ccw", 240.0, ["caution"]),
        ("right", "cw", 240.0, []),
    ],
)
def test_thread_of_the_shaft_against_the_way_it_turns(thread, turning, x_mm, expected):
    build = with_part(aircraft(), "motor", propeller_fixing="nut", thread_hand=thread)
    build = with_place(with_place(build, "motor", turning=turning), "propeller", x_mm=x_mm)
    assert [level for level, _ in levels(NUT, build)] == expected


@pytest.mark.parametrize("fixing", ["lock nut", "two screws"])
def test_a_lock_nut_or_screws_hold_either_way(fixing):
    build = with_part(aircraft(), "motor", propeller_fixing=fixing, thread_hand="right")
    assert levels(NUT, with_place(build, "motor", turning="cw")) == []


def test_the_nut_is_not_judged_unless_the_fixing_is_known():
    build = with_part(aircraft(), "motor", propeller_fixing=None)
    assert missing(NUT, build) == ["Motor (Ostrelka 2207): propeller fixing"]


def test_a_propeller_of_the_motors_hand_is_only_noted_on_the_other_side():
    # Seen from behind, a propeller pushes air backwards turning one way only: geometry of a screw.
    build = with_part(aircraft(), "propeller", mounting="tractor")
    assert levels(WAY, build) == [("note", "propeller")]


def test_it_cannot_tell_tractor_from_pusher_where_both_are_in_one_place():
    build = with_part(with_place(aircraft(), "propeller", x_mm=258.0), "propeller", hand=None)
    build = with_part(build, "propeller", mounting="pusher", hand=None)
    assert levels(WAY, build) == []
    assert "the place “Propeller”: before or behind Motor (mm)" in missing(WAY, build)
