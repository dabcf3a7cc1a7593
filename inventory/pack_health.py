"""From a pack's rows in the database to the plain records that its health is judged from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Max
from django.utils import timezone

from inventory import health
from inventory.health import Chemistry, Cycles, Health, PackFacts, Reason, Verdict
from inventory.health.capacity import NORMAL_FACTOR
from inventory.models import LogEntry, Measurement, Part, PartEvent, Source

FULL_V_PER_CELL = {Chemistry.LIPO: 4.20, Chemistry.LIPO_HV: 4.35, Chemistry.LI_ION: 4.20}
"""Full voltage of a cell where the sheet gives none: common practice, no source."""

NEEDED = {
    "chemistry": "chemistry",
    "cell_count": "cells in series",
    "capacity_mah": "rated capacity",
}


@dataclass(frozen=True)
class PackReport:
    """The verdict on a pack; `health` is None where facts about the pack are missing."""

    verdict: Verdict
    reasons: tuple[Reason, ...]
    cycles: Cycles
    health: Health | None


@dataclass(frozen=True)
class Capacity:
    """Capacity that a log tells, its standard deviation, and when it was last measured."""

    value_mah: float
    uncertainty_mah: float
    at: datetime


def capacity_now(pack: Part, rows: Iterable[LogEntry], now: datetime) -> Capacity | None:
    """Capacity that the standing rows of a pack's log tell; None when they or its sheet do not."""
    if _missing(pack):
        return None
    entries = [_entry(row) for row in rows]
    found = health.capacity_now(_facts(pack, {}, 0), entries, now) if entries else None
    if found is None:
        return None
    interval, at = found
    return Capacity(interval.value, (interval.high - interval.low) / 2 / NORMAL_FACTOR, at)


def judge_pack(pack: Part, now: datetime | None = None) -> PackReport:
    """Judge a pack from its data sheet, its measurements and its log; `pack` has its sheet."""
    return judge_packs([pack], now)[pack.pk]


def judge_packs(packs: Iterable[Part], now: datetime | None = None) -> dict[int, PackReport]:
    """Judge packs, by the key of each, in three queries; they have their sheets."""
    by_key = {pack.pk: pack for pack in packs}
    now = now or timezone.now()
    logs = _standing_logs(by_key)
    measured = _measured(by_key)
    return {key: _judge(pack, logs[key], measured[key], now) for key, pack in by_key.items()}


def _judge(
    pack: Part, rows: list[LogEntry], measured: dict[str, list[float]], now: datetime
) -> PackReport:
    entries = [_entry(row) for row in rows]
    sheet: Any = pack.sheet.typed
    capacity_mah = sheet.capacity_mah or None
    at_purchase = int(_latest(measured, "cycles_at_purchase") or 0)
    cycles = health.count_cycles(entries, at_purchase, capacity_mah=capacity_mah)
    missing = _missing(pack)
    if missing:
        return _without_facts(pack, cycles, missing)
    found = health.judge(_facts(pack, measured, at_purchase), entries, now)
    return PackReport(found.verdict, found.reasons, cycles, found)


def _standing_logs(packs: dict[int, Part]) -> dict[int, list[LogEntry]]:
    inspected = dict(
        PartEvent.objects.filter(part__in=packs, verb="inspected")
        .order_by()
        .values_list("part")
        .annotate(Max("at"))
    )
    logs: dict[int, list[LogEntry]] = {key: [] for key in packs}
    for row in LogEntry.objects.standing().filter(pack__in=packs):
        if not _is_answered(row, packs[row.pack_id], inspected.get(row.pack_id)):
            logs[row.pack_id].append(row)
    return logs


def _is_answered(row: LogEntry, pack: Part, inspected_at: datetime | None) -> bool:
    # An inspection that put the pack back into service has answered the incidents before it.
    if pack.out_of_service or inspected_at is None:
        return False
    return row.kind == LogEntry.Kind.INCIDENT and row.recorded_at <= inspected_at


def _entry(row: LogEntry) -> health.LogEntry:
    incident = row.get_incident_display() if row.incident else ""
    return health.LogEntry(
        id=str(row.pk),
        kind=row.kind,
        started_at=row.started_at,
        charge_mah=row.charge_mah,
        duration_s=row.duration_s,
        voltage_min_v=row.voltage_min_v,
        rest_v=tuple(row.rest_v),
        resistance_mohm=tuple(row.resistance_mohm),
        method=row.method,
        temperature_c=row.temperature_c,
        hours_since_use=row.rested_h,
        counter_mah=row.counter_mah,
        counter_cycles=row.counter_cycles,
        aircraft_cells=row.aircraft_cells,
        thickness_mm=row.thickness_mm,
        is_full=row.is_full,
        is_capacity_test=row.is_capacity_test,
        note=". ".join(words for words in (incident, row.note) if words),
    )


def _measured(packs: dict[int, Part]) -> dict[int, dict[str, list[float]]]:
    """What was found on each pack by name, oldest first; guesses are no evidence."""
    found: dict[int, dict[str, list[float]]] = {key: {} for key in packs}
    rows = Measurement.objects.filter(part__in=packs).exclude(
        source__in=(Source.GUESSED, Source.UNKNOWN)
    )
    for row in rows.order_by("measured_at", "pk"):
        found[row.part_id].setdefault(row.name, []).append(row.value)
    return found


def _latest(measured: dict[str, list[float]], name: str) -> float | None:
    return measured[name][-1] if name in measured else None


def _missing(pack: Part) -> list[str]:
    sheet: Any = pack.sheet.typed
    missing = [words for name, words in NEEDED.items() if not getattr(sheet, name)]
    if sheet.chemistry and sheet.chemistry not in list(Chemistry):
        missing.append("limits for this chemistry")
    return missing


def _facts(pack: Part, measured: dict[str, list[float]], at_purchase: int) -> PackFacts:
    sheet: Any = pack.sheet.typed
    chemistry = Chemistry(sheet.chemistry)
    thickness = measured.get("height_mm", [])
    return PackFacts(
        chemistry=chemistry,
        cells=sheet.cell_count,
        capacity_mah=sheet.capacity_mah,
        parallel=sheet.parallel_count or 1,
        full_v_per_cell=sheet.cell_full_v or FULL_V_PER_CELL[chemistry],
        nominal_v_per_cell=sheet.cell_nominal_v or None,
        minimum_v_per_cell=sheet.cell_min_v or None,
        continuous_c=sheet.continuous_c_rate or None,
        continuous_a=sheet.current_continuous_a or None,
        cycles_at_purchase=at_purchase,
        thickness_first_mm=thickness[0] if thickness else None,
        thickness_now_mm=thickness[-1] if thickness else None,
        mass_g=pack.mass_g or sheet.mass_g,
        out_of_service_because=pack.out_of_service,
    )


def _without_facts(pack: Part, cycles: Cycles, missing: list[str]) -> PackReport:
    reasons = []
    if pack.out_of_service:
        reasons.append(
            Reason(
                Verdict.OUT_OF_SERVICE,
                "status",
                f"Taken out of service: {pack.out_of_service}.",
                "An inspection that a named person records.",
            )
        )
    reasons.append(
        Reason(
            Verdict.CANNOT_TELL,
            "sheet",
            f"The data sheet does not give: {', '.join(missing)}.",
            "Complete the data sheet.",
        )
    )
    return PackReport(reasons[0].verdict, tuple(reasons), cycles, None)
