"""From a pack's rows in the database to the plain records that its health is judged from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import Max, OuterRef, Subquery
from django.utils import timezone

from inventory import health
from inventory.health import Chemistry, Cycles, Health, PackFacts, Reason, Verdict
from inventory.health.capacity import NORMAL_FACTOR
from inventory.health.entries import END_PERCENT, in_order
from inventory.models import Incident, LogEntry, Measurement, Part, PartEvent, Source

FULL_V_PER_CELL = {Chemistry.LIPO: 4.20, Chemistry.LIPO_HV: 4.35, Chemistry.LI_ION: 4.20}
"""Full voltage of a cell where the sheet gives none: common practice, no source."""

LAST_INSPECTION = Subquery(
    PartEvent.objects.filter(part=OuterRef("pk"), verb="inspected").order_by("-at").values("at")[:1]
)
"""When a part was last inspected, as a column of a query for parts."""

COLUMNS = (
    "pk", "pack_id", "kind", "started_at", "charge_mah", "duration_s", "voltage_min_v", "rest_v",
    "rested_h", "resistance_mohm", "temperature_c", "is_full", "is_capacity_test", "counter_mah",
    "counter_cycles", "aircraft_cells", "thickness_mm", "incident", "method", "note",
    "recorded_at", "by__username",
)  # fmt: skip
"""What is read of a log: plain rows take half the time of model instances."""

NEEDED = {
    "chemistry": "chemistry",
    "cell_count": "cells in series",
    "capacity_mah": "rated capacity",
}


@dataclass(frozen=True)
class Capacity:
    """Capacity that a log tells, its standard deviation, and when it was last measured."""

    value_mah: float
    uncertainty_mah: float
    at: datetime


@dataclass(frozen=True)
class PackReport:
    """The verdict on a pack; `health` is None where facts about the pack are missing."""

    verdict: Verdict
    reasons: tuple[Reason, ...]
    cycles: Cycles
    health: Health | None

    @property
    def capacity(self) -> Capacity | None:
        """Capacity that the log tells."""
        if self.health is None or not self.health.capacity_mah or not self.health.capacity_at:
            return None
        found = self.health.capacity_mah
        uncertainty = (found.high - found.low) / 2 / NORMAL_FACTOR
        return Capacity(found.value, uncertainty, self.health.capacity_at)


def judge_pack(pack: Part, now: datetime | None = None) -> PackReport:
    """Judge a pack from its data sheet, its measurements and its log; `pack` has its sheet."""
    return judge_packs([pack], now)[pack.pk]


def judge_packs(packs: Iterable[Part], now: datetime | None = None) -> dict[int, PackReport]:
    """Judge packs anew, by the key of each, in three queries; they have their sheets."""
    by_key = {pack.pk: pack for pack in packs}
    now = now or timezone.now()
    logs: dict[int, list[Any]] = {key: [] for key in by_key}
    for row in _standing_rows(by_key):
        logs[row.pack_id].append(row)
    measured: dict[int, list[Measurement]] = {key: [] for key in by_key}
    for reading in Measurement.objects.filter(part__in=by_key).order_by("measured_at", "pk"):
        measured[reading.part_id].append(reading)
    inspected = _last_inspections(by_key)
    return {
        key: judge_as_read(pack, logs[key], measured[key], inspected.get(key), now)
        for key, pack in by_key.items()
    }


def read_pack(pack: Part) -> tuple[PackFacts, tuple[health.LogEntry, ...]] | None:
    """Facts and standing log of a pack as its health is judged from; None where facts are missing.

    The pack has its sheet.
    """
    if _missing(pack):
        return None
    measured = _by_name(pack.measurements.order_by("measured_at", "pk"))
    entries = in_order(_entry(row) for row in _standing_rows([pack.pk]))
    return _facts(pack, measured, int(_latest(measured, "cycles_at_purchase") or 0)), entries


def _standing_rows(packs: Iterable[int]) -> Iterable[Any]:
    rows = LogEntry.objects.standing().filter(pack__in=packs)
    return rows.order_by().values_list(*COLUMNS, named=True)


def _last_inspections(packs: Iterable[int]) -> dict[int, datetime]:
    return dict(
        PartEvent.objects.filter(part__in=packs, verb="inspected")
        .order_by()
        .values_list("part")
        .annotate(Max("at"))
    )


def judge_as_read(
    pack: Part,
    rows: Iterable[Any],
    measurements: Iterable[Measurement],
    inspected_at: datetime | None,
    now: datetime,
) -> PackReport:
    """Judge a pack from the standing rows of its log and its measurements, oldest first.

    The rows are log entries, or have their columns.
    """
    rows = list(rows)
    answered = [row for row in rows if _is_answered(row, pack, inspected_at)]
    entries = [_entry(row) for row in rows if row not in answered]
    measured = _by_name(measurements)
    sheet: Any = pack.sheet.typed
    capacity_mah = sheet.capacity_mah or None
    at_purchase = int(_latest(measured, "cycles_at_purchase") or 0)
    cycles = health.count_cycles(entries, at_purchase, capacity_mah=capacity_mah)
    missing = _missing(pack)
    if missing:
        report = _without_facts(pack, cycles, missing)
    else:
        found = health.judge(_facts(pack, measured, at_purchase), entries, now)
        report = PackReport(found.verdict, found.reasons, cycles, found)
    return _with_inspection(report, rows, answered, inspected_at)


def _with_inspection(
    report: PackReport,
    rows: Iterable[Any],
    answered: Iterable[Any],
    inspected_at: datetime | None,
) -> PackReport:
    """The report with the inspection that answered an incident: such a pack is watched."""
    incident = max(answered, key=_recorded_at, default=None)
    inspections = [
        row
        for row in rows
        if row.kind == LogEntry.Kind.INSPECTION and inspected_at and row.recorded_at <= inspected_at
    ]
    inspection = max(inspections, key=_recorded_at, default=None)
    if incident is None or inspection is None:
        return report
    told = Reason(
        Verdict.WATCH,
        "inspection",
        f"Inspected after {incident.incident} on {inspection.started_at:%Y-%m-%d} by "
        f"{_by(inspection)}: {inspection.note}",
        "Nothing: the incident stays in its log.",
    )
    verdict = Verdict.WATCH if report.verdict == Verdict.FIT else report.verdict
    return replace(report, verdict=verdict, reasons=(*report.reasons, told))


def _recorded_at(row: Any) -> datetime:
    found: datetime = row.recorded_at
    return found


def _by(row: Any) -> str:
    return str(row.by if isinstance(row, LogEntry) else row.by__username)


def _is_answered(row: Any, pack: Part, inspected_at: datetime | None) -> bool:
    # An inspection that put the pack back into service has answered the incidents before it.
    if pack.out_of_service or inspected_at is None:
        return False
    if row.kind != LogEntry.Kind.INCIDENT or Incident(row.incident).is_lasting:
        return False
    return _recorded_at(row) <= inspected_at


def _entry(row: Any) -> health.LogEntry:
    incident = str(Incident(row.incident).label) if row.incident else ""
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


def _by_name(measurements: Iterable[Measurement]) -> dict[str, list[float]]:
    """What was found on a pack by name, oldest first; guesses are no evidence."""
    found: dict[str, list[float]] = {}
    for row in measurements:
        if row.source not in (Source.GUESSED, Source.UNKNOWN):
            found.setdefault(row.name, []).append(row.value)
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
        end_percent=_latest(measured, "end_line_percent") or END_PERCENT,
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
