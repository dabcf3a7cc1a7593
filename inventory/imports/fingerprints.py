"""What tells a row that was imported before: its owner and what its cells became."""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

_NUMBER = re.compile(r"[+-]?[0-9]{1,30}(?:[.,][0-9]{1,30})?")


class Fingerprints:
    """Fingerprints of the rows of one list; equal rows are told apart by their count."""

    def __init__(self, owner: str) -> None:
        self.owner = owner
        self.seen: Counter[str] = Counter()

    def next_of(self, values: Mapping[str, Any]) -> str:
        """The fingerprint of the next row, from its values by field; ask once a row, in order."""
        content = _digest(
            [self.owner, sorted((name, _plain(value)) for name, value in values.items())]
        )
        self.seen[content] += 1
        return _digest([content, self.seen[content]])


def headers_digest(headers: Sequence[str]) -> str:
    """What tells a list with the same columns, in whatever order."""
    return _digest(sorted(_plain(header) for header in headers))


def _plain(value: Any) -> Any:
    """One way to write what spreadsheets and text files write in several."""
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, float):
        value = f"{value:.9g}"
    text = " ".join(str(value).casefold().split())
    if _NUMBER.fullmatch(text):
        return f"{Decimal(text.replace(',', '.')).normalize():f}"
    return text


def _digest(content: object) -> str:
    return hashlib.sha256(json.dumps(content).encode()).hexdigest()
