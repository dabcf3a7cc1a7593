"""Which spare fits a position, and what it would change there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

import builds.rules  # noqa: F401 - registers the rules
from builds.figures import Figure, Figures, Unknown, figures_of
from builds.findings import Finding, Judgement, Level, book
from builds.models import Build, Position
from builds.records import BuildSnapshot, PartRecord, PositionRecord
from builds.snapshot import Picture, take_picture
from hangar.clubs.models import User
from hangar.errors import Missing
from inventory.models import Part

DRIVE = ("motor", "propeller", "pack", "speed_controller", "lead")
CONSIDERED = 300
"""Spares that one search judges; more are said to be left out."""
DEPENDS_ON = {
    "wing_area_dm2": ("airframe",),
    "wing_span_mm": ("airframe",),
    "mean_chord_mm": ("airframe",),
    "mean_chord_le_mm": ("airframe",),
    "neutral_point_mm": ("airframe",),
    "pack_full_v": DRIVE,
    "current_max_a": DRIVE,
    "pack_current_each_max_a": DRIVE,
    "motor_current_max_a": DRIVE,
    "power_max_w": DRIVE,
    "thrust_max_g": DRIVE,
    "rpm_max": DRIVE,
    "tip_mach": DRIVE,
}
"""Kinds that the costliest figures depend on: a spare of another kind leaves them as they are."""


@dataclass(frozen=True)
class Candidate:
    """A spare that the rules let pass, and what it would change.

    `mass_change_g` and `cg_change_mm` are None where a figure is missing. `why` says why the
    person cannot fit it at once, and is empty when they can.
    """

    part: Part
    record: PartRecord
    mass_change_g: float | None
    cg_change_mm: float | None
    new_findings: tuple[Finding, ...]
    cleared_findings: tuple[Finding, ...]
    not_judged: int
    judgement_worst: Level | None
    is_fittable: bool
    why: str


@dataclass(frozen=True)
class Rejected:
    """A spare that would bring a warning, and the findings that threw it out."""

    part: Part
    record: PartRecord
    rules: tuple[Finding, ...]


@dataclass(frozen=True)
class SpareSearch:
    """Spares for one position, best first, those that fall out, and whether some were left out."""

    picture: Picture
    candidates: tuple[Candidate, ...]
    rejected: tuple[Rejected, ...]
    has_more: bool


@dataclass(frozen=True)
class _Present:
    snapshot: BuildSnapshot
    place: PositionRecord
    figures: Figures
    unmoved: Mapping[str, Figure | Unknown]
    judgement: Judgement


@dataclass(frozen=True)
class _Trial:
    part: Part
    record: PartRecord
    figures: Figures
    judgement: Judgement
    new: tuple[Finding, ...]
    cleared: tuple[Finding, ...]

    @property
    def warnings(self) -> tuple[Finding, ...]:
        return tuple(found for found in self.new if found.level == Level.WARNING)


def find_spares(build: Build, position: Position, viewer: User, limit: int = 50) -> SpareSearch:
    """Judge the free parts of a position's kind in that position, best first.

    Parameters
    ----------
    build : loaded with its club.
    position : one of the build's.
    viewer : whose parts, and whose clubs' parts, are looked through.
    limit : how many candidates, and how many that fall out, are given at most.

    Raises
    ------
    Missing
        If the position is not one of the build's.
    """
    parts = _free_parts(position.kind, viewer)
    considered = parts[:CONSIDERED]
    picture = take_picture(build, viewer=viewer, others=[part.pk for part in considered])
    present = _present(picture.snapshot, position.pk)
    trials = list(_trials(present, considered, picture.others))
    fitting = [trial for trial in trials if not trial.warnings]
    fitting.sort(key=lambda trial: _rank(present, trial, viewer))
    fallen = [trial for trial in trials if trial.warnings]
    return SpareSearch(
        picture=picture,
        candidates=tuple(_candidate(present, trial) for trial in fitting[:limit]),
        rejected=tuple(Rejected(one.part, one.record, one.warnings) for one in fallen[:limit]),
        has_more=len(parts) > CONSIDERED or max(len(fitting), len(fallen)) > limit,
    )


def unmoved_figures(figures: Figures, kind: str) -> dict[str, Figure | Unknown]:
    """The figures that a part of that kind cannot change."""
    return {name: figures[name] for name, kinds in DEPENDS_ON.items() if kind not in kinds}


def compare(
    before: Iterable[Finding], after: Iterable[Finding], place: str = ""
) -> tuple[Finding, ...]:
    """Findings that are there afterwards and were not before, whatever numbers they name.

    One finding can speak for several places, and stand at another of them once a part in `place`
    is changed: that makes no new one, unless it stands at `place` itself.
    """
    counted = Counter(_kind_of(finding) for finding in before)
    unmatched = []
    for finding in after:
        if counted[_kind_of(finding)] > 0:
            counted[_kind_of(finding)] -= 1
        else:
            unmatched.append(finding)
    left = Counter(kind[::2] for kind in counted.elements())
    new = []
    for finding in unmatched:
        kind = _kind_of(finding)[::2]
        if place and finding.position != place and left[kind] > 0:
            left[kind] -= 1
        else:
            new.append(finding)
    return tuple(new)


def _kind_of(finding: Finding) -> tuple[str, str, Level]:
    return finding.rule, finding.position, finding.level


def _free_parts(kind: str, viewer: User) -> list[Part]:
    own = Part.objects.fittable_by(viewer).filter(pk=OuterRef("pk"))
    parts = (
        Part.objects.candidates_for(viewer)
        .in_service()
        .free()
        .filter(kind=kind)
        .annotate(is_fittable=Exists(own))
        .select_related("sheet", "place", "person", "club")
        .order_by("-is_fittable", "pk")
    )
    return list(parts[: CONSIDERED + 1])


def _present(snapshot: BuildSnapshot, position_id: int) -> _Present:
    place = next((one for one in snapshot.positions if one.id == position_id), None)
    if place is None:
        raise Missing("No such position in this build.")
    figures = figures_of(snapshot)
    judgement = book.judge(snapshot, figures)
    return _Present(snapshot, place, figures, unmoved_figures(figures, place.kind), judgement)


def _trials(
    present: _Present, parts: Iterable[Part], records: Mapping[int, PartRecord]
) -> Iterator[_Trial]:
    """Each part judged in the place, after the part before it: only a part is another then."""
    judged = present.judgement
    for part in parts:
        trial = _try_part(present, judged, part, records[part.pk])
        judged = trial.judgement
        yield trial


def _try_part(present: _Present, judged: Judgement, part: Part, record: PartRecord) -> _Trial:
    tried = present.snapshot.with_part(present.place.id, record, present.place.quantity)
    figures = figures_of(tried, present.unmoved)
    judgement = book.judge_again(judged, tried, figures)
    before, after = present.judgement.findings, judgement.findings
    place = present.place.key
    return _Trial(
        part,
        record,
        figures,
        judgement,
        compare(before, after, place),
        compare(after, before, place),
    )


def _rank(present: _Present, trial: _Trial, viewer: User) -> tuple[float, ...]:
    """Fewest and mildest findings, free to fit, fewest gaps, lightest, least shift, at hand."""
    levels = Counter(finding.level for finding in trial.judgement.findings)
    mass_g = trial.record.get("mass_g", float("inf"))
    shift_mm = _change(present.figures, trial.figures, "cg_x_mm")
    home = present.snapshot.airframe.place if present.snapshot.airframe else ""
    return (
        levels[Level.WARNING],
        levels[Level.CAUTION],
        levels[Level.NOTE],
        bool(_why_not_at_once(trial.part, present.place.quantity)),
        len(trial.judgement.not_judged),
        mass_g,
        float("inf") if shift_mm is None else abs(shift_mm),
        trial.part.person_id != viewer.pk,
        trial.record.place != home,
        trial.part.pk,
    )


def _candidate(present: _Present, trial: _Trial) -> Candidate:
    why = _why_not_at_once(trial.part, present.place.quantity)
    return Candidate(
        part=trial.part,
        record=trial.record,
        mass_change_g=_mass_change(present.place, trial.record),
        cg_change_mm=_change(present.figures, trial.figures, "cg_x_mm"),
        new_findings=trial.new,
        cleared_findings=trial.cleared,
        not_judged=len(trial.judgement.not_judged),
        judgement_worst=trial.judgement.worst,
        is_fittable=not why,
        why=why,
    )


def _why_not_at_once(part: Part, quantity: int) -> str:
    if not part.is_fittable:  # type: ignore[attr-defined]
        return f"It belongs to {part.owner_name}: ask for it, or claim it, first."
    free = part.count - part.fitted_count
    if free < quantity:
        return f"Only {free} of {quantity} pieces are free."
    return ""


def _mass_change(place: PositionRecord, record: PartRecord) -> float | None:
    new_g = record.get("mass_g")
    old_g = place.part.get("mass_g") if place.part else 0.0
    if new_g is None or old_g is None:
        return None
    return float(place.quantity * (new_g - old_g))


def _change(before: Figures, after: Figures, name: str) -> float | None:
    old, new = before[name], after[name]
    if isinstance(old, Figure) and isinstance(new, Figure):
        return new.value - old.value
    return None
