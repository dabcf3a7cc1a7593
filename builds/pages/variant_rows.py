"""Columns and lines of a comparison, with every difference in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builds.figures import Figure
from builds.findings import Level
from builds.models import Build, Variant, VariantChange
from builds.pages.rows import FindingRow, finding_rows
from builds.pages.wording import LABELS, FigureRow, Reader
from builds.spares import compare as new_among
from builds.variants import COMPARED, Cell, Option, Row, compare

CURRENTS = ("motor_current_max_a", "pack_current_each_max_a", "current_max_a")
NO_LIMIT = {"current sensor": "no sensor with a range"}


@dataclass(frozen=True)
class CellText:
    """One figure of one option: its value, and in words how it differs and where its limit is."""

    text: str
    words: str
    is_over: bool


@dataclass(frozen=True)
class Line:
    """One figure of all options."""

    label: str
    cells: tuple[CellText, ...]


@dataclass(frozen=True)
class FoundRow:
    """A finding, and whether the build as it is does not have it."""

    row: FindingRow
    is_new: bool

    @property
    def place(self) -> str:
        """Where it is, unless the message begins with that."""
        return "" if self.row.message.startswith(self.row.place) else self.row.place


@dataclass(frozen=True)
class Column:
    """One option: its findings by level, what it clears, its gaps and its figures."""

    title: str
    is_present: bool
    counts: tuple[tuple[str, int], ...]
    found: tuple[FoundRow, ...]
    cleared: tuple[FindingRow, ...]
    gaps: int
    figures: tuple[FigureRow, ...]


def lines_of(options: Sequence[Option], reader: Reader) -> tuple[Line, ...]:
    """The compared figures as lines."""
    return tuple(_line(row, reader) for row in compare(options))


def columns_of(options: Sequence[Option], reader: Reader) -> tuple[Column, ...]:
    """Findings and figures of each option, marked against the first."""
    return tuple(_column(option, options[0], reader) for option in options)


def change_words(change: VariantChange, reader: Reader) -> str:
    """One change in words."""
    if change.surface:
        return f"{change.surface.name}: arm hole at {reader.say(change.arm_radius_mm, 'x_mm')}"
    name = change.position.name if change.position else ""
    pieces = f" × {change.quantity}" if change.quantity > 1 else ""
    return f"{name}: {change.part}{pieces}" if change.part else f"{name}: nothing"


def set_up_words(variant: Variant, reader: Reader) -> tuple[str, ...]:
    """What a variant says of pack and wiring, in words."""
    words = []
    if variant.pack:
        words.append(f"Pack: {variant.pack}")
    if variant.pack_x_mm is not None:
        words.append(f"The pack's middle at {reader.length(variant.pack_x_mm)}")
    if variant.packs_wiring:
        words.append(f"Packs {variant.get_packs_wiring_display()}")
    return tuple(words)


def heading_of(build: Build, variants: Sequence[Variant]) -> str:
    """What a comparison is called."""
    names = ", ".join(variant.name for variant in variants)
    return f"{build.name}: as it is and {names}" if names else f"{build.name}, side by side"


def difference_words(figure: Figure, difference: float | None, reader: Reader) -> str:
    """How a figure differs from that of the build as it is, in words."""
    if difference is None:
        return "not comparable"
    size = reader.amount(abs(difference), figure)
    if size == reader.amount(0.0, figure):
        return "as now"
    if figure.name in CURRENTS:
        return "warmer than now" if difference > 0 else "cooler than now"
    if figure.name == "cg_x_mm":
        return f"{size} {'aft' if difference > 0 else 'forward'}"
    return f"{'+' if difference > 0 else '−'}{size}"


def _line(row: Row, reader: Reader) -> Line:
    label = LABELS.get(row.name, row.name)
    if row.limit_of:
        label = f"{label}, against the {row.limit_of}"
    cells = tuple(_cell(row, cell, place, reader) for place, cell in enumerate(row.cells))
    return Line(label, cells)


def _cell(row: Row, cell: Cell, place: int, reader: Reader) -> CellText:
    text = reader.figure(cell.figure).text
    figure = cell.figure
    if not isinstance(figure, Figure):
        return CellText(text, "", False)
    change = "" if place == 0 else difference_words(figure, cell.difference, reader)
    limit = _limit_words(row, figure, cell, reader) if row.limit_of else ""
    return CellText(text, ": ".join(filter(None, (change, limit))), bool(cell.is_over))


def _limit_words(row: Row, figure: Figure, cell: Cell, reader: Reader) -> str:
    if cell.limit is None:
        return NO_LIMIT.get(row.limit_of, "its limit is not known")
    drawn, most = (reader.say(round(value, 1), "current_a") for value in (figure.value, cell.limit))
    held = f"{drawn} against {most}"
    if cell.is_over:
        return f"{held}: over"
    return f"{held}: under{', the top of its range over' if cell.may_be_over else ''}"


def _column(option: Option, present: Option, reader: Reader) -> Column:
    before, after = present.judgement.findings, option.judgement.findings
    new = list(new_among(before, after))
    names = dict.fromkeys(name for name, _, _ in COMPARED)
    return Column(
        title=option.title,
        is_present=option is present,
        counts=tuple((level.label, len(option.judgement.of(level))) for level in reversed(Level)),
        found=tuple(
            FoundRow(row, finding in new)
            for finding, row in zip(
                after, finding_rows(after, option.snapshot, reader), strict=True
            )
        ),
        cleared=finding_rows(new_among(after, before), present.snapshot, reader),
        gaps=len(option.judgement.not_judged),
        figures=tuple(reader.figure(option.figures[name]) for name in names),
    )
