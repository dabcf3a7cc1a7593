"""Does it go in, on and through: bays, slots, holes, screws, spars and propellers."""

from __future__ import annotations

from collections.abc import Iterator

from builds.engineering.fit.bay import shim_each_side
from builds.engineering.fit.holes import HolePattern, cross_pattern, hole_offset
from builds.engineering.fit.screws import screw_seat
from builds.findings import ANY, Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, is_below, number
from builds.records import PositionRecord

GEOMETRY = "geometry"
PRACTICE = "common practice, no source"
MM = 1e-3

SIDES = ("length", "width", "height")
ROOM = tuple(f"position.{side}_mm" for side in SIDES)
BODY = tuple(f"part.{side}_mm" for side in SIDES)
POCKETED = ("pack", "servo", "camera")
# A screw has (3.4 - 3.0) / 2 mm of room in its hole: ISO 273, medium series (from memory, not
# verified).
HOLE_ROOM_MM = 0.2


def _spares(case: Case, subject: PositionRecord) -> tuple[dict[str, float], tuple[str, ...]]:
    """Room less body, by side, as far as both are known, and what is missing."""
    known: dict[str, float] = {}
    gaps: list[str] = []
    for side in _asked_sides(case, subject):
        (room, body), missing = case.look((subject, f"position.{side}_mm"), (subject, f"{side}_mm"))
        if missing:
            gaps += missing
        else:
            known[side] = room - body
    return known, tuple(gaps)


def _asked_sides(case: Case, subject: PositionRecord) -> list[str]:
    """Sides to hold against each other: all for a pack, the given ones for a place."""
    given = [side for side in SIDES if case.ask(subject, f"position.{side}_mm") is not None]
    if subject.kind == "pack" or (subject.kind == "servo" and not given):
        return list(SIDES)
    if subject.kind == "camera" and "width" not in given:
        return [*given, "width"]
    return given


def _laid_on_its_side(case: Case, subject: PositionRecord) -> dict[str, float]:
    """Spare room of a pack turned about its length; empty unless all is known."""
    room, no_room = case.look(*((subject, name) for name in ROOM))
    body, no_body = case.look(*((subject, f"{side}_mm") for side in SIDES))
    if no_room or no_body:
        return {}
    turned = (body[0], body[2], body[1])
    return {side: r - b for side, r, b in zip(SIDES, room, turned, strict=True)}


@book.rule(
    group="fit",
    each=ANY,
    needs=(*ROOM, *BODY),
    source=f"{GEOMETRY}; what can be sanded is {PRACTICE}",
    limits=(Limit("sanding_mm", 0.3, "most that a servo's pocket can be sanded", maximum=2),),
)
def part_larger_than_room(case: Case) -> Iterator[Finding]:
    """Is the part larger than the room at its place?

    Length, width and height are compared where the place gives them. A pack may be laid on its
    side. A servo at most 0.3 mm too large is a caution: a foam pocket can be sanded.
    """
    subject = case.subject
    assert subject is not None
    spares, gaps = _spares(case, subject)
    if subject.kind == "pack" and spares and min(spares.values()) < 0:
        turned = _laid_on_its_side(case, subject)
        spares = turned if turned and min(turned.values()) > min(spares.values()) else spares
    over = {side: spare for side, spare in spares.items() if is_below(spare, 0)}
    if over:
        can_sand = subject.kind == "servo" and not is_below(
            min(over.values()), -case.limit("sanding_mm")
        )
        words = ", ".join(f"{number(-spare)} mm in {side}" for side, spare in over.items())
        yield case.finding(
            Level.CAUTION if can_sand else Level.WARNING,
            f"{subject.title} is larger than its room: {words}.",
            "Sand the pocket, or fit a smaller part." if can_sand else "Fit a smaller part.",
            **{f"{side}_over_mm": round(-spare, 6) for side, spare in over.items()},
        )
    if gaps:
        raise MissingValue(gaps)


