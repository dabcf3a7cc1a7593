"""What the rule book says of a chosen kit, as cuts that hold for every choice. Plain Python.

A warning rests on what its rule read: every choice that gives the same to read brings the same
warning. So the cut spares what was not read, and holds for all parts that read alike.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import builds.rules  # noqa: F401 - registers the rules
from builds.figures import figures_of
from builds.findings import Case, Finding, Level, MissingValue, book
from builds.kit.problem import Cut, Pick, Row
from builds.records import BuildSnapshot, PartRecord, Value

BARRING_CAUTIONS = (
    "ageing.log_contradicts_itself",
    "controls.servos_of_pair_differ",
    "fit.part_larger_than_room",
    "weight.pack_place_outside_tray",
)
"""Rules whose cautions bar a part from a kit as a warning does.

It does not go into its room or with its pair, the balance wanted puts the pack outside its tray, or
its log cannot be believed. Whoever accepts that fits the part by hand. Common practice, no source.
"""
TRIED = 40
"""Choices tried at most to find that a position does not matter to a warning."""
UNREAD = ("kind", "name")
"""What is the same for all candidates of a position, or only makes the words of a message."""
PLAIN = tuple(
    one.name for one in fields(PartRecord) if one.name not in (*UNREAD, "values", "rated")
)
ALL = "*"
VIDEO_RECEIVER = "video_receiver"
RATED = "rated "
Reads = Mapping[int, frozenset[str]]
"""What was read, by position: names of values, or `ALL`."""


class _WatchedValues(Mapping[str, Value]):
    """Values that note what is asked of them."""

    def __init__(
        self, values: Mapping[str, Value], place: int, log: set[tuple[int, str]], prefix: str = ""
    ) -> None:
        self._values, self._place, self._log, self._prefix = values, place, log, prefix

    def note(self, name: str) -> None:
        self._log.add((self._place, f"{self._prefix}{name}"))

    def __getitem__(self, name: str) -> Value:
        self.note(name)
        return self._values[name]

    def __iter__(self) -> Iterator[str]:
        self.note(ALL)
        return iter(self._values)

    def __len__(self) -> int:
        self.note(ALL)
        return len(self._values)


class _WatchedPart(PartRecord):
    """A part that notes what is asked of it."""

    def __getattribute__(self, name: str) -> Any:
        if name in PLAIN:
            object.__getattribute__(self, "values").note(f".{name}")
        return object.__getattribute__(self, name)


@dataclass(frozen=True)
class KitJudge:
    """Judges choices of parts for the open positions of one build.

    `records` are the parts by id, `candidates` the ids of parts by position id. `receivers` are
    video receivers on the ground that may be taken instead of the one named for the build.
    """

    build: BuildSnapshot
    records: Mapping[int, PartRecord]
    candidates: Mapping[int, tuple[int, ...]]
    receivers: tuple[PartRecord, ...] = ()

    def filled(self, picks: Iterable[Pick]) -> BuildSnapshot:
        """The build with the chosen parts in it, and the ground gear with which it does best."""
        parts = {place: self.records[part] for place, part in picks}  # type: ignore[index]
        present = self._with(parts, self.build.ground)
        against = _against(present)
        if not any(_sees_ground(finding.rule) for finding in against):
            return present
        others = [self._with(parts, ground) for ground in self._grounds[1:]]
        return min([present, *others], key=lambda one: len(_against(one)))

    def __call__(self, picks: Collection[Pick]) -> list[Cut | Row]:
        """A cut for each finding that bars the choice; nothing when none remains."""
        chosen: dict[int, int] = dict(picks)  # type: ignore[arg-type]
        return [self._cut(chosen, finding) for finding in _against(self.filled(picks))]

    @property
    def _grounds(self) -> list[Mapping[str, PartRecord]]:
        named = self.build.ground.get(VIDEO_RECEIVER)
        others = [
            {**self.build.ground, VIDEO_RECEIVER: one}
            for one in self.receivers
            if named is None or one.id != named.id
        ]
        return [self.build.ground, *others]

    def _with(
        self, parts: Mapping[Any, PartRecord], ground: Mapping[str, PartRecord]
    ) -> BuildSnapshot:
        return replace(
            self.build,
            ground=ground,
            positions=tuple(
                replace(one, part=parts[one.id]) if one.id in parts else one
                for one in self.build.positions
            ),
        )

    def _cut(self, chosen: dict[int, int], finding: Finding) -> Cut | Row:
        reads = self._reads(chosen, finding)
        if reads is None:
            alone: list[frozenset[Pick]] = [frozenset({pick}) for pick in chosen.items()]
            return Cut(tuple(alone), finding.rule, finding.message)
        if not reads:
            return Row(finding.rule, {}, high=-1.0, message=finding.message)
        fewer = self._fewer(chosen, finding, reads)
        sides: list[frozenset[Pick]] = [
            frozenset((place, part) for part in self._alike(place, chosen[place], names))
            for place, names in fewer.items()
        ]
        if not sides:
            # No part on hand helps: the positions stay, so that a clash can name them.
            sides = [frozenset((one, part) for part in self.candidates[one]) for one in reads]
        return Cut(tuple(sides), finding.rule, finding.message)

    def _fewer(self, chosen: dict[int, int], finding: Finding, reads: Reads) -> Reads:
        """Only those positions on which the warning rests, whatever is in the others it read."""
        freed: list[int] = []
        for place in sorted(reads, key=lambda one: len(self.candidates[one])):
            without = self._reads_whatever([*freed, place], chosen, finding, reads)
            if without is not None:
                freed.append(place)
                reads = without
        return {place: names for place, names in reads.items() if place not in freed}

    def _reads_whatever(
        self, freed: list[int], chosen: dict[int, int], finding: Finding, reads: Reads
    ) -> Reads | None:
        """What is read over all choices for the freed positions; None if one lifts the warning."""
        choices = [self.candidates[place] for place in freed]
        if math.prod(len(one) for one in choices) > TRIED:
            return None
        together = dict(reads)
        for parts in itertools.product(*choices):
            found = self._reads(chosen | dict(zip(freed, parts, strict=True)), finding)
            if found is None or not found.keys() <= reads.keys():
                return None
            for place, names in found.items():
                together[place] = together[place] | names
        return together

    def _reads(self, chosen: Mapping[int, int], finding: Finding) -> Reads | None:
        """What the rule reads of the chosen parts until it bars them; None when it does not.

        With one ground gear or another it must bar them, or it is no reason.
        """
        log: set[tuple[int, str]] = set()
        parts = {place: _watched(self.records[part], place, log) for place, part in chosen.items()}
        grounds = self._grounds if _sees_ground(finding.rule) else [self.build.ground]
        for ground in grounds:
            build = self._with(parts, ground)
            subject = build.at(finding.position) if finding.position else None
            case = Case(book[finding.rule], build, subject, figures_of(build))
            if not _is_barred(case):
                return None
        found: dict[int, set[str]] = defaultdict(set)
        for place, name in log:
            found[place].add(name)
        return {place: frozenset(names) for place, names in found.items()}

    def _alike(self, place: int, part: int, names: frozenset[str]) -> Iterator[int]:
        """Candidates of the place that give the same to read."""
        wanted = _read_of(self.records[part], names)
        for other in self.candidates[place]:
            if _read_of(self.records[other], names) == wanted:
                yield other


def _sees_ground(rule_id: str) -> bool:
    rule = book[rule_id]
    return rule.looks_at_all or "ground_gear" in rule.kinds


def _against(build: BuildSnapshot) -> list[Finding]:
    judgement = book.judge(build, figures_of(build))
    return [finding for finding in judgement.findings if is_barring(finding)]


def is_barring(finding: Finding) -> bool:
    """Does the finding keep a part out of a kit."""
    return finding.level == Level.WARNING or (
        finding.level == Level.CAUTION and finding.rule in BARRING_CAUTIONS
    )


def _is_barred(case: Case) -> bool:
    try:
        return any(is_barring(found) for found in case.rule.function(case))
    except MissingValue:
        return False


def _watched(part: PartRecord, place: int, log: set[tuple[int, str]]) -> PartRecord:
    own = {one.name: getattr(part, one.name) for one in fields(part)}
    own["values"] = _WatchedValues(part.values, place, log)
    own["rated"] = _WatchedValues(part.rated, place, log, RATED)
    return _WatchedPart(**own)


def _read_of(part: PartRecord, names: frozenset[str]) -> list[Any]:
    """What a rule that reads those names gets to see of the part."""
    if any(name.endswith(ALL) for name in names):
        return [part.id]
    return [_one_of(part, name) for name in sorted(names)]


def _one_of(part: PartRecord, name: str) -> Any:
    if name.startswith("."):
        return getattr(part, name[1:])
    if name.startswith(RATED):
        return part.rated.get(name.removeprefix(RATED))
    value = part.values.get(name)
    return value and replace(value, by="")
