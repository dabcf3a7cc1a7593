"""What a rule says, and the registry of all rules. Plain Python."""

from __future__ import annotations

import inspect
import logging
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any, Protocol

from builds.records import BuildSnapshot, PartRecord, PositionRecord, Value

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


class MissingValue(Exception):
    """A rule asked for figures that nobody has given."""

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

    def need(self, *wanted: tuple[PositionRecord | PartRecord | None, str]) -> tuple[Any, ...]:
        """Bare values of the figures asked for.

        Raises
        ------
        MissingValue
            If one or more of them are not known; all of them are named.
        """
        found = [self._look_up(owner, name) for owner, name in wanted]
        missing = [what for what, value in found if value is None]
        if missing:
            raise MissingValue(missing)
        for what, value in found:
            if value is not None and value.is_guess:
                self.guesses.append(what)
        return tuple(value.value for _, value in found if value is not None)

    def need_figure(self, name: str) -> Any:
        """A calculated figure; raises MissingValue with what it lacks."""
        figure = self.figures[name]
        if not figure.is_known:
            raise MissingValue(figure.missing)
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

    def _look_up(
        self, owner: PositionRecord | PartRecord | None, name: str
    ) -> tuple[str, Value | None]:
        if owner is None:
            return name, None
        if isinstance(owner, PartRecord):
            self.rule.check_declared(owner.kind, name)
            return f"{owner.name}: {name}", owner.known(name)
        if owner.part is not None and name in self.rule.names_of(owner.part.kind):
            return f"{owner.title}: {name}", owner.part.known(name)
        self.rule.check_declared("position", name)
        bare = getattr(owner, name)
        known = bare not in (None, "", ())
        return f"{owner.name}: {name}", Value(bare, "measured") if known else None


class RuleFunction(Protocol):
    """What a rule is: a function from a case to the findings about its subject."""

    __name__: str

    def __call__(self, case: Case) -> Iterable[Finding]: ...


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
        """Names of the figures it may ask of a kind."""
        return tuple(need.name for need in self.needs if need.kind == kind)

    def check_declared(self, kind: str, name: str) -> None:
        """Refuse a figure that the rule did not declare: the book would be untrue."""
        if name not in self.names_of(kind):
            raise LookupError(f"{self.id} does not declare {kind}.{name}")


@dataclass(frozen=True)
class Judgement:
    """All that the rule book says of one build."""

    findings: tuple[Finding, ...]
    not_judged: tuple[NotJudged, ...]
    judged: int

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
        needs : figures it asks for, as `kind.column`; `position.column` and `build.column` too.
        each : kinds whose fitted parts are its subjects, one case each; none: the build, once.
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
        judged = 0
        for rule in rules:
            for case in _cases(rule, build, figures):
                found, gap = _judge_case(case)
                findings.extend(found)
                if gap is not None:
                    not_judged.append(gap)
                else:
                    judged += 1
        findings.sort(key=lambda finding: (-finding.level, finding.rule, finding.position))
        return Judgement(tuple(findings), tuple(not_judged), judged)


def _cases(rule: Rule, build: BuildSnapshot, figures: Any) -> Iterator[Case]:
    if not rule.each:
        yield Case(rule, build, None, figures)
        return
    for position in build.fitted(*rule.each):
        yield Case(rule, build, position, figures)


def _judge_case(case: Case) -> tuple[tuple[Finding, ...], NotJudged | None]:
    position = case.subject.key if case.subject else ""
    try:
        found = tuple(case.rule.function(case))
    except MissingValue as error:
        remedy = "Find out: " + "; ".join(error.missing) + "."
        return (), NotJudged(case.rule.id, error.missing, remedy, position)
    except Exception:
        _log.exception("The rule %s failed", case.rule.id)
        return (), NotJudged(
            case.rule.id, (), "This check could not be made. Please report it.", position
        )
    if not found and case.guesses:
        remedy = "Measure what is only guessed: " + "; ".join(case.guesses) + "."
        return (), NotJudged(case.rule.id, tuple(case.guesses), remedy, position)
    return found, None


book = RuleBook()