@book.rule(
    group="fit",
    each="pack",
    needs=(*ROOM, *(f"pack.{side}_mm" for side in SIDES)),
    source=PRACTICE,
    limits=(Limit("spare_mm", 2.0, "least room to spare round a pack", maximum=20),),
)
def pack_without_room_to_swell(case: Case) -> Iterator[Finding]:
    """Has the pack too little to spare in its bay to swell?

    Packs swell a little in use, and strap and foam take room; a squeezed lithium pack can be
    damaged and burn. A pack larger than the bay is the business of `part_larger_than_room`.
    """
    subject = case.subject
    assert subject is not None
    spares, gaps = _spares(case, subject)
    if gaps and not spares:
        return
    if gaps:
        tightest = min(spares.values())
    else:
        turned = _laid_on_its_side(case, subject)
        tightest = max(min(spares.values()), min(turned.values(), default=-1.0))
    if is_below(tightest, 0):
        return
    wanted = case.limit("spare_mm")
    if is_below(tightest, wanted):
        yield case.finding(
            Level.CAUTION,
            f"{subject.title} has {number(tightest)} mm to spare in its bay; "
            f"{number(wanted)} mm are wanted for strap, foam and swelling.",
            "Carve the bay, or fly a smaller pack.",
            spare_mm=round(tightest, 6),
        )


@book.rule(
    group="fit",
    each="camera",
    needs=("position.width_mm", "camera.width_mm"),
    source=f"{GEOMETRY}; the gap that needs a shim is {PRACTICE}",
    limits=(Limit("gap_mm", 0.2, "largest gap beside a camera without a shim", maximum=5),),
)
def camera_loose_in_slot(case: Case) -> Iterator[Finding]:
    """Is the camera narrower than its slot?

    From 0.2 mm on it needs a shim at each side: half of the gap.
    """
    subject = case.subject
    assert subject is not None
    (slot, body), missing = case.look((subject, "position.width_mm"), (subject, "width_mm"))
    if missing or not is_above(slot - body, case.limit("gap_mm")):
        return
    shim = round(shim_each_side(mount_width=slot * MM, body_width=body * MM) / MM, 1)
    yield case.finding(
        Level.NOTE,
        f"{subject.title} is {number(body)} mm wide in a slot of {number(slot)} mm.",
        f"Put a shim of {shim} mm at each side.",
        slot_mm=slot,
        camera_mm=body,
        shim_mm=shim,
    )


@book.rule(
    group="fit",
    each=("motor", "speed_controller", "flight_controller", "video_unit"),
    needs=(
        "position.hole_pattern_mm",
        "motor.hole_pattern_mm",
        "speed_controller.hole_pattern_mm",
        "flight_controller.hole_pattern_mm",
        "video_unit.hole_pattern_mm",
    ),
    source="geometry; room of a screw in its hole: ISO 273, medium series",
)
def hole_pattern_differs(case: Case) -> Iterator[Finding]:
    """Do the mounting holes of the part not match those at its place?

    A motor's figures are the circles of its two pairs of holes, one figure standing for both. A
    place with more than two figures takes any of them. Boards at places without holes are glued
    or taped and not judged.
    """
    subject = case.subject
    assert subject is not None
    if subject.kind != "motor" and not case.ask(subject, "position.hole_pattern_mm"):
        return
    place, part = case.need((subject, "position.hole_pattern_mm"), (subject, "hole_pattern_mm"))
    is_pairs = subject.kind == "motor" and len(place) <= 2 and len(part) <= 2
    if _pairs_match(place, part) if is_pairs else _each_found(place, part):
        return
    yield case.finding(
        Level.WARNING,
        f"{subject.title} has holes of {_pattern(part)} mm; the place has {_pattern(place)} mm.",
        "Fit an adapter plate, or a part with the right holes.",
        part_mm=tuple(part),
        place_mm=tuple(place),
    )


def _pairs_match(place: list[float], part: list[float]) -> bool:
    offset = hole_offset(part=_cross(part), mount=_cross(place))
    return not is_above(offset / MM, HOLE_ROOM_MM)


def _cross(pitches: list[float]) -> HolePattern:
    return cross_pattern(diameter_a=pitches[0] * MM, diameter_b=pitches[-1] * MM)


def _each_found(place: list[float], part: list[float]) -> bool:
    return all(any(abs(ours - theirs) <= HOLE_ROOM_MM for theirs in place) for ours in part)


def _pattern(pitches: list[float]) -> str:
    return " × ".join(number(pitch) for pitch in pitches)


