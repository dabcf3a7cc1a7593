"""Parts that are alike show the same fault of one cause: it is told once. Plain Python."""

from __future__ import annotations

from typing import Any

from builds.findings import Case
from builds.records import PositionRecord


def told_by(case: Case, *names: str) -> str:
    """Who a finding is about: the subject, or all parts of its kind that are alike.

    Alike are those of equal values in the columns named; `position.` before a name asks the
    position. The first of them speaks for all: for the others the answer is empty.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    alike = [
        other
        for other in case.build.fitted(subject.part.kind)
        if _values(other, names) == _values(subject, names)
    ]
    if alike[0].id != subject.id:
        return ""
    if len(alike) == 1:
        return subject.title
    *first, last = (position.name for position in alike)
    return f"{', '.join(first)} and {last}: each"


def _values(position: PositionRecord, names: tuple[str, ...]) -> list[Any]:
    assert position.part is not None
    return [
        getattr(position, name.removeprefix("position."))
        if name.startswith("position.")
        else position.part.get(name)
        for name in names
    ]
