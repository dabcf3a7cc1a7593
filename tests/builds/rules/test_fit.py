"""Does it go in, on and through. Worked cases: common practice, no source, where none is named."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
    without,
)

ROOM = "fit.part_larger_than_room"
SWELL = "fit.pack_without_room_to_swell"
CAMERA = "fit.camera_loose_in_slot"
HOLES = "fit.hole_pattern_differs"
SCREW = "fit.motor_screw_of_wrong_length"
SPAR = "fit.spar_does_not_fit"


def bay(**sides):
    return with_place(aircraft(), "pack", **sides)


@pytest.mark.parametrize("side", ["length", "width", "height"])
def test_a_part_over_any_side_of_its_room(side):
    build = with_place(aircraft(), "video", length_mm=30.0, width_mm=30.0, height_mm=10.0)
    body = {"length_mm": 30.0, "width_mm": 30.0, "height_mm": 10.0}
    body[f"{side}_mm"] += 1.5
    build = with_part(build, "video", **body)
    assert numbers(ROOM, build) == {f"{side}_over_mm": 1.5}
    assert levels(ROOM, build) == [("warning", "video")]


def test_a_part_of_the_size_of_its_room_goes_in():
    build = with_part(with_place(aircraft(), "video", width_mm=30.0), "video", width_mm=30.0)
    assert levels(ROOM, build) == []


def test_a_place_without_stated_room_takes_any_part():
    build = with_part(aircraft(), "video", width_mm=300.0)
    assert (levels(ROOM, build), missing(ROOM, build)) == ([], [])


def test_one_side_too_large_is_found_though_another_is_unknown():
    build = with_place(aircraft(), "video", width_mm=30.0, height_mm=10.0)
    build = with_part(build, "video", width_mm=31.0, height_mm=None)
    assert levels(ROOM, build) == [("warning", "video")]
    assert missing(ROOM, build) == ["Video (Corrimuir A25): height (mm)"]


# A servo of 12.2 mm in a pocket of 12.0 mm can be sanded in, up to 0.3 mm.
@pytest.mark.parametrize(
    ("width", "expected"), [(12.2, ["caution"]), (12.3, ["caution"]), (12.4, ["warning"])]
)
def test_a_servo_a_little_too_thick_for_its_pocket(width, expected):
    build = with_place(aircraft(), "servo_left", width_mm=12.0)
    build = with_part(build, "servo_left", width_mm=width)
    assert [level for level, _ in levels(ROOM, build)] == expected


@pytest.mark.parametrize("key", ["pack", "servo_left", "camera"])
def test_room_for_pack_servo_and_camera_is_not_judged_unless_known(key):
    build = with_place(aircraft(), key, length_mm=None, width_mm=None, height_mm=None)
    assert any("width (mm)" in what for what in missing(ROOM, build))


def test_a_pack_may_be_laid_on_its_side():
    build = bay(width_mm=32.0, height_mm=38.0)
    assert levels(ROOM, build) == []


def test_a_pack_may_not_be_turned_across():
    assert levels(ROOM, bay(length_mm=38.0, width_mm=80.0)) == [("warning", "pack")]


# 32 mm of pack in 32 mm of bay leave nothing for strap, foam and swelling; 2 mm are wanted.
@pytest.mark.parametrize(
    ("height", "expected"), [(32.0, ["caution"]), (31.0, ["caution"]), (30.0, []), (33.0, [])]
)
def test_room_for_a_pack_to_swell(height, expected):
    build = with_part(bay(height_mm=32.0, width_mm=37.0), "pack", height_mm=height)
    assert [level for level, _ in levels(SWELL, build)] == expected


def test_a_pack_larger_than_its_bay_is_one_finding_only():
    build = with_part(aircraft(), "pack", length_mm=90.0)
    assert levels(SWELL, build) == []
    assert levels(ROOM, build) == [("warning", "pack")]


# 20.0 mm in 21.6 mm take shims of 0.8 mm; 19 mm in a cage of 20.4 mm take 0.7 mm.
@pytest.mark.parametrize(("camera", "slot", "shim"), [(20.0, 21.6, 0.8), (19.0, 20.4, 0.7)])
def test_shims_beside_a_camera(camera, slot, shim):
    build = with_part(with_place(aircraft(), "camera", width_mm=slot), "camera", width_mm=camera)
    assert numbers(CAMERA, build)["shim_mm"] == shim
    assert levels(CAMERA, build) == [("note", "camera")]


def test_a_gap_of_a_fifth_of_a_millimetre_needs_no_shim():
    build = with_part(with_place(aircraft(), "camera", width_mm=20.2), "camera", width_mm=20.0)
    assert levels(CAMERA, build) == []


def test_a_camera_wider_than_its_slot_does_not_go_in():
    build = with_place(aircraft(), "camera", width_mm=19.0)
    assert levels(CAMERA, build) == []
    assert levels(ROOM, build) == [("warning", "camera")]


def test_a_camera_of_unknown_width_is_not_judged():
    build = with_part(aircraft(), "camera", width_mm=None)
    assert missing(ROOM, build) == ["Camera (Corrimuir A19): width (mm)"]


@pytest.mark.parametrize(
    ("motor", "place", "expected"),
    [
        ([16.0, 16.0], (16.0, 19.0), ["warning"]),
        ([16.0], (16.0, 19.0), ["warning"]),
        ([16.0, 19.0], (19.0, 16.0), []),
        ([16.0], (16.0,), []),
        ([16.0], (12.0, 16.0, 19.0), []),
        ([25.0], (12.0, 16.0, 19.0), ["warning"]),
    ],
)
def test_holes_of_a_motor(motor, place, expected):
    build = with_part(with_place(aircraft(), "motor", hole_pattern_mm=place), "motor",
                      hole_pattern_mm=motor)  # fmt: skip
    assert [level for level, _ in levels(HOLES, build)] == expected


@pytest.mark.parametrize(("board", "expected"), [([25.5], ["warning"]), ([30.5], [])])
def test_holes_of_a_board(board, expected):
    build = with_part(with_place(aircraft(), "board", hole_pattern_mm=(20.0, 30.5)), "board",
                      hole_pattern_mm=board)  # fmt: skip
    assert [level for level, _ in levels(HOLES, build)] == expected


def test_the_holes_of_a_motor_are_not_judged_unless_known():
    build = with_place(aircraft(), "motor", hole_pattern_mm=())
    assert missing(HOLES, build) == ["the place “Motor”: hole pattern (mm)"]


# A screw of 8 mm through 3 mm of plate reaches 5 mm into a motor that allows 4 mm.
@pytest.mark.parametrize(
    ("length", "expected"), [(8.0, ["warning"]), (7.0, []), (6.0, []), (5.0, ["caution"])]
)
def test_length_of_the_motor_screws(length, expected):
    build = with_part(aircraft(), "screws", length_mm=length)
    assert [level for level, _ in levels(SCREW, build)] == expected


def test_reach_of_a_motor_screw_in_numbers():
    build = with_part(aircraft(), "screws", length_mm=8.0)
    assert numbers(SCREW, build) == {"reach_mm": 5.0, "allowed_mm": 4.0}


def test_motor_screws_are_not_judged_unless_recorded():
    assert missing(SCREW, without(aircraft(), "screws")) == [
        "the motor screws, as a fitted part with its length"
    ]


def test_motor_screws_are_not_judged_without_the_plate():
    build = with_place(aircraft(), "motor", plate_mm=None)
    assert missing(SCREW, build) == ["the place “Motor”: plate (mm)"]


def spar(rod, bore):
    build = with_part(aircraft(), "screws", purpose="main spar", diameter_mm=rod)
    return with_part(build, "airframe", spar_diameter_mm=bore)


@pytest.mark.parametrize(
    ("rod", "bore", "expected"),
    [(5.1, 5.0, ["warning"]), (5.0, 5.0, []), (4.8, 5.0, []), (4.7, 5.0, ["caution"])],
)
def test_spar_in_its_bore(rod, bore, expected):
    assert [level for level, _ in levels(SPAR, spar(rod, bore))] == expected


def test_a_spar_is_not_judged_unless_its_bore_is_known():
    assert missing(SPAR, spar(5.0, None)) == ["airframe: spar diameter (mm)"]


LENGTH = "fit.spar_of_another_length"


def spar_of(length, bed=600.0):
    build = with_part(aircraft(), "screws", purpose="main spar", length_mm=length)
    return with_part(build, "airframe", spar_length_mm=bed)


@pytest.mark.parametrize(
    ("length", "expected"),
    [(601.0, ["caution"]), (600.0, []), (595.0, []), (594.0, ["caution"])],
)
def test_the_length_of_a_spar(length, expected):
    assert [level for level, _ in levels(LENGTH, spar_of(length))] == expected


def test_the_length_of_a_spar_is_not_judged_unless_its_bed_is_known():
    assert missing(LENGTH, spar_of(600.0, None)) == ["airframe: spar length (mm)"]
