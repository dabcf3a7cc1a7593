"""The packs on hand, each with what the build would be with it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import builds.rules  # noqa: F401 - registers the rules
from builds.figures import Figures, figures_of
from builds.findings import Level, book
from builds.records import BuildSnapshot, PartRecord
from hangar.clubs.models import User
from inventory.models import Part
from inventory.querysets import PartQuerySet

MOST = 30


@dataclass(frozen=True)
class PackOption:
    """One pack, the figures of the build with it, and how many warnings and cautions."""

    record: PartRecord
    figures: Figures
    warnings: int
    cautions: int


def packs_for(user: User) -> dict[str, int]:
    """Ids by label code of packs that the person may use and that are in no aircraft."""
    return dict(_free_packs(user).values_list("code", "pk")[:MOST])


def packs_in_reach(user: User) -> PartQuerySet[Part]:
    """The same packs as parts, with their names."""
    return _free_packs(user).select_related("sheet")[:MOST]


def _free_packs(user: User) -> PartQuerySet[Part]:
    packs = Part.objects.candidates_for(user).in_service().free().filter(kind="pack")
    return packs.order_by("pk")


def compare_packs(
    snapshot: BuildSnapshot, packs: Iterable[PartRecord], x_mm: float | None
) -> tuple[PackOption, ...]:
    """The build with each of the packs, its middle at `x_mm`; best first: findings, then mass."""
    options = [_option(snapshot.with_pack(pack, x_mm), pack) for pack in packs]
    return tuple(sorted(options, key=_rank))


def _option(snapshot: BuildSnapshot, pack: PartRecord) -> PackOption:
    figures = figures_of(snapshot)
    levels = Counter(finding.level for finding in book.judge(snapshot, figures).findings)
    return PackOption(pack, figures, levels[Level.WARNING], levels[Level.CAUTION])


def _rank(option: PackOption) -> tuple[float, ...]:
    mass_g = option.record.get("mass_g", float("inf"))
    return option.warnings, option.cautions, mass_g, option.record.id
