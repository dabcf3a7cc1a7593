"""Which function goes to which output of a flight controller.

Outputs on one timer form a group, and a group carries one signal: one motor protocol, or servo
pulses at one rate. The search is exact: when it finds no map, there is none.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from builds.engineering.checks import OutOfRange

MOST = 16
"""Outputs and functions that the search accepts."""
MOST_DEMANDS = 6
"""Different lists of signals among the functions: more would make the proof too long."""

Demand = tuple[tuple[str, ...], int | None]


@dataclass(frozen=True)
class Function:
    """A motor or servo and the signals that it can live with, each a word, best first."""

    name: str
    signals: tuple[str, ...]


@dataclass(frozen=True)
class Output:
    """An output: its number, its timer group and the signals that it can give."""

    number: int
    group: str
    signals: frozenset[str]


@dataclass(frozen=True)
class OutputMap:
    """Output number by function name, and signal by group; groups without use are left out."""

    outputs: Mapping[str, int]
    signals: Mapping[str, str]


@dataclass(frozen=True)
class NoMap:
    """Proof that no map exists: the fewest functions that cannot be placed together.

    `fixed` names those of them whose fixed output is part of the reason.
    """

    functions: tuple[str, ...]
    fixed: tuple[str, ...]
    reason: str


def propose_map(
    *,
    functions: Sequence[Function],
    outputs: Sequence[Output],
    fixed: Mapping[str, int] | None = None,
) -> OutputMap | NoMap:
    """Map every function to an output of its own, each timer group on one signal.

    Parameters
    ----------
    functions : sequence of Function
        In the order in which low output numbers should be given.
    outputs : sequence of Output
        What the board has.
    fixed : mapping of name to output number, optional
        What the builder has already decided.

    Returns
    -------
    OutputMap or NoMap
        A map that keeps all that is fixed, or the smallest reason why there is none. Equal inputs
        give equal maps.

    Raises
    ------
    OutOfRange
        If there are more than 16 of either or more than 6 different lists of signals, a name or
        number comes twice, or something fixed is not among the functions and outputs.

    Notes
    -----
    Source: exhaustive search over the signal of each group, with functions that accept the same
    signals interchangeable; independent derivation.
    """
    pins = dict(fixed or {})
    _check(functions, outputs, pins)
    demands = {f.name: (f.signals, pins.get(f.name)) for f in functions}
    plan = _plan(demands, outputs)
    if plan is None:
        return _smallest_reason(demands, outputs)
    return OutputMap(*plan)


def map_problems(
    *, functions: Sequence[Function], outputs: Sequence[Output], placed: Mapping[str, int]
) -> tuple[str, ...]:
    """Say what is wrong with a map that somebody made.

    Parameters
    ----------
    functions : sequence of Function
        What has to be placed.
    outputs : sequence of Output
        What the board has.
    placed : mapping of name to output number
        The map.

    Returns
    -------
    tuple of str
        One sentence a fault, none for a good map.

    Raises
    ------
    OutOfRange
        As `propose_map`.

    Notes
    -----
    Source: definition of a timer group.
    """
    _check(functions, outputs, {})
    numbers = {output.number: output for output in outputs}
    problems = [f"{f.name} has no output" for f in functions if f.name not in placed]
    for number, count in sorted(Counter(placed.values()).items()):
        if number not in numbers:
            problems.append(f"output {number} does not exist")
        elif count > 1:
            problems.append(f"output {number} is given to {count} functions")
    for group in _groups(outputs):
        members = [f for f in functions if _group_of(f, placed, numbers) == group]
        if members and not _common_signals(members, placed, numbers):
            names = ", ".join(f.name for f in members)
            problems.append(f"group {group} has no signal that suits {names}")
    return tuple(problems)


def _check(
    functions: Sequence[Function], outputs: Sequence[Output], pins: Mapping[str, int]
) -> None:
    if len(functions) > MOST or len(outputs) > MOST:
        raise OutOfRange(f"at most {MOST} functions and {MOST} outputs")
    if len({function.signals for function in functions}) > MOST_DEMANDS:
        raise OutOfRange(f"at most {MOST_DEMANDS} different lists of signals")
    names = {function.name for function in functions}
    numbers = {output.number for output in outputs}
    if len(names) < len(functions):
        raise OutOfRange("two functions have one name")
    if len(numbers) < len(outputs):
        raise OutOfRange("two outputs have one number")
    for name, number in pins.items():
        if name not in names:
            raise OutOfRange(f"{name} is fixed, but is not among the functions")
        if number not in numbers:
            raise OutOfRange(f"{name} is fixed to output {number}, which does not exist")


def _groups(outputs: Sequence[Output]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(o.group for o in sorted(outputs, key=lambda o: o.number)))


def _group_of(
    function: Function, placed: Mapping[str, int], numbers: Mapping[int, Output]
) -> str | None:
    output = numbers.get(placed.get(function.name, -1))
    return output.group if output else None


def _common_signals(
    members: Sequence[Function], placed: Mapping[str, int], numbers: Mapping[int, Output]
) -> frozenset[str]:
    return frozenset.intersection(
        *(numbers[placed[f.name]].signals.intersection(f.signals) for f in members)
    )


def _plan(
    demands: Mapping[str, Demand], outputs: Sequence[Output]
) -> tuple[dict[str, int], dict[str, str]] | None:
    taken = [number for _, number in demands.values() if number is not None]
    if len(set(taken)) < len(taken):
        return None
    waiting = Counter(signals for signals, number in demands.values() if number is None)
    kinds = list(waiting)
    pinned = {number: kind for kind, number in demands.values() if number is not None}
    search = _Search(pinned, outputs, kinds)
    steps = search.run(0, tuple(waiting[kind] for kind in kinds))
    if steps is None:
        return None
    queues = {
        kind: iter([n for n, (s, pin) in demands.items() if pin is None and s == kind])
        for kind in kinds
    }
    placed = {name: number for name, (_, number) in demands.items() if number is not None}
    signals = {}
    for group, (signal, counts) in zip(search.groups, steps, strict=True):
        if signal is None:
            continue
        signals[group] = signal
        names = [
            next(queues[kind]) for kind, n in zip(kinds, counts, strict=True) for _ in range(n)
        ]
        ordered = sorted(names, key=list(demands).index)
        placed.update(zip(ordered, search.free(group, signal), strict=False))
    return {name: placed[name] for name in demands}, signals


Step = tuple[str | None, tuple[int, ...]]


class _Search:
    """Depth-first over the groups; what is left to place is a count per kind of demand."""

    def __init__(
        self,
        pinned: Mapping[int, tuple[str, ...]],
        outputs: Sequence[Output],
        kinds: list[tuple[str, ...]],
    ) -> None:
        self.kinds = kinds
        self.groups = _groups(outputs)
        self._outputs = sorted(outputs, key=lambda output: output.number)
        self._pinned = pinned
        self._wanted = list(dict.fromkeys(s for kind in (*pinned.values(), *kinds) for s in kind))
        self._dead: set[tuple[int, tuple[int, ...]]] = set()

    def free(self, group: str, signal: str) -> list[int]:
        return [
            output.number
            for output in self._outputs
            if output.group == group
            and signal in output.signals
            and output.number not in self._pinned
        ]

    def run(self, index: int, left: tuple[int, ...]) -> list[Step] | None:
        if index == len(self.groups):
            return None if any(left) else []
        if (index, left) in self._dead:
            return None
        for signal, counts in self._choices(self.groups[index], left):
            rest = tuple(have - used for have, used in zip(left, counts, strict=True))
            steps = self.run(index + 1, rest)
            if steps is not None:
                return [(signal, counts), *steps]
        self._dead.add((index, left))
        return None

    def _choices(self, group: str, left: tuple[int, ...]) -> Iterator[Step]:
        pinned = [
            output.signals.intersection(self._pinned[output.number])
            for output in self._outputs
            if output.group == group and output.number in self._pinned
        ]
        is_usable = False
        for signal in self._wanted:
            if not all(signal in signals for signals in pinned):
                continue
            limits = [n if signal in kind else 0 for n, kind in zip(left, self.kinds, strict=True)]
            # Filling a group less than it can be filled never helps the groups that follow.
            load = min(len(self.free(group, signal)), sum(limits))
            if pinned or load:
                is_usable = True
                yield from ((signal, counts) for counts in _fillings(limits, load))
        if not pinned and not is_usable:
            yield None, tuple(0 for _ in left)


def _fillings(limits: Sequence[int], load: int) -> Iterator[tuple[int, ...]]:
    if not limits:
        yield ()
        return
    least = max(0, load - sum(limits[1:]))
    for first in range(min(limits[0], load), least - 1, -1):
        for rest in _fillings(limits[1:], load - first):
            yield (first, *rest)


def _smallest_reason(demands: Mapping[str, Demand], outputs: Sequence[Output]) -> NoMap:
    kinds = list(dict.fromkeys(kind for kind, number in demands.values() if number is None))
    searches: dict[frozenset[tuple[int, tuple[str, ...]]], _Search] = {}

    def is_possible(names: Sequence[str]) -> bool:
        pins = {demands[name][1]: demands[name][0] for name in names}
        waiting = Counter(demands[name][0] for name in names if demands[name][1] is None)
        pinned = {number: kind for number, kind in pins.items() if number is not None}
        if len(pinned) + waiting.total() < len(names):
            return False
        search = searches.setdefault(frozenset(pinned.items()), _Search(pinned, outputs, kinds))
        return search.run(0, tuple(waiting[kind] for kind in kinds)) is not None

    names = next(group for group in _by_size(demands) if not is_possible(group))
    loose = {name: (demands[name][0], None) for name in names}
    is_possible_loose = _plan(loose, outputs) is not None
    fixed = tuple(n for n in names if is_possible_loose and demands[n][1] is not None)
    return NoMap(names, fixed, _sentence(names, fixed, demands))


def _by_size(demands: Mapping[str, Demand]) -> Iterator[tuple[str, ...]]:
    alike: dict[Demand, list[str]] = {}
    for name, demand in demands.items():
        alike.setdefault(demand, []).append(name)
    for counts in sorted(product(*(range(len(names) + 1) for names in alike.values())), key=sum):
        chosen = {n for names, k in zip(alike.values(), counts, strict=True) for n in names[:k]}
        yield tuple(name for name in demands if name in chosen)


def _sentence(names: Sequence[str], fixed: Sequence[str], demands: Mapping[str, Demand]) -> str:
    wishes = "; ".join(f"{name}: {' or '.join(demands[name][0])}" for name in names)
    if len(names) == 1:
        start = "No output group can carry this function"
    else:
        start = "These functions cannot be placed together, one signal to a timer group"
    if not fixed:
        return f"{start} ({wishes})."
    pins = ", ".join(f"{name} on output {demands[name][1]}" for name in fixed)
    return f"{start} ({wishes}) while fixed: {pins}."
