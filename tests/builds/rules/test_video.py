"""Video systems. Worked cases: common practice, no source."""

from tests.builds.records_builder import (
    aircraft,
    levels,
    missing,
    numbers,
    with_ground,
    with_part,
    without,
)

CAMERA = "video.camera_of_another_system"
GROUND = "video.ground_of_another_system"


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
