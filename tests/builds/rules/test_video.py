"""Video systems. Worked cases: common practice, no source."""

from dataclasses import replace

import pytest

from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    part,
    with_ground,
    with_part,
    with_place,
    without,
)

CAMERA = "video.camera_of_another_system"
GROUND = "video.ground_of_another_system"
STANDARD = "video.standard_differs"
PLUG = "video.camera_plug_differs"
HOT = "video.hot_when_standing"
REVISION = "video.limits_of_unknown_revision"
CONTROL = "video.control_not_wired"


def test_camera_and_unit_of_different_systems():
    build = with_part(aircraft(), "camera", video_system="D")
    assert numbers(CAMERA, build) == {"camera": "D", "video_unit": "A"}
    assert levels(CAMERA, build) == [("warning", "camera")]


def test_camera_and_unit_of_one_system():
    assert levels(CAMERA, with_part(aircraft(), "camera", video_system="a")) == []


def test_a_camera_alone_is_not_compared():
    build = without(aircraft(), "video")
    assert (levels(CAMERA, build), missing(CAMERA, build)) == ([], [])


def test_the_camera_is_not_judged_unless_its_system_is_known():
    build = with_part(aircraft(), "camera", video_system=None)
    assert missing(CAMERA, build) == ["Camera (Corrimuir A19): video system"]


def test_a_unit_of_another_system_than_the_ground():
    build = with_ground(aircraft(), "video_receiver", video_system="D")
    assert levels(GROUND, build) == [("warning", "video")]


def test_the_ground_is_not_judged_unless_named():
    assert missing(GROUND, aircraft(ground={})) == ["the video receiver among your ground gear"]


# 625 lines and 50 Hz against 525 lines and 60 Hz: ITU-R BT.1700.
@pytest.mark.parametrize(
    ("camera", "overlay", "expected"),
    [
        ("625/50", "525/60", ["caution"]),
        ("625/50", "625/50", []),
        ("525/60", "auto", []),
        ("both", "525/60", []),
        ("digital", "525/60", []),
    ],
)
def test_standard_of_the_camera_against_the_overlay(camera, overlay, expected):
    build = with_part(aircraft(overlay_standard=overlay), "camera", video_standard=camera)
    assert [level for level, _ in levels(STANDARD, build)] == expected


def test_both_standards_are_shown():
    assert numbers(STANDARD, aircraft(overlay_standard="525/60")) == {
        "camera": "625/50", "overlay": "525/60",
    }  # fmt: skip


def test_the_standard_is_not_judged_unless_it_is_known():
    assert missing(STANDARD, aircraft(overlay_standard="")) == ["this build: overlay standard"]


def test_without_an_overlay_there_is_no_standard_to_compare():
    build = with_part(aircraft(overlay_standard="525/60"), "board", overlay="none")
    assert (levels(STANDARD, build), missing(STANDARD, build)) == ([], [])


def direct(camera_plug, unit_plug):
    build = with_part(aircraft(), "camera", video_standard="digital", plug=camera_plug)
    return with_part(build, "video", camera_plug=unit_plug)


@pytest.mark.parametrize(
    ("unit", "expected"), [("flat cable", [("caution", "camera")]), ("Three pins", [])]
)
def test_plug_of_the_camera_against_the_unit(unit, expected):
    assert levels(PLUG, direct("three pins", unit)) == expected


def test_a_camera_wired_to_the_board_needs_no_plug_of_the_unit():
    build = with_part(aircraft(), "video", camera_plug="flat cable")
    assert (levels(PLUG, build), missing(PLUG, build)) == ([], [])


def test_the_plug_is_not_judged_unless_both_are_known():
    assert missing(PLUG, direct(None, None)) == [
        "Camera (Corrimuir A19): plug",
        "Video (Corrimuir A25): camera plug",
    ]


@pytest.mark.parametrize(("power", "expected"), [(200.0, ["note"]), (25.1, ["note"]), (25.0, [])])
def test_power_of_the_video_unit_while_it_stands(power, expected):
    build = with_part(aircraft(), "video", power_mw=power, needs_airflow=True)
    assert [level for level, _ in levels(HOT, build)] == expected


def test_a_unit_that_needs_no_airflow_stays_cool():
    assert levels(HOT, with_part(aircraft(), "video", power_mw=200.0, needs_airflow=False)) == []


def test_the_heat_is_not_judged_unless_power_and_cooling_are_known():
    assert missing(HOT, with_part(aircraft(), "video", power_mw=None)) == [
        "Video (Corrimuir A25): power (mW)"
    ]
    assert missing(HOT, with_part(aircraft(), "video", power_mw=200.0)) == [
        "Video (Corrimuir A25): needs airflow"
    ]


def test_the_revision_of_what_hangs_on_the_pack_is_asked_for():
    build = with_part(aircraft(), "video", hardware_revision=None)
    assert missing(REVISION, build) == ["Video (Corrimuir A25): hardware revision"]


def test_a_known_revision_is_no_gap():
    assert (levels(REVISION, aircraft()), missing(REVISION, aircraft())) == ([], [])


def test_the_revision_of_what_hangs_on_a_rail_does_not_matter():
    build = with_place(aircraft(), "camera", supply="board_5v")
    assert missing(REVISION, with_part(build, "camera", hardware_revision=None)) == []


def test_a_control_lead_wired_to_no_port_is_noted():
    build = with_place(aircraft(), "video", serial_port=0)
    assert levels(CONTROL, build) == [("note", "video")]
    assert numbers(CONTROL, build) == {"port": 0}


def test_a_control_lead_on_a_port_is_as_it_should_be():
    assert levels(CONTROL, aircraft()) == []


def test_a_unit_without_control_needs_no_port():
    build = with_part(with_place(aircraft(), "video", serial_port=0), "video", control_bus=None)
    assert (levels(CONTROL, build), missing(CONTROL, build)) == ([], [])


def test_the_control_lead_is_not_judged_unless_its_port_is_known():
    build = with_place(aircraft(), "video", serial_port=None)
    assert missing(CONTROL, build) == ["the place “Video”: serial port"]


def two_systems():
    """The wing with a digital camera and unit beside the analogue ones."""
    build = aircraft()
    camera = replace(
        build.at("camera"),
        id=91,
        key="camera_2",
        part=part("camera", id=91, video_system="D", video_standard="digital", plug="coax"),
    )
    video = replace(
        build.at("video"),
        id=92,
        key="video_2",
        part=part("video_unit", id=92, video_system="D", camera_plug="coax"),
    )
    return replace(build, positions=(*build.positions, camera, video))


@pytest.mark.parametrize("rule", [CAMERA, GROUND, PLUG])
def test_two_video_systems_aboard_are_each_judged_by_itself(rule):
    assert levels(rule, two_systems()) == []


def test_a_camera_that_suits_none_of_two_units_is_found():
    build = two_systems()
    assert levels(CAMERA, with_part(build, "camera", video_system="E")) == [("warning", "camera")]
