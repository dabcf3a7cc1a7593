"""The registry of all rules, and how a build is judged by them. Plain Python."""

from __future__ import annotations

import inspect
import logging
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from builds.findings.case import Case, MissingValue
from builds.findings.results import Finding, Judgement, NotJudged
from builds.records import BuildSnapshot

ANY = "any"
"""Stands for every kind of part among the subjects of a rule."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Need:
    """One figure a rule asks for: of which kind of part, or of the build itself."""

    kind: str
    name: str

    def __str__(self) -> str:
        return f"{self.kind}.{self.name}"


@dataclass(frozen=True)
class Limit:
    """A threshold of common practice, which a club may set otherwise.

    The name carries the unit; `minimum` and `maximum` bound what a club may set.
    """

    name: str
    value: float
    meaning: str
    minimum: float = 0.0
    maximum: float = 1e6


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
    limits: tuple[Limit, ...] = ()
    is_final: bool = False

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

    def limit_of(self, name: str) -> Limit:
        """The limit of that name; LookupError when the rule declares none."""
        for limit in self.limits:
            if limit.name == name:
                return limit
        raise LookupError(f"{self.id} does not declare the limit {name}")

    def check_declared(self, kind: str, name: str) -> None:
        """Refuse a figure that the rule did not declare: the book would be untrue."""
        if name not in self.names_of(kind):
            raise LookupError(f"{self.id} does not declare {kind}.{name}")


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
        self,
        *,
        group: str,
        source: str,
        needs: Iterable[str] = (),
        each: str | Iterable[str] = (),
        limits: Iterable[Limit] = (),
        is_final: bool = False,
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
        limits : thresholds of common practice that a club may set otherwise.
        is_final : its warnings cannot be answered by a reason.
        """

        def register(function: RuleFunction) -> RuleFunction:
            kinds = (each,) if isinstance(each, str) else tuple(each)
            wanted = tuple(Need(*need.split(".", 1)) for need in needs)
            new = Rule(group, kinds, wanted, source, function, tuple(limits), is_final)
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
