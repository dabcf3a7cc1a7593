"""The packs on hand, each with what the build would be with it, and which suits it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from builds.figures import Figure, Figures, Unknown, figures_of
from builds.figures.ratings import ratings
from builds.findings import Finding, Judgement, Level, book
from builds.models import Build
from builds.records import BuildSnapshot, PartRecord
from builds.reports import Report, report_of
from builds.snapshot import take_picture
from builds.spares import unmoved_figures
from hangar.clubs.models import User
from inventory.models import Part
from inventory.querysets import PartQuerySet

MOST = 30
MATCHED_MOST = 60
"""Packs that one look at all of them reads; it says when there are more."""
STOPPED = ("broken", "retired")
CARE_GROUPS = ("care", "ageing")
VERDICTS = ("fit", "watch", "cannot_tell", "retire", "out_of_service")
"""What the log of a pack can say of it, best first."""


@dataclass(frozen=True)
class PackOption:
    """One pack, what its log says of it, the build with it, and what was found of that."""

    record: PartRecord
    verdict: str
    figures: Figures
    warnings: int
    cautions: int
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class MatchedPack:
    """One pack for a build, and why it suits or does not.

    `fit` and `care` are the findings that the build has with this pack, and neither without one
    nor with every other, gravest first: how it goes with the aircraft, and how it was kept.
    `share` is what full throttle draws of its rating. `why` says why the person cannot fit it at
    once, and is empty when they can.
    """

    option: PackOption
    fit: tuple[Finding, ...]
    care: tuple[Finding, ...]
    share: Figure | Unknown
    why: str

    @property
    def is_warned(self) -> bool:
        """Does the pack bring a warning."""
        return any(one.level == Level.WARNING for one in (*self.fit, *self.care))


@dataclass(frozen=True)
class SetApart:
    """A pack that is out of service, and the reason."""

    record: PartRecord
    reason: str


@dataclass(frozen=True)
class PackMatch:
    """All packs for one build, best first, those out of service, and whether more were left out.

    `snapshot` is the build as recorded, `without` what the rules say of it with no pack in it,
    `with_any` what they say beside that with every one of two packs or more.
    """

    snapshot: BuildSnapshot
    without: Judgement
    with_any: tuple[Finding, ...]
    packs: tuple[MatchedPack, ...]
    apart: tuple[SetApart, ...]
    has_more: bool


def packs_in_reach(user: User) -> PartQuerySet[Part]:
    """Packs that the person may use and that are in no aircraft, with their names."""
    packs = Part.objects.candidates_for(user).in_service().free().filter(kind="pack")
    return packs.order_by("pk").select_related("sheet")[:MOST]


def compare_packs(
    present: Report, packs: Iterable[PartRecord], x_mm: float | None
) -> tuple[PackOption, ...]:
    """The build with each of the packs, its middle at `x_mm`.

    Best first: what the log says of the pack, findings, mass. Only what a pack can change is
    judged anew.
    """
    unmoved = unmoved_figures(present.figures, "pack")
    judged = present.judgement
    options = []
    for pack in packs:
        snapshot = present.snapshot.with_pack(pack, x_mm)
        figures = figures_of(snapshot, unmoved)
        judged = book.judge_again(judged, snapshot, figures)
        levels = Counter(finding.level for finding in judged.findings)
        verdict = pack.get("health_verdict", "cannot_tell")
        options.append(
            PackOption(
                record=pack,
                verdict=verdict,
                figures=figures,
                warnings=levels[Level.WARNING],
                cautions=levels[Level.CAUTION],
                findings=judged.findings,
            )
        )
    return tuple(sorted(options, key=_rank))


def _rank(option: PackOption) -> tuple[float, ...]:
    mass_g = option.record.get("mass_g", float("inf"))
    verdict = VERDICTS.index(option.verdict)
    return verdict, option.warnings, option.cautions, mass_g, option.record.id


def match_packs(build: Build, viewer: User) -> PackMatch:
    """All packs that the person may fit or ask for, held against the build, best first.

    `build` is loaded with its club. The build's own pack is among them.
    """
    picture = take_picture(build, viewer=viewer, others=_packs_of(viewer)[: MATCHED_MOST + 1])
    others = sorted(picture.others.values(), key=lambda record: record.id)
    own = [picture.snapshot.pack] if picture.snapshot.pack else []
    records = {record.id: record for record in (*own, *others[:MATCHED_MOST])}
    stopped = {key: why for key, record in records.items() if (why := _stopped_because(record))}
    offered = [record for key, record in records.items() if key not in stopped]
    fittable = set(
        Part.objects.fittable_by(viewer).filter(kind="pack").values_list("pk", flat=True)
    )
    bare = report_of(picture.snapshot.with_pack(None, build.pack_x_mm))
    options = compare_packs(bare, offered, build.pack_x_mm)
    without = bare.judgement.findings
    with_any = _shared(options, without)
    return PackMatch(
        snapshot=picture.snapshot,
        without=bare.judgement,
        with_any=with_any,
        packs=tuple(_matched(option, (*without, *with_any), fittable) for option in options),
        apart=tuple(SetApart(records[key], why) for key, why in stopped.items()),
        has_more=len(others) > MATCHED_MOST,
    )


def _packs_of(user: User) -> PartQuerySet[Part]:
    """Packs that the person may use or ask for: those in no aircraft, and all out of service."""
    stopped = Q(condition__in=STOPPED) | ~Q(out_of_service="")
    packs = Part.objects.candidates_for(user).filter(kind="pack")
    return packs.filter(Q(has_free=True) | stopped).order_by("pk")


def _stopped_because(record: PartRecord) -> str:
    if record.out_of_service:
        return f"Taken out of service: {record.out_of_service}."
    if record.condition in STOPPED:
        return f"It is {record.condition}."
    if record.get("health_verdict") == "out_of_service":
        return str(record.get("health_reason"))
    return ""


def _shared(options: tuple[PackOption, ...], without: tuple[Finding, ...]) -> tuple[Finding, ...]:
    if len(options) < 2:
        return ()
    first, *others = (option.findings for option in options)
    return tuple(
        one for one in first if one not in without and all(one in other for other in others)
    )


def _matched(option: PackOption, known: tuple[Finding, ...], fittable: set[int]) -> MatchedPack:
    brought = [one for one in option.findings if one not in known]
    care = tuple(one for one in brought if one.rule.partition(".")[0] in CARE_GROUPS)
    owner = option.record.owner
    is_fittable = option.record.id in fittable
    return MatchedPack(
        option=option,
        fit=tuple(one for one in brought if one not in care),
        care=care,
        share=_share_of_rating(option.figures),
        why="" if is_fittable else f"It belongs to {owner}: ask for it, or claim it, first.",
    )


def _share_of_rating(figures: Figures) -> Figure | Unknown:
    (tray, *_) = figures.snapshot.fitted("pack")
    wanted = f"{tray.title}: current by its label"
    return next(figure for label, figure in ratings(figures) if label == wanted)
