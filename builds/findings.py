"""What a rule says, and the registry of all rules. Plain Python."""

from __future__ import annotations

import inspect
import logging
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from enum import IntEnum
from functools import lru_cache
from typing import Any, Protocol

from builds.records import GUESSES, BuildSnapshot, PartRecord, PositionRecord, Value
from hangar.units import unit_label, unit_of

ANY = "any"
"""Stands for every kind of part among the subjects of a rule."""

GROUND_WORDS = {
    "transmitter": "radio transmitter",
    "video_receiver": "video receiver",
    "charger": "charger",
}
WORDS = {
    "burst_c_rate": "burst rating (C)",
    "cell_resistance_mohm": "resistance of each cell (mΩ)",
    "continuous_c_rate": "continuous rating (C)",
    "kv_rpm_v": "speed constant (rpm/V)",
    "packs_wiring": "how the packs are joined",
    "plug_a": "plug a",
    "rail_5v_a": "5 V rail (A)",
    "rail_9v_a": "9 V rail (A)",
    "speed_s_60deg": "seconds for 60 degrees",
}

_log = logging.getLogger(__name__)


class Level(IntEnum):
    """How grave a finding is: the three levels of technical manuals."""

    NOTE = 1
    CAUTION = 2
    WARNING = 3

    @property
    def label(self) -> str:
        """The word shown beside it."""
        return self.name.lower()


@dataclass(frozen=True)
class Finding:
    """A fault found, with the numbers compared and what to do about it."""

    rule: str
    level: Level
    message: str
    remedy: str
    numbers: tuple[tuple[str, Any], ...] = ()
    position: str = ""
    source: str = ""


@dataclass(frozen=True)
class NotJudged:
    """A check that could not be made, and the figure that would settle it."""

    rule: str
    missing: tuple[str, ...]
    remedy: str
    position: str = ""


@dataclass(frozen=True)
class Need:
    """One figure a rule asks for: of which kind of part, or of the build itself."""

    kind: str
    name: str

    def __str__(self) -> str:
        return f"{self.kind}.{self.name}"


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

    def look(self, *wanted: tuple[Owner, str]) -> tuple[tuple[Any, ...], tuple[str, ...]]:
        """Bare values of the figures asked for, None where nobody gave one, and what is missing.

        A part is asked by its position or itself; `position.` before a name asks the position.
        """
        found = [self._look_up(owner, name) for owner, name in wanted]
        self.guesses += [what for what, value in found if value is not None and value.is_guess]
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
        self.guesses += [given.name for given in figure.inputs if given.source in GUESSES]
        return figure

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


@lru_cache(maxsize=1024)
def words_of(column: str) -> str:
    """The name of a column in words, its unit in brackets."""
    if column in WORDS:
        return WORDS[column]
    unit = unit_of(column)
    if unit is None or not unit_label(unit):
        return column.replace("_", " ")
    return f"{column.removesuffix(f'_{unit}').replace('_', ' ')} ({unit_label(unit)})"


def _as_value(bare: Any) -> Value | None:
    return None if bare in (None, "", ()) else Value(bare, "measured")


class RuleFunction(Protocol):
    """What a rule is: a function from a case to the findings about its subject."""

    __name__: str

    def __call__(self, case: Case) -> Iterable[Finding]:
        """The findings about the case's subject."""
        ...


@dataclass(frozen=True)
class Rule:
    """A rule of the book: what it asks, what it needs, and where it comes from."""

    group: str
    each: tuple[str, ...]
    needs: tuple[Need, ...]
    source: str
    function: RuleFunction

    @property
    def id(self) -> str:
        """The stable name: group and fault."""
        return f"{self.group}.{self.function.__name__}"

    @property
    def question(self) -> str:
        """The question it answers: the first line of its docstring."""
        return (inspect.getdoc(self.function) or "").split("\n", 1)[0]

    def names_of(self, kind: str) -> tuple[str, ...]:
        """Names of the figures it may ask of a kind; `part.` stands for every kind."""
        return tuple(need.name for need in self.needs if need.kind in (kind, "part"))

    def check_declared(self, kind: str, name: str) -> None:
        """Refuse a figure that the rule did not declare: the book would be untrue."""
        if name not in self.names_of(kind):
            raise LookupError(f"{self.id} does not declare {kind}.{name}")


