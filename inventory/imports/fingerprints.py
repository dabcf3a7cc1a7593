"""What tells a row that was imported before: its owner and its cells, whatever file it is in."""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter
from collections.abc import Sequence
from decimal import Decimal

from inventory.imports.table import Cell, Row

_NUMBER = re.compile(r"[+-]?[0-9]{1,30}(?:[.,][0-9]{1,30})?")


class Fingerprints:
    """Fingerprints of the rows of one list; equal rows are told apart by their count."""

    def __init__(self, owner: str, headers: Sequence[str]) -> None:
        self.owner = owner
        self.headers = [_plain(header) for header in headers]
        self.seen: Counter[str] = Counter()

    def next_of(self, row: Row) -> str:
        """The fingerprint of the next row; ask once for each row, in order."""
        cells = sorted(
            (self.headers[place], _plain(cell))
            for place, cell in enumerate(row.cells)
            if cell != ""
        )
        content = _digest([self.owner, cells])
        self.seen[content] += 1
        return _digest([content, self.seen[content]])


def headers_digest(headers: Sequence[str]) -> str:
    """What tells a list with the same columns, in whatever order."""
    return _digest(sorted(_plain(header) for header in headers))


def _plain(cell: Cell) -> str:
    """One way to write what spreadsheets and text files write in several."""
    text = " ".join(str(cell).casefold().split())
    if _NUMBER.fullmatch(text):
        return f"{Decimal(text.replace(',', '.')).normalize():f}"
    return text


def _digest(content: object) -> str:
    return hashlib.sha256(json.dumps(content).encode()).hexdigest()
