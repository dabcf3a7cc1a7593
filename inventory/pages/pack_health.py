"""The page of one pack: what it is, what its log says of it and why, and what it needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.utils import timezone

from hangar.requests import PersonRequest
from hangar.submissions import show
from inventory.health import cautions
from inventory.health.care import Carriage, usable_wh
from inventory.health.entries import END_PERCENT
from inventory.health.history import History, history
from inventory.health_charts import draw_capacity, draw_resistance
from inventory.models import LogEntry, Measurement, Part
from inventory.pack_health import PackReport, read_pack
from inventory.pages.doors import visible_part
from inventory.stored_health import health_of

CARRIAGE = {
    Carriage.CABIN: "up to 100 Wh",
    Carriage.ASK_AIRLINE: "more than 100, up to 160 Wh",
    Carriage.NOT_AS_BAGGAGE: "more than 160 Wh",
}
"""Bands of watt-hours: United States 49 CFR 175.10(a)(18), from memory, not verified."""
SPREADS_SHOWN = 12


@dataclass(frozen=True)
class LeftOutRow:
    """An entry that was not used, and why."""

    entry: LogEntry
    why: str


@login_required
def pack_detail(request: PersonRequest, code: str) -> HttpResponse:
    """Show a pack: verdict with reasons, charts, cells, current, energy, care and carriage."""
    pack = visible_part(request, code)
    if pack.kind != "pack":
        raise Http404
    report = health_of(pack)
    context = {
        "pack": pack,
        "report": report,
        "cautions": cautions,
        "left_out": _left_out(pack, report),
        "end_line": _end_line(pack),
        "end_usual": END_PERCENT,
        "is_mine": Part.objects.editable_by(request.user).filter(pk=pack.pk).exists(),
        **_through_its_life(pack, report),
    }
    return show(request, "inventory/pack_detail.html", context)


def _through_its_life(pack: Part, report: PackReport) -> dict[str, Any]:
    read = read_pack(pack)
    if read is None or report.health is None:
        return {}
    facts, entries = read
    told = history(facts, entries, timezone.now())
    capacity = report.health.capacity_mah
    return {
        "facts": facts,
        "told": told,
        "capacity_chart": draw_capacity(told, facts),
        "resistance_chart": draw_resistance(told.resistance, facts.cells),
        "cells": range(1, facts.cells + 1),
        "spreads": told.spreads[: -SPREADS_SHOWN - 1 : -1],
        "weak_cell": _weak_cell(told),
        "usable_wh": usable_wh(facts, capacity.value if capacity else None),
        "carriage": CARRIAGE[report.health.carriage],
        "why_no_capacity": _why_no_capacity(report),
    }


def _weak_cell(told: History) -> int | None:
    """The cell that was lowest in more than half of the newest readings at rest, if one was."""
    newest = [one.low_cell for one in told.spreads[-SPREADS_SHOWN:]]
    if not newest:
        return None
    often = max(set(newest), key=newest.count)
    return often if 2 * newest.count(often) > len(newest) else None


def _why_no_capacity(report: PackReport) -> str:
    """Why no capacity is told; empty where one is."""
    if report.health is None or report.health.capacity_mah is not None:
        return ""
    return report.health.why_no_capacity


def _left_out(pack: Part, report: PackReport) -> list[LeftOutRow]:
    if report.health is None:
        return []
    why = {row.row_id: row.why for row in report.health.left_out}
    entries = pack.log.filter(pk__in=why).order_by("-started_at")
    return [LeftOutRow(entry, why[str(entry.pk)]) for entry in entries]


def _end_line(pack: Part) -> Measurement | None:
    rows = pack.measurements.filter(name="end_line_percent").select_related("by")
    return rows.order_by("measured_at", "pk").last()