@dataclass(frozen=True)
class Judgement:
    """All that the rule book says of one build.

    `judged` counts the checks made, `not_applicable` those that have nothing to look at.
    """

    findings: tuple[Finding, ...]
    not_judged: tuple[NotJudged, ...]
    judged: int
    not_applicable: int = 0

    @property
    def worst(self) -> Level | None:
        """The gravest level found."""
        return max((finding.level for finding in self.findings), default=None)

    def of(self, level: Level) -> tuple[Finding, ...]:
        """Findings of one level."""
        return tuple(finding for finding in self.findings if finding.level == level)


class RuleBook:
    """Rules by id, in the order they were registered."""

    def __init__(self) -> None:
        self._rules: dict[str, Rule] = {}

    def __iter__(self) -> Iterator[Rule]:
        return iter(self._rules.values())

    def __len__(self) -> int:
        return len(self._rules)

    def __getitem__(self, rule_id: str) -> Rule:
        return self._rules[rule_id]

    def rule(
        self, *, group: str, source: str, needs: Iterable[str] = (), each: str | Iterable[str] = ()
    ) -> Callable[[RuleFunction], RuleFunction]:
        """Register a rule.

        Parameters
        ----------
        group : file it belongs to; with the function's name it makes the stable id.
        source : standard, physics, maker's sheet, or "common practice, no source".
        needs : figures it asks for, as `kind.column`; `part.column` for any kind,
            `position.column`, `build.column` and `figure.name` too.
        each : kinds whose fitted parts are its subjects, one case each, or `ANY`; none: the
            build, once.
        """

        def register(function: RuleFunction) -> RuleFunction:
            kinds = (each,) if isinstance(each, str) else tuple(each)
            wanted = tuple(Need(*need.split(".", 1)) for need in needs)
            new = Rule(group, kinds, wanted, source, function)
            if new.id in self._rules:
                raise ValueError(f"There are two rules called {new.id}.")
            self._rules[new.id] = new
            return function

        return register

    def judge(
        self, build: BuildSnapshot, figures: Any, only: Iterable[str] | None = None
    ) -> Judgement:
        """Judge a build by all rules, or by those named; never raises."""
        rules = list(self) if only is None else [self[rule_id] for rule_id in only]
        findings: list[Finding] = []
        not_judged: list[NotJudged] = []
        judged = not_applicable = 0
        for rule in rules:
            cases = list(_cases(rule, build, figures))
            not_applicable += not cases
            for case in cases:
                found, gap = _judge_case(case)
                findings.extend(found)
                if gap is not None:
                    not_judged.append(gap)
                elif found or _applies(case):
                    judged += 1
                else:
                    not_applicable += 1
        findings.sort(key=lambda finding: (-finding.level, finding.rule, finding.position))
        return Judgement(tuple(findings), tuple(not_judged), judged, not_applicable)


def _cases(rule: Rule, build: BuildSnapshot, figures: Any) -> Iterator[Case]:
    if not rule.each:
        yield Case(rule, build, None, figures)
        return
    kinds = () if rule.each == (ANY,) else rule.each
    for position in build.fitted(*kinds):
        yield Case(rule, build, position, figures)


def _applies(case: Case) -> bool:
    """A rule that stopped before it read any figure had nothing to look at."""
    return case.has_read or not case.rule.needs


def _judge_case(case: Case) -> tuple[list[Finding], NotJudged | None]:
    """What the rule found before it missed a figure stands: a gap never hides a fault."""
    found: list[Finding] = []
    try:
        for finding in case.rule.function(case):
            found.append(finding)
    except MissingValue as error:
        case.has_read = case.has_read and bool(error.missing)
        return found, _gap(case, "Find out", error.missing) if error.missing else None
    except Exception:
        _log.exception("The rule %s failed", case.rule.id)
        return found, _gap(case, "This check could not be made. Please report it.")
    if not found and case.guesses:
        return found, _gap(case, "Measure what is only guessed", case.guesses)
    return found, None


def _gap(case: Case, remedy: str, missing: Iterable[str] = ()) -> NotJudged:
    missing = tuple(dict.fromkeys(missing))
    sentence = f"{remedy}: {'; '.join(missing)}." if missing else remedy
    position = case.subject.key if case.subject else ""
    return NotJudged(case.rule.id, missing, sentence, position)


book = RuleBook()
