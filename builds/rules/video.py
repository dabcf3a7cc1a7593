"""Camera, video unit and ground side: are they of one system."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, book

SHEET = "the makers' sheets"


def _is_same(ours: str, theirs: str) -> bool:
    return ours.strip().casefold() == theirs.strip().casefold()


@book.rule(
    group="video",
    each="camera",
    needs=("camera.video_system", "video_unit.video_system"),
    source=SHEET,
)
def camera_of_another_system(case: Case) -> Iterator[Finding]:
    """Is the camera of another video system than the video unit?

    Camera and unit of different systems give no picture.
    """
    unit = case.build.first("video_unit")
    assert case.subject is not None
    if unit is None:
        return
    ours, theirs = case.need((case.subject, "video_system"), (unit, "video_system"))
    if _is_same(ours, theirs):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} is of the video system {ours}, {unit.title} of {theirs}: there "
        "will be no picture.",
        "Fit a camera and a video unit of one system.",
        camera=ours,
        video_unit=theirs,
    )


@book.rule(
    group="video",
    each="video_unit",
    needs=("video_unit.video_system", "ground_gear.video_system"),
    source=SHEET,
)
def ground_of_another_system(case: Case) -> Iterator[Finding]:
    """Is the video unit of another system than your video receiver on the ground?

    The picture does not reach the pilot.
    """
    assert case.subject is not None
    ground = case.need_ground("video_receiver")
    ours, theirs = case.need((case.subject, "video_system"), (ground, "video_system"))
    if _is_same(ours, theirs):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} is of the video system {ours}, {ground.name} of {theirs}: there "
        "will be no picture.",
        "Use a video receiver of the same system, or fit another video unit.",
        video_unit=ours,
        ground=theirs,
    )
