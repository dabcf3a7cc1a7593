"""A build that remembers what was read of it, to hold against what a rule declares."""

from collections.abc import Mapping
from contextlib import contextmanager
from dataclasses import fields

from builds.findings import book
from builds.findings.changes import DECLARED, OF_BUILD, OWN
from builds.records import BuildSnapshot, PartRecord, PositionRecord


class Log(set):
    """Pairs of a kind and a name; nothing is noted while the records read of themselves."""

    is_open = True

    def note(self, kind, name):
        if self.is_open:
            self.add((kind, name))

    @contextmanager
    def closed(self):
        before, self.is_open = self.is_open, False
        yield
        self.is_open = before


class WatchedValues(Mapping):
    def __init__(self, log, kind, values):
        self.log, self.kind, self.values_ = log, kind, values

    def __getitem__(self, name):
        self.log.note(self.kind, name)
        return self.values_[name]

    def get(self, name, default=None):
        self.log.note(self.kind, name)
        return self.values_.get(name, default)

    def __iter__(self):
        self.log.note(self.kind, "*")
        return iter(self.values_)

    def __len__(self):
        return len(self.values_)


class WatchedPart(PartRecord):
    def __getattribute__(self, name):
        found = object.__getattribute__(self, name)
        if name in OWN and name != "kind":
            object.__getattribute__(self, "log").note(
                object.__getattribute__(self, "kind"), OF_ITSELF
            )
        return found


class WatchedPosition(PositionRecord):
    # Which position it is can be told without looking at all of its columns.
    __eq__, __hash__ = object.__eq__, object.__hash__

    def __getattribute__(self, name):
        found = object.__getattribute__(self, name)
        if name in DECLARED:
            object.__getattribute__(self, "log").note("position", name)
        return found


class WatchedBuild(BuildSnapshot):
    def __getattribute__(self, name):
        found = object.__getattribute__(self, name)
        if name in OF_BUILD:
            object.__getattribute__(self, "log").note("build", name)
        return found


class WatchedFigures(Mapping):
    """The figures; what they read of the build themselves is not the rule's business."""

    def __init__(self, log, figures):
        self.log, self.figures = log, figures

    def __getitem__(self, name):
        self.log.note("figure", name)
        return self.figures[name]

    def __iter__(self):
        return iter(self.figures)

    def __len__(self):
        return len(self.figures)

    def __getattr__(self, name):
        self.log.note("figures", name)
        return getattr(self.figures, name)


OF_ITSELF = "(the part itself)"
"""Stands for name, condition and the like: what a part is beside its figures."""


def _copy(log, made, record, **changes):
    values = {column.name: getattr(record, column.name) for column in fields(record)} | changes
    watched = made.__new__(made)
    object.__setattr__(watched, "log", log)
    watched.__init__(**values)
    return watched


def _part(log, part):
    if part is None:
        return None
    return _copy(
        log,
        WatchedPart,
        part,
        values=WatchedValues(log, part.kind, part.values),
        rated=WatchedValues(log, part.kind, part.rated),
    )


def reads_of(rule, build, figures):
    """What one rule reads of a build, as pairs of kind and name."""
    log = Log()
    with log.closed():
        watched = _copy(
            log,
            WatchedBuild,
            build,
            positions=tuple(
                _copy(log, WatchedPosition, place, part=_part(log, place.part))
                for place in build.positions
            ),
            ground={role: _part(log, part) for role, part in build.ground.items()},
        )
    book.judge(watched, WatchedFigures(log, figures), only=[rule.id])
    return set(log)


def undeclared(rule, reads):
    """What it read that a change would not bring it to read again."""
    return {
        f"{kind}.{name}"
        for kind, name in reads
        if not _is_free(kind, name) and not _is_declared(rule, kind, name)
    }


def _is_declared(rule, kind, name):
    if not rule.needs:
        return True
    if name == OF_ITSELF:
        return rule.looks_at_all or kind in rule.kinds
    return rule.may_ask(kind, name)


def _is_free(kind, name):
    """Columns of the build that no rule declares are open to all: a change asks every rule."""
    return kind == "build" and not any(one.may_ask(kind, name) for one in book)
