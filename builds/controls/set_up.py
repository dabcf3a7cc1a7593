"""The set-up of each surface: tables of holes, both commands together, records, what to change."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from builds.controls.advice import advice_for
from builds.controls.holes import HoleTable, Mixing, Reach, mixing_of, reaches_of, table_for
from builds.controls.linkages import Setting, SurfaceReading, read_setting, wanted_throws
from builds.controls.measured import Compared, Conflict, compare, conflicts_of
from builds.figures.results import Input, NotKnown
from builds.records import BuildSnapshot, SurfaceRecord


@dataclass(frozen=True)
class SurfaceSetUp:
    """One surface: what is known of it, what follows, and what to change.

    Without a `setting` the linkage cannot be worked out; `missing` names what it lacks.
    """

    surface: SurfaceRecord
    setting: Setting | None
    missing: tuple[str, ...]
    throws_mm: dict[str, float]
    inputs: tuple[Input, ...]
    tables: tuple[HoleTable, ...] = ()
    mixing: Mixing | None = None
    reaches: tuple[Reach, ...] = ()
    conflicts: tuple[Conflict, ...] = ()

    @cached_property
    def compared(self) -> tuple[Compared, ...]:
        """Measured throws against what is worked out."""
        return compare(self.setting, self.throws_mm, self.conflicts) if self.setting else ()

    @cached_property
    def advice(self) -> tuple[str, ...]:
        """What to change, the hole first and the travel second."""
        if self.setting is None:
            return ()
        return advice_for(self.setting, self.tables, self.mixing, self.reaches)


def set_ups_of(snapshot: BuildSnapshot) -> tuple[SurfaceSetUp, ...]:
    """The set-up of every surface of a build."""
    return tuple(set_up_of(snapshot, surface) for surface in snapshot.surfaces)


def set_up_of(snapshot: BuildSnapshot, surface: SurfaceRecord) -> SurfaceSetUp:
    """The set-up of one surface."""
    throws, throw_inputs, no_throws = wanted_throws(snapshot, surface)
    conflicts = conflicts_of(surface, chord_of(snapshot, surface))
    try:
        setting = read_setting(snapshot, surface)
    except NotKnown as gap:
        missing = (*gap.missing, *no_throws)
        return SurfaceSetUp(surface, None, missing, throws, throw_inputs, conflicts=conflicts)
    return SurfaceSetUp(
        surface=surface,
        setting=setting,
        missing=no_throws,
        throws_mm=throws,
        inputs=(*setting.inputs, *throw_inputs),
        tables=tuple(table_for(setting, axis, throw) for axis, throw in throws.items()),
        mixing=mixing_of(setting, throws),
        reaches=reaches_of(setting, setting.holes),
        conflicts=conflicts,
    )


def chord_of(snapshot: BuildSnapshot, surface: SurfaceRecord) -> float | None:
    """Chord of the surface where its throw is measured [mm]; None when nobody gave it."""
    reading = SurfaceReading(snapshot, surface)
    chord = reading.chord()
    return None if reading.missing else chord
