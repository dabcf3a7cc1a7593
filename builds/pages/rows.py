"""Lines of the tables and lists on the pages of builds, ready to be read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from builds.drawing import DrawnPart
from builds.figures import Figure
from builds.pack_options import PackOption
from builds.pages.finding_rows import FindingRow, finding_rows
from builds.pages.wording import FigureRow, Reader
from builds.records import BuildSnapshot, PartRecord, PositionRecord
from builds.spares import Candidate, Rejected
from inventory.kinds import DataSheet
from inventory.models import Source

KIND_WORDS = {
    "part": "the part",
    "position": "the position",
    "build": "the build",
    "figure": "calculated",
    "any": "any part",
}
FACTS = (
    "x_mm", "y_mm", "z_mm", "x_min_mm", "x_max_mm", "length_mm", "width_mm", "height_mm",
    "hole_pattern_mm", "plate_mm", "axis_to_airframe_mm", "axis_to_ground_mm", "opening_cm2",
    "aerial_clearance_mm", "aerial_angle_deg", "output",
    "serial_port", "route_mm", "extension_mm",
)  # fmt: skip
FACT_LABELS = {
    "x_mm": "Aft of the datum",
    "y_mm": "To the right",
    "z_mm": "Above the datum",
    "x_min_mm": "Foremost place",
    "x_max_mm": "Rearmost place",
    "length_mm": "Room: length",
    "width_mm": "Room: width",
    "height_mm": "Room: height",
    "hole_pattern_mm": "Hole pattern",
    "plate_mm": "Plate under it",
    "axis_to_airframe_mm": "Propeller's axis to the airframe",
    "axis_to_ground_mm": "Propeller's axis above the ground",
    "opening_cm2": "Openings for air",
    "aerial_clearance_mm": "Aerial's live end to carbon, pack or motor wire",
    "aerial_angle_deg": "Between the two aerials",
    "output": "Output of the flight controller",
    "serial_port": "Serial port of the flight controller",
    "route_mm": "Way of its lead",
    "extension_mm": "Extension lead",
}


@dataclass(frozen=True)
class PositionRow:
    """A position, its number in the drawing and what is in it; `is_fitted` is false for a guest."""

    number: int | None
    record: PositionRecord
    mass: str
    mass_source: str
    x: str
    y: str
    is_fitted: bool


@dataclass(frozen=True)
class PackRow:
    """One pack and the build with it."""

    record: PartRecord
    auw: FigureRow
    cg: FigureRow
    wanted_x: FigureRow
    balance: str
    verdict: str
    warnings: int
    cautions: int


@dataclass(frozen=True)
class CandidateRow:
    """A spare and what it would change."""

    record: PartRecord
    is_bag: bool
    mass: str
    mass_change: str
    cg_change: str
    new: tuple[FindingRow, ...]
    cleared: tuple[FindingRow, ...]
    not_judged: int
    is_fittable: bool
    why: str
    is_alike: bool


@dataclass(frozen=True)
class RejectedRow:
    """A spare that falls out, and the findings that threw it out."""

    record: PartRecord
    findings: tuple[FindingRow, ...]
    others_alike: int


def kind_label(kind: str) -> str:
    """A kind of part, or of thing that a rule asks, in words."""
    sheet = DataSheet.registry.get(kind)
    return sheet.label if sheet else KIND_WORDS.get(kind, kind.replace("_", " "))


def position_rows(
    drawn: Sequence[DrawnPart],
    snapshot: BuildSnapshot,
    fittings: Mapping[int, int],
    reader: Reader,
) -> tuple[PositionRow, ...]:
    """All positions as lines, numbered as in the drawing."""
    numbers = {part.position.id: part.number for part in drawn}
    return tuple(
        _position_row(position, numbers.get(position.id), position.id in fittings, reader)
        for position in snapshot.positions
    )


def _position_row(
    position: PositionRecord, number: int | None, is_fitted: bool, reader: Reader
) -> PositionRow:
    mass = position.part.known("mass_g") if position.part else None
    return PositionRow(
        number=number,
        record=position,
        mass=reader.say(mass.value * position.quantity, "mass_g") if mass else "not known",
        mass_source=Source(mass.source).label if mass else "",
        x=reader.say(position.x_mm, "x_mm"),
        y=reader.say(position.y_mm, "y_mm"),
        is_fitted=is_fitted,
    )


def position_facts(
    position: PositionRecord, snapshot: BuildSnapshot, reader: Reader
) -> list[tuple[str, str]]:
    """What is known of a position, name and text."""
    facts = [
        (FACT_LABELS[name], reader.say(getattr(position, name), name))
        for name in FACTS
        if getattr(position, name) not in (None, ())
    ]
    regulator = snapshot.at(position.regulator_key) if position.regulator_key else None
    return [*facts, ("Regulator", regulator.title)] if regulator else facts


def pack_rows(options: Iterable[PackOption], reader: Reader) -> tuple[PackRow, ...]:
    """Packs as lines."""
    return tuple(
        PackRow(
            record=option.record,
            auw=reader.figure(option.figures["auw_g"]),
            cg=reader.figure(option.figures["cg_x_mm"]),
            wanted_x=reader.figure(option.figures["pack_x_wanted_mm"]),
            balance=_balance_words(option),
            verdict=option.verdict,
            warnings=option.warnings,
            cautions=option.cautions,
        )
        for option in options
    )


def _balance_words(option: PackOption) -> str:
    cg, low, high = (option.figures[name] for name in ("cg_x_mm", "cg_min_x_mm", "cg_max_x_mm"))
    if not isinstance(cg, Figure) or not isinstance(low, Figure) or not isinstance(high, Figure):
        return ""
    if cg.value < low.value:
        return "nose-heavy"
    return "tail-heavy" if cg.value > high.value else "in range"


def candidate_rows(
    candidates: Iterable[Candidate], snapshot: BuildSnapshot, reader: Reader
) -> tuple[CandidateRow, ...]:
    """Spares as lines."""
    return tuple(
        CandidateRow(
            record=one.record,
            is_bag=one.part.is_bag,
            mass=reader.say(one.record.get("mass_g"), "mass_g"),
            mass_change=reader.mass_change(one.mass_change_g),
            cg_change=reader.shift(one.cg_change_mm),
            new=finding_rows(one.new_findings, snapshot, reader),
            cleared=finding_rows(one.cleared_findings, snapshot, reader),
            not_judged=one.not_judged,
            is_fittable=one.is_fittable,
            why=one.why,
            is_alike=one.is_alike,
        )
        for one in candidates
    )


def rejected_rows(
    rejected: Iterable[Rejected], snapshot: BuildSnapshot, reader: Reader
) -> tuple[RejectedRow, ...]:
    """Spares that fall out as lines."""
    return tuple(
        RejectedRow(one.record, finding_rows(one.rules, snapshot, reader), one.count - 1)
        for one in rejected
    )
