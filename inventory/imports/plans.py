"""What an import would do, row by row: the records that preview, import and API share."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from inventory.imports.table import ImportProblem
from inventory.kinds import DataSheet
from inventory.models import Place

PROBLEMS_NAMED = 3
PATH_SIGN = " > "


class Outcome(StrEnum):
    """What becomes of a row."""

    NEW_SHEET = "new part, new data sheet"
    KNOWN_SHEET = "new part of a data sheet you have"
    IMPORTED_BEFORE = "imported before"
    LEFT_OUT = "left out"
    ERROR = "error"


@dataclass(frozen=True)
class RowProblem:
    """Why a row cannot be imported: its number in the file, the column and the reason."""

    row: int
    column: str
    reason: str

    def __str__(self) -> str:
        column = f", column “{self.column}”" if self.column else ""
        return f"Row {self.row}{column}: {self.reason}"


@dataclass
class PlannedSheet:
    """A data sheet that rows refer to: one there is, or one to be made."""

    kind: str
    maker: str
    name: str
    values: dict[str, Any] = field(default_factory=dict)
    existing: DataSheet | None = None

    @property
    def title(self) -> str:
        """Maker and name."""
        return f"{self.maker} {self.name}".strip()


@dataclass(frozen=True)
class PlannedRow:
    """A row and what becomes of it."""

    number: int
    outcome: Outcome
    kind: str = ""
    title: str = ""
    pieces: int = 0
    sheet: PlannedSheet | None = None
    values: dict[str, Any] = field(default_factory=dict)
    place: Place | tuple[str, ...] | None = None
    fingerprint: str = ""
    notes: tuple[str, ...] = ()

    @property
    def kind_label(self) -> str:
        """The kind in words."""
        return DataSheet.registry[self.kind].label if self.kind else ""

    @property
    def place_name(self) -> str:
        """The place in words, with those it lies in where they were given."""
        return (
            PATH_SIGN.join(self.place) if isinstance(self.place, tuple) else str(self.place or "")
        )

    @property
    def adds(self) -> bool:
        """Whether the row adds a part."""
        return self.outcome in (Outcome.NEW_SHEET, Outcome.KNOWN_SHEET)


@dataclass(frozen=True)
class Plan:
    """All rows, what is wrong with them, and what would be made."""

    rows: tuple[PlannedRow, ...]
    problems: tuple[RowProblem, ...]
    new_sheets: tuple[PlannedSheet, ...]
    new_places: tuple[tuple[str, ...], ...]

    @property
    def counts(self) -> dict[str, int]:
        """How many rows meet which end, and how much would be made."""
        ends = Counter(row.outcome for row in self.rows)
        return {
            "rows": len(self.rows),
            "rows_adding": ends[Outcome.NEW_SHEET] + ends[Outcome.KNOWN_SHEET],
            "rows_imported_before": ends[Outcome.IMPORTED_BEFORE],
            "rows_left_out": ends[Outcome.LEFT_OUT],
            "rows_with_errors": ends[Outcome.ERROR],
            "parts": sum(row.pieces for row in self.rows if row.adds),
            "sheets": len(self.new_sheets),
            "places": len(self.new_places),
        }


class RowsRefused(ImportProblem):
    """Rows of the list cannot be imported, so none was; `problems` names them all."""

    def __init__(self, problems: tuple[RowProblem, ...]) -> None:
        named = " ".join(str(problem) for problem in problems[:PROBLEMS_NAMED])
        more = len(problems) - PROBLEMS_NAMED
        rest = f" And {more} more." if more > 0 else ""
        super().__init__(f"Nothing was imported. {named}{rest}")
        self.problems = problems
