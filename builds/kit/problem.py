"""What a kit is chosen from, as a linear program with whole numbers. Plain Python.

Each position takes one part, each part goes once, or as often as its bag has pieces. What may not
stand together is a `Cut`, a sum that must keep its range is a `Row`, what is wanted is an `Aim`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

Pick = tuple[Hashable, Hashable]
"""A position and the part chosen for it."""
TOLERANCE = 1e-6
"""HiGHS keeps whole numbers and rows to 1e-6, its documented default."""
Weighed = Sequence[tuple["Aim", float]]
"""Aims taken together, each with its weight."""
OPTIMAL, STOPPED, IMPOSSIBLE = 0, 1, 2
"""Outcomes of scipy.optimize.milp, by its documentation."""


@dataclass(frozen=True)
class Cut:
    """Of each side one pick, all together: that may not be, and `rule` and `message` say why.

    At most one pick of a side can be chosen: they are of one position, or of one part.
    """

    sides: tuple[frozenset[Pick], ...]
    rule: str = ""
    message: str = ""

    def forbids(self, picks: Collection[Pick]) -> bool:
        """Do the picks hold one of each side."""
        return all(not side.isdisjoint(picks) for side in self.sides)


@dataclass(frozen=True)
class Row:
    """A weighed sum over picks that must lie from `low` to `high`, when its group is filled."""

    name: str
    coefficients: Mapping[Pick, float]
    low: float = -np.inf
    high: float = np.inf
    group: Hashable = None
    message: str = ""


@dataclass(frozen=True)
class Distance:
    """How far a weighed sum with an offset is from nothing, for one group."""

    coefficients: Mapping[Pick, float]
    offset: float
    group: Hashable = None


@dataclass(frozen=True)
class Aim:
    """What is to be least: costs of picks, distances, and how many of the named are involved."""

    name: str
    costs: Mapping[Pick, float] = field(default_factory=dict)
    distances: tuple[Distance, ...] = ()
    named: Mapping[Pick, Hashable] = field(default_factory=dict)
    filled: float = 0.0

    def value(self, picks: Collection[Pick], groups: Collection[Hashable]) -> float:
        """What a choice comes to; `groups` are those that are filled."""
        total = sum(self.costs.get(pick, 0.0) for pick in picks) + self.filled * len(groups)
        for one in self.distances:
            if one.group in groups:
                total += abs(one.offset + sum(one.coefficients.get(pick, 0.0) for pick in picks))
        return total + len({self.named[pick] for pick in picks if pick in self.named})


@dataclass(frozen=True)
class Problem:
    """Positions with their candidates, and what binds them.

    Parameters
    ----------
    candidates : parts by position.
    stock : pieces of each part that are free; a part that is not named has one.
    group_of : the group, an aircraft, of each position; without it all are of one group, None.
    may_stay_open : groups that may stay unfilled as a whole.
    """

    candidates: Mapping[Hashable, tuple[Hashable, ...]]
    stock: Mapping[Hashable, int] = field(default_factory=dict)
    cuts: tuple[Cut, ...] = ()
    rows: tuple[Row, ...] = ()
    group_of: Mapping[Hashable, Hashable] = field(default_factory=dict)
    may_stay_open: frozenset[Hashable] = frozenset()

    @property
    def positions(self) -> tuple[Hashable, ...]:
        """All positions, in order."""
        return tuple(self.candidates)

    @property
    def groups(self) -> tuple[Hashable, ...]:
        """All groups, in the order of their positions."""
        return tuple(dict.fromkeys(self.group_of.get(one) for one in self.candidates)) or (None,)

    def with_cuts(self, cuts: Iterable[Cut]) -> Problem:
        """The same with further cuts."""
        return replace(self, cuts=(*self.cuts, *cuts))

    def with_row(self, row: Row) -> Problem:
        """The same with a further row."""
        return replace(self, rows=(*self.rows, row))

    def only(self, positions: Collection[Hashable], reasons: Collection[str]) -> Problem:
        """The same asked only of some positions, and with only some rules and rows."""
        return replace(
            self,
            candidates={one: self.candidates[one] for one in self.candidates if one in positions},
            cuts=tuple(cut for cut in self.cuts if cut.rule in reasons),
            rows=tuple(
                row
                for row in self.rows
                if row.name in reasons and all(place in positions for place, _ in row.coefficients)
            ),
        )


@dataclass(frozen=True)
class Outcome:
    """What one solution of the program gave; `bound` is what no choice can go below."""

    status: int
    picks: frozenset[Pick] = frozenset()
    value: float = np.inf
    bound: float = -np.inf


def merge_pairs(pairs: Iterable[tuple[Pick, Pick]], rule: str = "") -> tuple[Cut, ...]:
    """Pairs that exclude each other, as few cuts: one pick against all it bars in one position.

    A position takes one part, so the cut of one pick and several of another position is as true
    as those of the pairs, and tighter.
    """
    barred: dict[tuple[Pick, Hashable], set[Pick]] = defaultdict(set)
    for one, other in pairs:
        if one[0] != other[0]:
            barred[one, other[0]].add(other)
    return tuple(
        Cut((frozenset({one}), frozenset(others)), rule) for (one, _), others in barred.items()
    )


def solve(
    problem: Problem,
    aims: Weighed = (),
    limits: Iterable[tuple[Weighed, float]] = (),
    time_s: float = 60.0,
) -> Outcome:
    """The choice for which the weighed sum of the aims is least.

    Parameters
    ----------
    problem : what is chosen from.
    aims : each with its weight; without any, a choice that meets the rows is enough.
    limits : aims of before, and the value that each may not exceed.
    time_s : seconds at most.

    Source: HiGHS by scipy.optimize.milp, relative gap 0.
    """
    return _Program(problem, aims, limits).run(time_s)


class _Program:
    """Columns: picks, groups filled, then for each aim its distances and the named."""

    def __init__(
        self, problem: Problem, aims: Weighed, limits: Iterable[tuple[Weighed, float]]
    ) -> None:
        self.problem, self.aims = problem, aims
        self.picks: list[Pick] = [
            (position, part) for position, parts in problem.candidates.items() for part in parts
        ]
        self.column = {pick: number for number, pick in enumerate(self.picks)}
        self.group = {one: len(self.picks) + at for at, one in enumerate(problem.groups)}
        self.width = len(self.picks) + len(self.group)
        self.cost = [0.0] * self.width
        self.is_whole = [1] * self.width
        self.lower = [0.0] * len(self.picks) + [
            0.0 if group in problem.may_stay_open else 1.0 for group in self.group
        ]
        self.upper = [1.0] * self.width
        self.entries: tuple[list[int], list[int], list[float]] = ([], [], [])
        self.low: list[float] = []
        self.high: list[float] = []
        self._state_problem()
        for column, value in self._sum_of(aims):
            self.cost[column] += value
        for earlier, value in limits:
            self._add(self._sum_of(earlier), -np.inf, value + TOLERANCE * max(1.0, abs(value)))

    def run(self, time_s: float) -> Outcome:
        if self.low and any(low > high for low, high in zip(self.low, self.high, strict=True)):
            return Outcome(IMPOSSIBLE)
        rows, columns, values = self.entries
        shape = (len(self.low), self.width)
        found = milp(
            self.cost,
            integrality=self.is_whole,
            bounds=Bounds(self.lower, self.upper),
            constraints=LinearConstraint(
                csr_array((values, (rows, columns)), shape=shape), self.low, self.high
            ),
            options={"time_limit": max(time_s, 0.01), "mip_rel_gap": 0.0},
        )
        if found.x is None:
            return Outcome(IMPOSSIBLE if found.status == IMPOSSIBLE else STOPPED)
        chosen = np.flatnonzero(found.x[: len(self.picks)] > 0.5)  # noqa: PLR2004 # a whole number
        picks = frozenset(self.picks[number] for number in chosen)
        bound = -np.inf if found.mip_dual_bound is None else float(found.mip_dual_bound)
        status = OPTIMAL if found.status == OPTIMAL else STOPPED
        return Outcome(status, picks, self._value(picks), bound)

    def _value(self, picks: frozenset[Pick]) -> float:
        """Worked out anew from the picks, for the solver's own is rounded."""
        return value_of(self.problem, self.aims, picks)

    def _new_column(self, *, upper: float, is_whole: bool) -> int:
        self.cost.append(0.0)
        self.is_whole.append(int(is_whole))
        self.lower.append(0.0)
        self.upper.append(upper)
        self.width += 1
        return self.width - 1

    def _add(self, terms: Iterable[tuple[int, float]], low: float, high: float) -> None:
        """A row; terms of one column are added up, for a doubled entry has once hidden a kit."""
        summed: dict[int, float] = defaultdict(float)
        for column, value in terms:
            summed[column] += value
        number = len(self.low)
        for column, value in summed.items():
            self.entries[0].append(number)
            self.entries[1].append(column)
            self.entries[2].append(value)
        self.low.append(low)
        self.high.append(high)

    def _terms(self, coefficients: Mapping[Pick, float]) -> list[tuple[int, float]]:
        return [
            (self.column[pick], value)
            for pick, value in coefficients.items()
            if pick in self.column
        ]

    def _state_problem(self) -> None:
        problem = self.problem
        for position, parts in problem.candidates.items():
            filled = self.group[problem.group_of.get(position)]
            picks = [(self.column[position, part], 1.0) for part in parts]
            self._add([*picks, (filled, -1.0)], 0.0, 0.0)
        uses: dict[Hashable, list[tuple[int, float]]] = defaultdict(list)
        for pick, column in self.column.items():
            uses[pick[1]].append((column, 1.0))
        for part, terms in uses.items():
            if len(terms) > problem.stock.get(part, 1):
                self._add(terms, -np.inf, problem.stock.get(part, 1))
        for cut in problem.cuts:
            self._state_cut(cut)
        for row in problem.rows:
            self._state_row(row)

    def _state_cut(self, cut: Cut) -> None:
        sides = [[self.column[pick] for pick in side if pick in self.column] for side in cut.sides]
        if not sides or not all(sides):
            return
        terms = [(column, 1.0) for side in sides for column in side]
        self._add(terms, -np.inf, len(sides) - 1.0)

    def _state_row(self, row: Row) -> None:
        filled = self.group.get(row.group)
        if filled is None:
            return
        terms = self._terms(row.coefficients)
        if np.isfinite(row.low):
            self._add([*terms, (filled, -row.low)], 0.0, np.inf)
        if np.isfinite(row.high):
            self._add([*terms, (filled, -row.high)], -np.inf, 0.0)

    def _sum_of(self, aims: Weighed) -> list[tuple[int, float]]:
        """The weighed sum of aims in terms of columns; what is least needs new ones."""
        return [
            (column, weight * value) for aim, weight in aims for column, value in self._aim(aim)
        ]

    def _aim(self, aim: Aim) -> list[tuple[int, float]]:
        terms = self._terms(aim.costs)
        terms += [(column, aim.filled) for column in self.group.values()]
        terms += [(self._distance(one), 1.0) for one in aim.distances if one.group in self.group]
        users: dict[Hashable, list[int]] = defaultdict(list)
        for pick, name in aim.named.items():
            if pick in self.column:
                users[name].append(self.column[pick])
        for columns in users.values():
            is_named = self._new_column(upper=1.0, is_whole=True)
            terms.append((is_named, 1.0))
            for column in columns:
                self._add([(is_named, 1.0), (column, -1.0)], 0.0, np.inf)
        return terms

    def _distance(self, one: Distance) -> int:
        away = self._new_column(upper=np.inf, is_whole=False)
        terms = [*self._terms(one.coefficients), (self.group[one.group], one.offset)]
        self._add([*terms, (away, -1.0)], -np.inf, 0.0)
        self._add([*terms, (away, 1.0)], 0.0, np.inf)
        return away


def value_of(problem: Problem, aims: Weighed, picks: frozenset[Pick]) -> float:
    """The weighed sum of the aims for a choice."""
    groups = filled_groups(problem, picks)
    return sum(weight * aim.value(picks, groups) for aim, weight in aims)


def filled_groups(problem: Problem, picks: Iterable[Pick]) -> frozenset[Hashable]:
    """The groups whose positions hold the picks, and those that have none to fill."""
    filled = {problem.group_of.get(position) for position, _ in picks}
    return frozenset(filled | (set(problem.groups) - problem.may_stay_open))
