"""Searches the best kit that stands before a judge. Plain Python.

The program knows only what is linear. Each choice it offers is judged, what speaks against it is
cut off, and it is asked again, until a choice stands or none is left. Each cut holds for every
choice, so the first choice that stands is the best, and a program without a choice is a proof.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field

from builds.kit.problem import (
    IMPOSSIBLE,
    OPTIMAL,
    Cut,
    Pick,
    Problem,
    Row,
    Weighed,
    solve,
    value_of,
)

CORE_S = 10.0
"""Seconds spent at most on making a clash small."""
Judge = Callable[[frozenset[Pick]], Sequence[Cut | Row]]
"""What speaks against a choice; nothing when it stands."""
Going = Callable[[int, int], bool]
"""Told the rounds and cuts so far; says whether to go on."""


def to_the_end(_rounds: int, _cuts: int) -> bool:
    """Nobody stops the search."""
    return True


@dataclass(frozen=True)
class Clash:
    """Positions and reasons that cannot be met together; without any one of them they could."""

    positions: tuple[Hashable, ...]
    reasons: tuple[tuple[str, str], ...] = ()
    is_smallest: bool = True


@dataclass(frozen=True)
class Answer:
    """The best kit, or why there is none.

    `state` is `optimal`, `best_so_far`, `impossible` or `not_found` (out of time). `gap` is how
    much better than `picks` another kit may still be, in the unit of the first aim not proved.
    `is_all`: with the alternatives these are all kits there are.
    """

    state: str
    picks: frozenset[Pick] = frozenset()
    alternatives: tuple[frozenset[Pick], ...] = ()
    is_all: bool = False
    gap: float | None = None
    clash: Clash | None = None
    rounds: int = 0
    cuts: int = 0


@dataclass
class _Search:
    problem: Problem
    judge: Judge
    deadline: float
    goes_on: Going
    rounds: int = 0
    bound: float = field(default=float("-inf"))

    def best(self, stages: Sequence[Weighed]) -> tuple[str, frozenset[Pick], float | None]:
        """State, choice and gap; aims of a later stage only choose among equals of the earlier."""
        state, picks = self._stage((), ())
        if state != "optimal":
            return state, picks, None
        limits: list[tuple[Weighed, float]] = []
        for stage in stages:
            state, found = self._stage(stage, limits)
            if state != "optimal":
                better = found or picks
                return "best_so_far", better, value_of(self.problem, stage, better) - self.bound
            picks = found
            limits.append((stage, value_of(self.problem, stage, picks)))
        return "optimal", picks, 0.0

    def _stage(
        self, aims: Weighed, limits: Sequence[tuple[Weighed, float]]
    ) -> tuple[str, frozenset[Pick]]:
        self.bound = float("-inf")
        while self._has_time():
            self.rounds += 1
            outcome = solve(self.problem, aims, limits, self.deadline - time.monotonic())
            if outcome.status == IMPOSSIBLE:
                return "impossible", frozenset()
            self.bound = max(self.bound, outcome.bound)
            if not outcome.picks and outcome.status != OPTIMAL:
                break
            against = self.judge(outcome.picks)
            if not against:
                is_best = outcome.status == OPTIMAL
                return "optimal" if is_best else "not_found", outcome.picks
            self._learn(outcome.picks, against)
        return "not_found", frozenset()

    def _has_time(self) -> bool:
        return time.monotonic() < self.deadline and self.goes_on(
            self.rounds, len(self.problem.cuts)
        )

    def _learn(self, picks: frozenset[Pick], against: Sequence[Cut | Row]) -> None:
        for one in against:
            if isinstance(one, Row):
                self.problem = self.problem.with_row(one)
        cuts = [one for one in against if isinstance(one, Cut)]
        self.problem = self.problem.with_cuts(cuts)
        if len(cuts) == len(against) and not any(cut.forbids(picks) for cut in cuts):
            sides = tuple(frozenset({pick}) for pick in picks)
            self.problem = self.problem.with_cuts([Cut(sides, cuts[0].rule, cuts[0].message)])


def find_kit(
    problem: Problem,
    stages: Sequence[Weighed],
    judge: Judge,
    *,
    time_s: float = 20.0,
    alternatives: int = 3,
    goes_on: Going = to_the_end,
) -> Answer:
    """The best choice that the judge lets stand, and the next best that differ in a part.

    Parameters
    ----------
    problem : what is chosen from.
    stages : aims in order; a stage of several is weighed.
    judge : gives cuts that hold for every choice, one of them against the choice at hand.
    time_s : seconds at most.
    alternatives : how many further kits are looked for.
    goes_on : asked between two rounds, so that the search can be told of and stopped.
    """
    search = _Search(problem, judge, time.monotonic() + time_s, goes_on)
    empty = [one for one, parts in problem.candidates.items() if not parts]
    if empty and not problem.may_stay_open:
        return Answer("impossible", clash=Clash(tuple(empty[:1])))
    state, picks, gap = search.best(stages)
    if state == "impossible":
        clash = smallest_clash(search.problem)
        return Answer(
            state, is_all=True, clash=clash, rounds=search.rounds, cuts=len(search.problem.cuts)
        )
    learned = len(search.problem.cuts)
    others: list[frozenset[Pick]] = []
    is_all = False
    chosen = picks
    while state == "optimal" and len(others) <= alternatives:
        search.problem = search.problem.with_cuts([_same_parts(search.problem, chosen)])
        also, chosen, _ = search.best(stages)
        is_all = also == "impossible"
        if also != "optimal":
            break
        others.append(chosen)
    found = tuple(others[:alternatives])
    return Answer(state, picks, found, is_all, gap, None, search.rounds, learned)


def _same_parts(problem: Problem, picks: frozenset[Pick]) -> Cut:
    """Against the same parts again, in whatever positions; pieces of a bag count one by one."""
    parts = {part for _, part in picks if problem.stock.get(part, 1) == 1}
    sides = [
        frozenset((position, part) for position, held in problem.candidates.items() if part in held)
        for part in parts
    ]
    sides += [frozenset({pick}) for pick in picks if pick[1] not in parts]
    return Cut(tuple(sides), "same_parts")


def smallest_clash(problem: Problem) -> Clash:
    """Of a problem without a choice: positions and reasons none of which can be left out.

    Source: deletion filter, J. W. Chinneck, "Feasibility and Infeasibility in Optimization"
    (Springer 2008), section 6.2; from memory, not verified.
    """
    deadline = time.monotonic() + CORE_S
    positions = list(problem.positions)
    messages = {row.name: row.message for row in problem.rows}
    messages |= {cut.rule: cut.message for cut in reversed(problem.cuts)}
    reasons = list(messages)

    def clashes(some: Sequence[Hashable], why: Sequence[str]) -> bool:
        left_s = deadline - time.monotonic()
        return left_s > 0 and solve(problem.only(some, why), time_s=left_s).status == IMPOSSIBLE

    for one in tuple(positions):
        fewer = [other for other in positions if other != one]
        if clashes(fewer, reasons):
            positions = fewer
    for reason in tuple(reasons):
        fewer_reasons = [other for other in reasons if other != reason]
        if clashes(positions, fewer_reasons):
            reasons = fewer_reasons
    left = problem.only(positions, reasons)
    told = {cut.rule: cut.message for cut in reversed(left.cuts)} | {
        row.name: row.message for row in left.rows
    }
    return Clash(
        tuple(positions),
        tuple((reason, told.get(reason, messages[reason])) for reason in reasons),
        time.monotonic() < deadline,
    )
