"""The packs on hand, each with what the build would be with it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from builds.figures import Figures, figures_of
from builds.findings import Level, book
from builds.records import PartRecord
from builds.reports import Report
from builds.spares import unmoved_figures
from hangar.clubs.models import User
from inventory.models import Part
from inventory.querysets import PartQuerySet

MOST = 30
VERDICTS = ("fit", "watch", "cannot_tell", "retire", "out_of_service")
"""What the log of a pack can say of it, best first."""


@dataclass(frozen=True)
class PackOption:
    """One pack, what its log says of it, the build with it, how many warnings and cautions."""

    record: PartRecord
    verdict: str
    figures: Figures
    warnings: int
    cautions: int


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
            PackOption(pack, verdict, figures, levels[Level.WARNING], levels[Level.CAUTION])
        )
    return tuple(sorted(options, key=_rank))


def _rank(option: PackOption) -> tuple[float, ...]:
    mass_g = option.record.get("mass_g", float("inf"))
    verdict = VERDICTS.index(option.verdict)
    return verdict, option.warnings, option.cautions, mass_g, option.record.id
