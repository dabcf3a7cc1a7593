"""What is wrong with one row of a log file, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


class RowFault(ValueError):
    """A row, or a cell of it, cannot be read; the text is for the person."""

    def __init__(self, message: str, column: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.column = column


@dataclass(frozen=True)
class Problem:
    """Why a row was refused, or what is odd about it."""

    row: int
    column: str
    reason: str

    def __str__(self) -> str:
        where = f", {self.column}" if self.column else ""
        return f"Row {self.row}{where}: {self.reason}"

    def to_json(self) -> list[Any]:
        """The problem as a plain list."""
        return [self.row, self.column, self.reason]
