"""The rows of a kit on its page."""

from __future__ import annotations

from dataclasses import dataclass

from builds.findings import Finding, NotJudged
from builds.kit.choosing import Chosen, Kit
from builds.pages.wording import FigureRow, Reader

TOTALS = ("empty_g", "auw_g", "cg_x_mm", "pack_x_wanted_mm", "current_max_a")


@dataclass(frozen=True)
class PartRow:
    """One part of a kit in words."""

    chosen: Chosen
    mass: str


@dataclass(frozen=True)
class KitRows:
    """A kit in words: its parts, totals, findings, gaps, and the text that claims or fits it."""

    rows: tuple[PartRow, ...]
    totals: tuple[FigureRow, ...]
    findings: tuple[Finding, ...]
    gaps: tuple[NotJudged, ...]
    text: str
    has_mine: bool
    has_others: bool


def kit_rows(kit: Kit, reader: Reader, beside: Kit | None = None) -> KitRows:
    """A kit; beside another one only the parts that are not in that."""
    left_out = set(beside.part_ids.values()) if beside else set()
    figures = kit.report.figures
    return KitRows(
        rows=tuple(
            PartRow(one, _mass(one, reader)) for one in kit.chosen if one.part.pk not in left_out
        ),
        totals=tuple(reader.figure(figures[name]) for name in TOTALS),
        findings=kit.report.judgement.findings,
        gaps=kit.report.judgement.not_judged,
        text=",".join(f"{place}:{part}" for place, part in kit.part_ids.items()),
        has_mine=any(not one.why for one in kit.chosen),
        has_others=any(one.why for one in kit.chosen),
    )


def _mass(one: Chosen, reader: Reader) -> str:
    mass_g = one.record.get("mass_g")
    return "not known" if mass_g is None else reader.say(mass_g, "mass_g")
