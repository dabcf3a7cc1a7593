"""Camera, video unit and ground side: are they of one system."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, number
from builds.records import PositionRecord
from builds.supply import supply_of

SHEET = "the makers' sheets"
PRACTICE = "common practice, no source"


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

    Camera and unit of different systems give no picture. Of several units one must be of the
    camera's system.
    """
    units = case.build.fitted("video_unit")
    assert case.subject is not None
    if not units:
        return
    (ours,) = case.need((case.subject, "video_system"))
    systems, missing = case.look(*((unit, "video_system") for unit in units))
    if any(system is not None and _is_same(ours, system) for system in systems):
        return
    if missing:
        raise MissingValue(missing)
    unit, theirs = units[0], systems[0]
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

    The picture does not reach the pilot. Where another unit aboard is of the ground's system, the
    pilot has a picture, and this one is for somebody else.
    """
    assert case.subject is not None
    ground = case.need_ground("video_receiver")
    ours, theirs = case.need((case.subject, "video_system"), (ground, "video_system"))
    aboard = [case.ask(unit, "video_system") for unit in case.build.fitted("video_unit")]
    if any(system and _is_same(system, theirs) for system in aboard):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} is of the video system {ours}, {ground.name} of {theirs}: there "
        "will be no picture.",
        "Use a video receiver of the same system, or fit another video unit.",
        video_unit=ours,
        ground=theirs,
    )


def _has_analogue_overlay(case: Case) -> bool:
    board = case.build.first("flight_controller")
    return board is not None and case.ask(board, "overlay") in ("analogue", "both")


@book.rule(
    group="video",
    each="camera",
    needs=("camera.video_standard", "flight_controller.overlay", "build.overlay_standard"),
    source="ITU-R BT.1700: systems of 625 lines and 50 Hz, and of 525 lines and 60 Hz",
)
def standard_differs(case: Case) -> Iterator[Finding]:
    """Is the overlay set to another standard of lines and pictures than the camera's?

    The figures then roll, or are missing from the picture.
    """
    assert case.subject is not None
    if not _has_analogue_overlay(case):
        return
    (ours,) = case.need((case.subject, "video_standard"))
    if ours in ("digital", "both"):
        return
    (setting,) = case.need((case.build, "overlay_standard"))
    if setting in (ours, "auto"):
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} sends {ours}; the overlay is set to {setting}.",
        "Set both alike.",
        camera=ours,
        overlay=setting,
    )


@book.rule(
    group="video",
    each="camera",
    needs=(
        "camera.plug",
        "camera.video_system",
        "video_unit.video_system",
        "camera.video_standard",
        "flight_controller.overlay",
        "video_unit.camera_plug",
    ),
    source=SHEET,
)
def camera_plug_differs(case: Case) -> Iterator[Finding]:
    """Does the camera's lead not plug into the video unit?

    An analogue camera before a board with an overlay is wired to the board instead.
    """
    unit = _unit_of(case)
    assert case.subject is not None
    if unit is None:
        return
    standard = case.ask(case.subject, "video_standard")
    if standard != "digital" and _has_analogue_overlay(case):
        return
    ours, theirs = case.need((case.subject, "plug"), (unit, "camera_plug"))
    if _is_same(ours, theirs):
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} has a lead with {ours}; {unit.title} takes {theirs}.",
        "Fit the lead that suits both.",
        camera=ours,
        video_unit=theirs,
    )


def _unit_of(case: Case) -> PositionRecord | None:
    """The video unit that the camera serves: of several the one of its system, else the first."""
    units = case.build.fitted("video_unit")
    if len(units) < 2:
        return next(iter(units), None)
    assert case.subject is not None
    ours = case.ask(case.subject, "video_system") or ""
    same = (one for one in units if _is_same(ours, case.ask(one, "video_system") or ""))
    return next(same, units[0])


@book.rule(
    group="video",
    each="video_unit",
    needs=("video_unit.power_mw", "video_unit.needs_airflow"),
    source=PRACTICE,
    limits=(Limit("standing_mw", 25.0, "most power set while it stands", 0.0, 10_000.0),),
)
def hot_when_standing(case: Case) -> Iterator[Finding]:
    """Is the video unit set to more power than it can shed while the aircraft stands?

    What cools it is the air of the flight.
    """
    assert case.subject is not None
    (power,) = case.need((case.subject, "power_mw"))
    most = case.limit("standing_mw")
    if not is_above(power, most):
        return
    (needs_airflow,) = case.need((case.subject, "needs_airflow"))
    if not needs_airflow:
        return
    yield case.finding(
        Level.NOTE,
        f"{case.subject.title} is set to {number(power)} mW and needs moving air; standing it "
        f"stays cool up to about {number(most)} mW.",
        "Use its stand-by mode until the launch, or blow air on it.",
        power_mw=power,
        standing_mw=most,
    )


@book.rule(
    group="video",
    each=("video_unit", "camera"),
    needs=("video_unit.hardware_revision", "camera.hardware_revision", "position.supply"),
    source=SHEET,
)
def limits_of_unknown_revision(case: Case) -> Iterator[Finding]:
    """Is it unknown which hardware revision hangs on the pack, and so what voltage it takes?

    Makers change the highest voltage between revisions of one model. This check finds no fault: it
    asks for the label of a part that sees the pack's full voltage.
    """
    assert case.subject is not None
    if supply_of(case.build, case.subject) == "pack":
        case.need((case.subject, "hardware_revision"))
    return iter(())


@book.rule(
    group="video",
    each="video_unit",
    needs=("video_unit.control_bus", "position.serial_port"),
    source=PRACTICE,
)
def control_not_wired(case: Case) -> Iterator[Finding]:
    """Can the flight controller set the video unit, but is it wired to no port?

    Channel and power are then changed with a button, or not at all at the field.
    """
    subject = case.subject
    assert subject is not None
    if case.build.first("flight_controller") is None or not case.ask(subject, "control_bus"):
        return
    (port,) = case.need((subject, "position.serial_port"))
    if port:
        return
    yield case.finding(
        Level.NOTE,
        f"{subject.title} can be set by the flight controller, and is wired to no port of it.",
        "Wire its control lead to a free serial port.",
        port=port,
    )
