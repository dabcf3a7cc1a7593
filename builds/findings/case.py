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

OF_POSITION = "position."
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
    reads: list[Given | tuple[Owner, str, Value]] = field(default_factory=list)

    def look(self, *wanted: tuple[Owner, str]) -> tuple[tuple[Any, ...], tuple[str, ...]]:
        """Bare values of the figures asked for, None where nobody gave one, and what is missing.

        A part is asked by its position or itself; `position.` before a name asks the position.
        """
        found = [self._read(owner, name) for owner, name in wanted]
        values = tuple(None if value is None else value.value for value in found)
        if all(value is not None for value in found):
            return values, ()
        gaps = zip(wanted, found, strict=True)
        return values, tuple(self._words(*asked) for asked, value in gaps if value is None)

    def ask(self, owner: Owner, name: str) -> Any:
        """The bare value of one figure, None when nobody gave it."""
        value = self._read(owner, name)
        return None if value is None else value.value

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
        self.reads.append(Given(words_of(name), figure.value, "computed", name=name))
        self.guesses += [given.name for given in figure.inputs if given.source in GUESSES]
        return figure

    def limit(self, name: str) -> float:
        """A threshold of this rule: the club's, or else the one of common practice."""
        limit = self.rule.limit_of(name)
        own = self.build.rule_limits.get(f"{self.rule.id}.{name}")
        value = own or Value(limit.value, "default")
        what = f"limit: {limit.meaning}"
        self.reads.append(_given(what, value, name))
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
            inputs=self._inputs(),
            is_final=self.rule.is_final and level == Level.WARNING,
        )

    def _inputs(self) -> tuple[Given, ...]:
        """All that was read so far, each once, in the order of reading."""
        named = (self._named(read) for read in self.reads)
        return tuple({given.what: given for given in named}.values())

    def _named(self, read: Given | tuple[Owner, str, Value]) -> Given:
        """What was read, in words: found only now, for most cases find nothing to say."""
        if isinstance(read, Given):
            return read
        owner, name, value = read
        return _given(self._words(owner, name), value, name.removeprefix(OF_POSITION))

    def _read(self, owner: Owner, name: str) -> Value | None:
        """The value of that name; what was read is remembered, and whether it was a guess."""
        value = self._look_up(owner, name)
        if value is None:
            return None
        self.has_read = True
        self.reads.append((owner, name, value))
        if value.is_guess:
            self.guesses.append(self._words(owner, name))
        return value

    def _look_up(self, owner: Owner, name: str) -> Value | None:
        check = self.rule.check_declared
        if isinstance(owner, PositionRecord):
            if name.startswith(OF_POSITION):
                column = name.removeprefix(OF_POSITION)
                check("position", column)
                return _as_value(getattr(owner, column))
            part = owner.part
            check(part.kind if part else owner.kind, name)
            return part.known(name) if part else None
        if isinstance(owner, PartRecord):
            check(owner.kind, name)
            return owner.known(name)
        check("build", name)
        return _as_value(getattr(owner, name))

    def _words(self, owner: Owner, name: str) -> str:
        """How a message names a value."""
        if isinstance(owner, BuildSnapshot):
            return f"this build: {words_of(name)}"
        if isinstance(owner, PartRecord):
            return f"{owner.name}: {words_of(name)}"
        if name.startswith(OF_POSITION):
            return f"the place “{owner.name}”: {words_of(name.removeprefix(OF_POSITION))}"
        return f"{owner.title}: {words_of(name)}"


def _given(what: str, value: Value, name: str) -> Given:
    return Given(what, value.value, value.source, value.at, value.by, name)


def _as_value(bare: Any) -> Value | None:
    return None if bare is None or bare in ("", ()) else Value(bare, "build")
