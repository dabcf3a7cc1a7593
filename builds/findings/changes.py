"""What is different between two pictures of a build, in the words in which rules declare.

Plain Python.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields

from builds.records import BuildSnapshot, PartRecord, PositionRecord

SHAPE = (
    "id",
    "key",
    "name",
    "kind",
    "is_required",
    "supply",
    "regulator_key",
    "output",
    "quantity",
)
"""Columns of a position that any rule may read undeclared, as it may what kind is fitted."""
DECLARED = tuple(
    column.name for column in fields(PositionRecord) if column.name not in (*SHAPE, "part")
)
"""Columns of a position that a rule declares to read."""
OWN = tuple(column.name for column in fields(PartRecord) if column.name not in ("values", "rated"))
"""What a part is beside its figures."""
OF_BUILD = tuple(
    column.name
    for column in fields(BuildSnapshot)
    if column.name not in ("positions", "ground", "rule_limits")
)


@dataclass(frozen=True)
class Changes:
    """What differs: the shape of the build, or only kinds of parts, columns and limits.

    `is_of_shape`: other positions, or one filled, emptied, or fed or driven from elsewhere.
    `kinds`: kinds of which a part is another. `columns`: kind and name of figures that differ.
    `limits`: full names of the limits of rules that differ.
    """

    is_of_shape: bool = False
    kinds: frozenset[str] = frozenset()
    columns: frozenset[tuple[str, str]] = frozenset()
    limits: frozenset[str] = frozenset()

    @property
    def is_empty(self) -> bool:
        """Is nothing different."""
        return not (self.is_of_shape or self.kinds or self.columns or self.limits)

    @property
    def of_build(self) -> tuple[str, ...]:
        """Columns of the build that differ."""
        return tuple(name for kind, name in self.columns if kind == "build")


def changes_between(before: BuildSnapshot, after: BuildSnapshot) -> Changes:
    """What is different in the second picture of a build."""
    pairs = _pairs(before, after)
    if pairs is None:
        return Changes(is_of_shape=True)
    kinds: set[str] = set()
    columns: set[tuple[str, str]] = set()
    for old, new in pairs:
        if old is None or new is None:
            continue
        if any(getattr(old, name) != getattr(new, name) for name in OWN):
            kinds.add(new.kind)
        columns.update((new.kind, name) for name in _differing(old.values, new.values))
        columns.update((new.kind, name) for name in _differing(old.rated, new.rated))
    for was, now in zip(before.positions, after.positions, strict=True):
        columns.update(
            ("position", name) for name in DECLARED if getattr(was, name) != getattr(now, name)
        )
    columns.update(
        ("build", name) for name in OF_BUILD if getattr(before, name) != getattr(after, name)
    )
    return Changes(
        kinds=frozenset(kinds),
        columns=frozenset(columns),
        limits=frozenset(_differing(before.rule_limits, after.rule_limits)),
    )


def _pairs(
    before: BuildSnapshot, after: BuildSnapshot
) -> list[tuple[PartRecord | None, PartRecord | None]] | None:
    """Parts that stand in the same place; None when the places themselves differ."""
    if [_shape(one) for one in before.positions] != [_shape(one) for one in after.positions]:
        return None
    if {role: one.kind for role, one in before.ground.items()} != {
        role: one.kind for role, one in after.ground.items()
    }:
        return None
    fitted = zip(before.positions, after.positions, strict=True)
    return [
        *((old.part, new.part) for old, new in fitted if old.part is not new.part),
        *((part, after.ground[role]) for role, part in before.ground.items()),
    ]


def _shape(position: PositionRecord) -> tuple[object, ...]:
    kind = position.part.kind if position.part else None
    return (kind, *(getattr(position, name) for name in SHAPE))


def _differing(before: Mapping[str, object], after: Mapping[str, object]) -> Iterator[str]:
    if before is after:
        return
    for name in {**before, **after}:
        if before.get(name) != after.get(name):
            yield name
