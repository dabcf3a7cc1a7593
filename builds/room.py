"""All that the page of what fits where and its API show of a build. Plain Python."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from builds.figures import figures_of
from builds.figures.fastening import Screw
from builds.figures.fits import SIDES, Fit, bay_fits, fits_of, screw_fit
from builds.figures.results import Figures
from builds.records import BuildSnapshot, PartRecord, PositionRecord, Value

ASKED_NAME = "a part as asked"


@dataclass(frozen=True)
class Question:
    """What is asked: one place or all, and the sizes of a part or screw that nobody has [mm]."""

    key: str = ""
    sizes_mm: Mapping[str, float] = field(default_factory=dict)
    screw_length_mm: float | None = None


@dataclass(frozen=True)
class RoomReport:
    """What is fitted held against its places, and the answer to what was asked."""

    snapshot: BuildSnapshot
    fits: tuple[Fit, ...]
    answer: tuple[Fit, ...]


def room_report(snapshot: BuildSnapshot, question: Question) -> RoomReport:
    """Hold what is fitted, and what is asked about, against its places."""
    figures = figures_of(snapshot)
    fits = tuple(fit for fit in fits_of(figures) if _is_asked(fit.position, question))
    return RoomReport(snapshot, fits, tuple(_answer(figures, question)))


def _is_asked(position: PositionRecord, question: Question) -> bool:
    return not question.key or position.key == question.key


def _answer(figures: Figures, question: Question) -> Iterator[Fit]:
    for position in figures.snapshot.positions:
        if not _is_asked(position, question):
            continue
        if question.sizes_mm and _has_room(position):
            part = _part_of(position.kind, question.sizes_mm)
            yield from bay_fits(figures, replace(position, part=part))
        if question.screw_length_mm is not None and position.kind == "motor" and position.part:
            yield screw_fit(figures, Screw(position, length_mm=question.screw_length_mm))


def _has_room(position: PositionRecord) -> bool:
    return any(getattr(position, f"{side}_mm") is not None for side in SIDES)


def _part_of(kind: str, sizes_mm: Mapping[str, float]) -> PartRecord:
    values = {name: Value(size, "asked") for name, size in sizes_mm.items()}
    return PartRecord(id=0, code="", kind=kind, name=ASKED_NAME, values=values)
