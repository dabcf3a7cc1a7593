"""One subject of one rule: what it may ask, and what it remembers of the answers. Plain Python."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from builds.findings.results import Finding, Given, Level
from builds.findings.words import GROUND_WORDS, words_of
from builds.records import GUESSES, BuildSnapshot, PartRecord, PositionRecord, Value

if TYPE_CHECKING:
    from builds.findings.book import Rule

Owner = BuildSnapshot | PartRecord | PositionRecord
"""Who can be asked for a figure."""


class MissingValue(Exception):
    """A rule asked for figures that nobody has given; with none named, it does not apply."""

    def __init__(self, missing: Iterable[str]) -> None:
        self.missing = tuple(missing)
        super().__init__(", ".join(self.missing))


@dataclass
class Case:
    """One subject of one rule in one build: hands out values and remembers which were guesses."""

    rule: Rule
    build: BuildSnapshot
    subject: PositionRecord | None
    figures: Any = None
    guesses: list[str] = field(default_factory=list)
    has_read: bool = False
    given: dict[str, Given] = field(default_factory=dict)

    def look(self, *wanted: tuple[Owner, str]) -> tuple[tuple[Any, ...], tuple[str, ...]]:
        """Bare values of the figures asked for, None where nobody gave one, and what is missing.

        A part is asked by its position or itself; `position.` before a name asks the position.
        """
        found = [self._look_up(owner, name) for owner, name in wanted]
        self.guesses += [what for what, value in found if value is not None and value.is_guess]
        for what, value in found:
            if value is not None:
                self.given[what] = Given(what, value.value, value.source, value.at, value.by)
        values = tuple(None if value is None else value.value for _, value in found)
        self.has_read = self.has_read or any(value is not None for value in values)
        return values, tuple(what for what, value in found if value is None)

    def ask(self, owner: Owner, name: str) -> Any:
        """The bare value of one figure, None when nobody gave it."""
        values, _ = self.look((owner, name))
        return values[0]

    def need(self, *wanted: tuple[Owner, str]) -> tuple[Any, ...]:
        """Bare values of the figures asked for.

        Raises
        ------
        MissingValue
            If one or more of them are not known; all of them are named.
        """
        values, missing = self.look(*wanted)
        if missing:
            raise MissingValue(missing)
        return values

    def need_ground(self, role: str) -> PartRecord:
        """The ground gear of that role; raises MissingValue when none is named."""
        part = self.build.ground.get(role)
        if part is None:
            raise MissingValue((f"the {GROUND_WORDS[role]} among your ground gear",))
        return part

    def need_figure(self, name: str) -> Any:
        """A calculated figure; raises MissingValue with what it lacks."""
        figure = self.ask_figure(name)
        if figure is None:
            raise MissingValue(self.figures[name].missing)
        return figure

    def ask_figure(self, name: str) -> Any:
        """A calculated figure, None when it lacks something."""
        self.rule.check_declared("figure", name)
        figure = self.figures[name]
        if not figure.is_known:
            return None
        self.has_read = True
        self.given[name] = Given(words_of(name), figure.value, "computed")
        self.guesses += [given.name for given in figure.inputs if given.source in GUESSES]
        return figure

    def limit(self, name: str) -> float:
        """A threshold of this rule: the club's, or else the one of common practice."""
        limit = self.rule.limit_of(name)
        own = self.build.rule_limits.get(f"{self.rule.id}.{name}")
        value = own or Value(limit.value, "default")
        what = f"limit: {limit.meaning}"
        self.given[what] = Given(what, value.value, value.source, value.at, value.by)
        return float(value.value)

    def finding(self, level: Level, message: str, remedy: str, **numbers: Any) -> Finding:
        """A finding of this rule about this subject."""
        return Finding(
            rule=self.rule.id,
            level=level,
            message=message,
            remedy=remedy,
            numbers=tuple(numbers.items()),
            position=self.subject.key if self.subject else "",
            source=self.rule.source,
            inputs=tuple(self.given.values()),
            is_final=self.rule.is_final and level == Level.WARNING,
        )

    def _look_up(self, owner: Owner, name: str) -> tuple[str, Value | None]:
        if isinstance(owner, BuildSnapshot):
            self.rule.check_declared("build", name)
            return f"this build: {words_of(name)}", _as_value(getattr(owner, name))
        if isinstance(owner, PartRecord):
            self.rule.check_declared(owner.kind, name)
            return f"{owner.name}: {words_of(name)}", owner.known(name)
        if name.startswith("position."):
            column = name.removeprefix("position.")
            self.rule.check_declared("position", column)
            what = f"the place “{owner.name}”: {words_of(column)}"
            return what, _as_value(getattr(owner, column))
        self.rule.check_declared(owner.part.kind if owner.part else owner.kind, name)
        what = f"{owner.title}: {words_of(name)}"
        return what, owner.part.known(name) if owner.part else None


def _as_value(bare: Any) -> Value | None:
    return None if bare in (None, "", ()) else Value(bare, "measured")
