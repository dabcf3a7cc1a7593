"""Which spare fits a position, and what it would change there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Count, Exists, F, OuterRef, Q, Window
from django.db.models.functions import RowNumber

import builds.rules  # noqa: F401 - registers the rules
from builds.figures import Figure, Figures, Unknown, figures_of
from builds.findings import Finding, Judgement, Level, book
from builds.models import Build, Position
from builds.records import BuildSnapshot, PartRecord, PositionRecord
from builds.snapshot import Picture, take_picture
from hangar.clubs.models import User
from hangar.errors import Missing
from inventory.models import LogEntry, Measurement, Part

DRIVE = ("motor", "propeller", "pack", "speed_controller", "lead")
CONSIDERED = 300
"""Spares that one search reads; more are said to be left out."""
OF_EACH_SHEET = 50
"""Spares of one data sheet that one search reads."""
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
    is_alike: bool = False


@dataclass(frozen=True)
class Rejected:
    """A spare that would bring a warning, and the findings that threw it out.

    `count` are the spares for which it stands: those of its data sheet without figures of their
    own, which fall out as it does.
    """

    part: Part
    record: PartRecord
    rules: tuple[Finding, ...]
    count: int = 1


@dataclass(frozen=True)
class FallenBy:
    """How many spares a rule throws out; a spare counts with each rule that does."""

    rule: str
    question: str
    count: int


@dataclass(frozen=True)
class SpareSearch:
    """Spares for one position, best first, those that fall out, and whether some were left out."""

    picture: Picture
    candidates: tuple[Candidate, ...]
    rejected: tuple[Rejected, ...]
    has_more: bool
    fallen: tuple[FallenBy, ...] = ()


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


@dataclass
class _Group:
    """Alike spares: those that fit, those not tried yet, and those that fall out."""

    fitting: list[_Trial]
    untried: list[Part]
    rejected: list[Rejected] = field(default_factory=list)

    @property
    def is_cut_short(self) -> bool:
        """Are there more of them than were read."""
        parts = [one.part for one in self.fitting]
        parts += [one.part for one in self.rejected if one.count == 1]
        return any(part.alike_count > OF_EACH_SHEET for part in parts)  # type: ignore[attr-defined]


class _Trying:
    """Judges one spare after the other in the place: each time only a part is another."""

    def __init__(self, present: _Present, records: Mapping[int, PartRecord]) -> None:
        self.present = present
        self._records = records
        self._judged = present.judgement

    def judge(self, part: Part) -> _Trial:
        """What the build would be with that part in the place."""
        trial = _try_part(self.present, self._judged, part, self._records[part.pk])
        self._judged = trial.judgement
        return trial


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
    trying = _Trying(_present(picture.snapshot, position.pk), picture.others)
    groups = [_judge_group(trying, group) for group in _alike(considered)]
    present = trying.present
    fitting = _fill(trying, groups, viewer, limit)
    fallen = sorted(
        (one for group in groups for one in group.rejected),
        key=lambda one: (len(one.rules), one.part.pk),
    )
    return SpareSearch(
        picture=picture,
        candidates=tuple(_candidate(present, trial) for trial in fitting[:limit]),
        rejected=tuple(fallen[:limit]),
        has_more=_has_more(groups, len(parts), len(fitting), len(fallen), limit),
        fallen=_count_by_rule(fallen),
    )


def _alike(parts: Iterable[Part]) -> list[list[Part]]:
    """Parts by what tells them apart for the rules, beside their mass."""
    groups: dict[object, list[Part]] = {}
    for part in parts:
        has_own = part.has_own_figures  # type: ignore[attr-defined] # annotated
        key = (part.sheet_id, part.condition, part.pk if has_own else None)
        groups.setdefault(key, []).append(part)
    return list(groups.values())


def _judge_group(trying: _Trying, parts: list[Part]) -> _Group:
    """The first of alike parts, judged; all fall out where the lightest and heaviest both do."""
    first = trying.judge(parts[0])
    if not first.warnings:
        return _Group([first], parts[1:])
    masses_g = [part.known_mass_g or 0.0 for part in parts]  # type: ignore[attr-defined]
    ends = {masses_g.index(min(masses_g)), masses_g.index(max(masses_g))} - {0}
    if all(trying.judge(parts[end]).warnings for end in ends):
        return _Group([], [], [_reject(first, _number_alike(parts[0]))])
    return _Group([], parts[1:], [_reject(first, 1)])


def _number_alike(part: Part) -> int:
    return 1 if part.has_own_figures else part.alike_count  # type: ignore[attr-defined]


def _fill(trying: _Trying, groups: list[_Group], viewer: User, limit: int) -> list[_Trial]:
    """The best of each group, then more of the best groups until there are enough; best first."""

    def rank(trial: _Trial) -> tuple[float, ...]:
        return _rank(trying.present, trial, viewer)

    groups.sort(key=lambda group: (not group.fitting, [rank(one) for one in group.fitting]))
    found = sum(len(group.fitting) for group in groups)
    for group in groups:
        while group.untried and found < limit:
            trial = trying.judge(group.untried.pop(0))
            if trial.warnings:
                group.rejected.append(_reject(trial, 1))
            else:
                group.fitting.append(trial)
                found += 1
    return sorted((trial for group in groups for trial in group.fitting), key=rank)


def _reject(trial: _Trial, count: int) -> Rejected:
    return Rejected(trial.part, trial.record, trial.warnings, count)


def _has_more(groups: list[_Group], read: int, fitting: int, fallen: int, limit: int) -> bool:
    return (
        read > CONSIDERED
        or max(fitting, fallen) > limit
        or any(group.untried or group.is_cut_short for group in groups)
    )


def _count_by_rule(fallen: Iterable[Rejected]) -> tuple[FallenBy, ...]:
    """Spares by the rule that throws them out, most first, of those that were judged."""
    counts: Counter[str] = Counter()
    for one in fallen:
        counts.update(dict.fromkeys((finding.rule for finding in one.rules), one.count))
    ordered = sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(FallenBy(rule, book[rule].question, count) for rule, count in ordered)


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
    """Spares to read: the best of every data sheet before the second of any, lightest first."""
    own = Part.objects.fittable_by(viewer).filter(pk=OuterRef("pk"))
    measured = Measurement.objects.filter(part=OuterRef("pk")).exclude(name="mass_g")
    order = (F("is_fittable").desc(), F("known_mass_g").asc(nulls_last=True), F("pk").asc())
    alike = [F("sheet_id"), F("condition"), F("has_own_figures")]
    parts = (
        Part.objects.candidates_for(viewer)
        .in_service()
        .free()
        .filter(kind=kind)
        .with_known_mass()
        .annotate(
            is_fittable=Exists(own),
            has_own_figures=Q(Exists(measured))
            | Q(Exists(LogEntry.objects.filter(pack=OuterRef("pk")))),
        )
        .annotate(
            turn=Window(RowNumber(), partition_by=alike, order_by=order),
            alike_count=Window(Count("pk"), partition_by=alike),
        )
        .filter(turn__lte=OF_EACH_SHEET)
        .select_related("sheet", "place", "person", "club")
        .order_by("turn", *order)
    )
    return list(parts[: CONSIDERED + 1])


def _present(snapshot: BuildSnapshot, position_id: int) -> _Present:
    place = next((one for one in snapshot.positions if one.id == position_id), None)
    if place is None:
        raise Missing("No such position in this build.")
    figures = figures_of(snapshot)
    judgement = book.judge(snapshot, figures)
    return _Present(snapshot, place, figures, unmoved_figures(figures, place.kind), judgement)


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
        is_alike=bool(present.place.part and present.place.part.rated == trial.record.rated),
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