@book.rule(
    group="fit",
    each="motor",
    needs=(
        "motor.screw_depth_max_mm",
        "motor.screw_diameter_mm",
        "position.plate_mm",
        "hardware.purpose",
        "hardware.length_mm",
    ),
    source="geometry; one diameter of thread in metal is common practice, no source",
    limits=(Limit("engaged_ratio", 1.0, "least thread that holds, in diameters", maximum=3),),
    is_final=True,
)
def motor_screw_of_wrong_length(case: Case) -> Iterator[Finding]:
    """Do the motor's screws reach its winding, or hold by too little thread?

    What counts is the screw's length less the plate it goes through. Motor screws are the
    hardware whose purpose says so. A screw that meets the winding ruins the motor.
    """
    subject = case.subject
    assert subject is not None
    screws = [p for p in case.build.fitted("hardware") if _is_motor_screw(case, p)]
    if not screws:
        raise MissingValue(("the motor screws, as a fitted part with its length",))
    depth, plate = case.need((subject, "screw_depth_max_mm"), (subject, "position.plate_mm"))
    lengths = case.need(*((screw, "length_mm") for screw in screws))
    diameter = case.ask(subject, "screw_diameter_mm")
    for screw, length in zip(screws, lengths, strict=True):
        reach = length - plate
        if is_above(reach, depth):
            yield case.finding(
                Level.WARNING,
                f"{screw.title}: {number(length)} − {number(plate)} mm of plate reach "
                f"{number(reach)} mm into {subject.title}, which allows {number(depth)} mm: the "
                "winding would be cut.",
                f"Use screws of {number(depth + plate)} mm or less.",
                reach_mm=reach,
                allowed_mm=depth,
            )
            return
    if diameter is None:
        case.need((subject, "screw_diameter_mm"))
    wanted = case.limit("engaged_ratio") * diameter
    for screw, length in zip(screws, lengths, strict=True):
        seat = screw_seat(
            screw_length=length * MM,
            clamped=plate * MM,
            thread_depth=depth * MM,
            screw_diameter=diameter * MM,
        )
        if is_below(seat.engagement / MM, wanted):
            yield case.finding(
                Level.CAUTION,
                f"{screw.title} holds by {number(seat.engagement / MM)} mm of thread in "
                f"{subject.title}; {number(wanted)} mm are wanted.",
                "Use longer screws, short of the winding.",
                engaged_mm=round(seat.engagement / MM, 6),
                wanted_mm=round(wanted, 6),
            )
            return


def _is_motor_screw(case: Case, position: PositionRecord) -> bool:
    purpose = (case.ask(position, "purpose") or "").casefold()
    return "screw" in purpose and "motor" in purpose


@book.rule(
    group="fit",
    each="hardware",
    needs=("hardware.purpose", "hardware.diameter_mm", "airframe.spar_diameter_mm"),
    source=f"{GEOMETRY}; the play allowed is {PRACTICE}",
    limits=(Limit("play_mm", 0.2, "most play of a spar in its bore", maximum=2),),
)
def spar_does_not_fit(case: Case) -> Iterator[Finding]:
    """Is the spar thicker than its bore, or loose in it?

    Asked of hardware whose purpose says spar.
    """
    subject, airframe = case.subject, case.build.airframe
    assert subject is not None
    if "spar" not in (case.ask(subject, "purpose") or "").casefold() or airframe is None:
        return
    rod, bore = case.need((subject, "diameter_mm"), (airframe, "spar_diameter_mm"))
    is_thick = is_above(rod, bore)
    if not is_thick and not is_above(bore - rod, case.limit("play_mm")):
        return
    yield case.finding(
        Level.WARNING if is_thick else Level.CAUTION,
        f"{subject.title} is {number(rod)} mm thick; the bore is {number(bore)} mm.",
        "Use a spar that fits." if is_thick else "Use a thicker spar, or sleeve it.",
        spar_mm=rod,
        bore_mm=bore,
    )


@book.rule(
    group="fit",
    each="hardware",
    needs=("hardware.purpose", "hardware.length_mm", "airframe.spar_length_mm"),
    source=f"{GEOMETRY}; the length that may lack is {PRACTICE}",
    limits=(Limit("short_mm", 5.0, "most that a spar may be too short", maximum=100),),
)
def spar_of_another_length(case: Case) -> Iterator[Finding]:
    """Is the spar longer than its bed, or too short to carry the wing?

    Asked of hardware whose purpose says spar. Where a spar ends, the wing breaks first.
    """
    subject, airframe = case.subject, case.build.airframe
    assert subject is not None
    if "spar" not in (case.ask(subject, "purpose") or "").casefold() or airframe is None:
        return
    rod, bed = case.need((subject, "length_mm"), (airframe, "spar_length_mm"))
    is_long = is_above(rod, bed)
    if not is_long and not is_above(bed - rod, case.limit("short_mm")):
        return
    yield case.finding(
        Level.CAUTION,
        f"{subject.title} is {number(rod)} mm long; its bed is {number(bed)} mm.",
        "Cut it to length." if is_long else "Use a spar of the right length.",
        spar_mm=rod,
        bed_mm=bed,
    )
