"""The page of the packs: which of them suits a build today, best first, and why."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse

from builds.findings import Level
from builds.pack_options import MATCHED_MOST, MatchedPack, match_packs
from builds.pages import cautions
from builds.pages.doors import visible_build
from builds.pages.finding_rows import FindingRow, finding_rows
from builds.pages.rows import PackRow, pack_rows
from builds.pages.wording import FigureRow, Reader
from hangar.requests import PersonRequest
from hangar.submissions import show
from inventory.health import cautions as of_packs

CARE = (
    cautions.ESTIMATE,
    of_packs.ESTIMATE,
    of_packs.CURRENT,
    of_packs.OUT_OF_SERVICE,
    cautions.PROPELLERS,
)


@dataclass(frozen=True)
class MatchRow:
    """One pack, the build with it, and what speaks against it."""

    pack: PackRow
    reason: str
    why: str
    current: FigureRow
    share: FigureRow
    endurance: FigureRow
    fit: tuple[FindingRow, ...]
    care: tuple[FindingRow, ...]


@login_required
def pack_match(request: PersonRequest, pk: int) -> HttpResponse:
    """Show all packs for a build, best first, each with why, and those out of service."""
    build = visible_build(request, pk)
    match = match_packs(build, request.user)
    reader = Reader(request.user)
    context = {
        "build": build,
        "snapshot": match.snapshot,
        "suiting": [_row(pack, reader) for pack in match.packs if not pack.is_warned],
        "warned": [_row(pack, reader) for pack in match.packs if pack.is_warned],
        "apart": match.apart,
        "has_more": match.has_more,
        "most": MATCHED_MOST,
        "of_build": [
            (level.label, len(match.without.of(level))) for level in (Level.WARNING, Level.CAUTION)
        ],
        "with_any": finding_rows(match.with_any, match.snapshot, reader),
        "care": CARE,
    }
    return show(request, "builds/pack_match.html", context)


def _row(pack: MatchedPack, reader: Reader) -> MatchRow:
    option = pack.option
    figures = option.figures
    (row,) = pack_rows([option], reader)
    return MatchRow(
        pack=row,
        reason=option.record.get("health_reason", ""),
        why=pack.why,
        current=reader.figure(figures["pack_current_each_max_a"]),
        share=reader.figure(pack.share),
        endurance=reader.figure(figures["endurance_min"]),
        fit=finding_rows(pack.fit, figures.snapshot, reader),
        care=finding_rows(pack.care, figures.snapshot, reader),
    )
