"""The registry of all rules, and how a build is judged by them. Plain Python."""

from __future__ import annotations

import inspect
import logging
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol

from builds.findings.case import Case, MissingValue
from builds.findings.changes import Changes, changes_between
from builds.findings.results import Finding, Judgement, NotJudged, Outcome, Trace
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
    sees: tuple[str, ...] = ()

    @cached_property
    def id(self) -> str:
        """The stable name: group and fault."""
        return f"{self.group}.{self.function.__name__}"

    @cached_property
    def question(self) -> str:
        """The question it answers: the first line of its docstring."""
        return (inspect.getdoc(self.function) or "").split("\n", 1)[0]

    @cached_property
    def names(self) -> Mapping[str, frozenset[str]]:
        """Names of the figures it may ask of each kind; `part` stands for every kind."""
        kinds = {need.kind for need in self.needs}
        return {
            kind: frozenset(need.name for need in self.needs if need.kind == kind) for kind in kinds
        }

    @cached_property
    def kinds(self) -> frozenset[str]:
        """Kinds of parts that it looks at, as its subjects, for a figure or as such."""
        return frozenset((*self.each, *self.names, *self.sees))

    @property
    def looks_at_all(self) -> bool:
        """May it look at every part; one that declares no figure may look at everything."""
        return not self.needs or ANY in self.kinds or "part" in self.kinds

    def may_ask(self, kind: str, name: str) -> bool:
        """Does it declare that figure of that kind."""
        return name in self._asked.get(kind, self._of_any_part)

    @cached_property
    def _of_any_part(self) -> frozenset[str]:
        return self.names.get("part", frozenset())

    @cached_property
    def _asked(self) -> Mapping[str, frozenset[str]]:
        return {kind: names | self._of_any_part for kind, names in self.names.items()}

    def limit_of(self, name: str) -> Limit:
        """The limit of that name; LookupError when the rule declares none."""
        for limit in self.limits:
            if limit.name == name:
                return limit
        raise LookupError(f"{self.id} does not declare the limit {name}")

    def check_declared(self, kind: str, name: str) -> None:
        """Refuse a figure that the rule did not declare: the book would be untrue."""
        if not self.may_ask(kind, name):
            raise LookupError(f"{self.id} does not declare {kind}.{name}")


class RuleBook:
    """Rules by id, in the order they were registered."""

    def __init__(self) -> None:
        self._rules: dict[str, Rule] = {}

    def __iter__(self) -> Iterator[Rule]:
        return iter(self._rules.values())

    def __len__(self) -> int:
        return len(self._rules)

    def __contains__(self, rule_id: object) -> bool:
        return rule_id in self._rules

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
        sees: str | Iterable[str] = (),
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
        sees : kinds of which it asks no figure, only which part is fitted or how it is.
        """

        def register(function: RuleFunction) -> RuleFunction:
            kinds, seen = (
                (named,) if isinstance(named, str) else tuple(named) for named in (each, sees)
            )
            wanted = tuple(Need(*need.split(".", 1)) for need in needs)
            new = Rule(group, kinds, wanted, source, function, tuple(limits), is_final, seen)
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
        return _judgement(
            Trace(build, figures, {rule.id: _outcome(rule, build, figures) for rule in rules})
        )

    def judge_again(self, before: Judgement, build: BuildSnapshot, figures: Any) -> Judgement:
        """Judge a changed build: only the rules that the change can reach, by what they declare.

        Parameters
        ----------
        before : of the build as it was, by `judge` or by this; it says which rules are asked.
        build : the build as it is, or would be.
        figures : of the build as it is.

        Returns
        -------
        what `judge` says of the build as it is.
        """
        trace = before.trace
        if trace is None:
            return self.judge(build, figures)
        changes = changes_between(trace.build, build)
        outcomes = {
            rule_id: _outcome(self[rule_id], build, figures)
            if self._is_reached(self[rule_id], changes, trace.figures, figures)
            else outcome
            for rule_id, outcome in trace.outcomes.items()
        }
        return _judgement(Trace(build, figures, outcomes))

    def _is_reached(self, rule: Rule, changes: Changes, before: Any, after: Any) -> bool:
        return (
            changes.is_of_shape
            or any(name not in self._build_columns for name in changes.of_build)
            or _reaches(rule, changes)
            or any(_differs(name, before, after) for name in rule.names.get("figure", ()))
        )

    @property
    def _build_columns(self) -> frozenset[str]:
        """Columns of the build that rules declare; any rule may read the others."""
        return frozenset(name for rule in self for name in rule.names.get("build", ()))


def _differs(name: str, before: Any, after: Any) -> bool:
    try:
        was, now = before[name], after[name]
    except Exception:
        # A figure that fails is told of by the rule that asks for it.
        return True
    return was is not now and bool(was != now)


def _reaches(rule: Rule, changes: Changes) -> bool:
    """Can the rule see a change of parts, places, the build's columns or its own limits."""
    if changes.is_empty:
        return False
    if any(name.rpartition(".")[0] == rule.id for name in changes.limits):
        return True
    if rule.looks_at_all and (changes.kinds or not rule.needs):
        return True
    if not changes.kinds.isdisjoint(rule.kinds):
        return True
    return any(rule.may_ask(kind, name) for kind, name in changes.columns)


def _judgement(trace: Trace) -> Judgement:
    outcomes = trace.outcomes.values()
    findings = [finding for outcome in outcomes for finding in outcome.findings]
    findings.sort(key=lambda finding: (-finding.level, finding.rule, finding.position))
    return Judgement(
        findings=tuple(findings),
        not_judged=tuple(gap for outcome in outcomes for gap in outcome.not_judged),
        judged=sum(outcome.judged for outcome in outcomes),
        not_applicable=sum(outcome.not_applicable for outcome in outcomes),
        trace=trace,
    )


def _outcome(rule: Rule, build: BuildSnapshot, figures: Any) -> Outcome:
    findings: list[Finding] = []
    not_judged: list[NotJudged] = []
    judged = not_applicable = 0
    cases = list(_cases(rule, build, figures))
    for case in cases:
        found, gap = _judge_case(case)
        findings.extend(found)
        if gap is not None:
            not_judged.append(gap)
        elif found or _applies(case):
            judged += 1
        else:
            not_applicable += 1
    return Outcome(tuple(findings), tuple(not_judged), judged, not_applicable + (not cases))


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
