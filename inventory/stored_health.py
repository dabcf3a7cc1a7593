"""Judged health of packs, kept in the database and judged anew only when something changed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from django.db import transaction
from django.db.models import Count, Max, OuterRef, Subquery
from django.utils import timezone

from inventory import health, pack_health
from inventory.health import Cycles, Health, Reason, Verdict
from inventory.health.capacity import Interval
from inventory.health.care import Carriage
from inventory.health.current import CurrentLimit
from inventory.health.pairs import LeftOut
from inventory.health.trend import EndOfLife
from inventory.models import LogEntry, Measurement, PackHealth, Part, PartEvent
from inventory.pack_health import PackReport, judge_packs

OF_SHEET = (
    "chemistry", "cell_count", "parallel_count", "capacity_mah", "cell_full_v", "cell_nominal_v",
    "cell_min_v", "continuous_c_rate", "current_continuous_a", "mass_g",
)  # fmt: skip
"""Columns of the sheet of a pack that its health is judged by."""
KEPT = ("digest", "judged_at", "good_until", "report")
TIMES = ("capacity_at", "changes_at")


def health_of(pack: Part, now: datetime | None = None) -> PackReport:
    """What the log of a pack says, as stored where that still holds; `pack` has its sheet."""
    return health_of_all([pack], now)[pack.pk]


def health_of_all(packs: Iterable[Part], now: datetime | None = None) -> dict[int, PackReport]:
    """What the logs of packs say, by the key of each; only what changed is judged anew and kept.

    Two queries; three more and a write where something changed.
    """
    by_key = {pack.pk: pack for pack in packs}
    now = now or timezone.now()
    digests = _digests(by_key)
    found = {
        row.part_id: _read(row.report)
        for row in PackHealth.objects.filter(part__in=by_key)
        if row.digest == digests[row.part_id] and _holds(row, now)
    }
    changed = [pack for key, pack in by_key.items() if key not in found]
    if changed:
        anew = judge_packs(changed, now)
        _keep(anew, digests, now)
        found |= anew
    return {key: found[key] for key in by_key}


def keep_health_ready(pack: Part) -> None:
    """Judge a pack once what is being written to its log is committed, so that no page waits.

    What fails there fails no write: the health is judged anew when it is asked for.
    """
    transaction.on_commit(lambda: _judge_now(pack.pk), robust=True)


def _judge_now(key: int) -> None:
    health_of(Part.objects.with_sheets().get(pk=key))


def _holds(row: PackHealth, now: datetime) -> bool:
    return row.judged_at <= now and (row.good_until is None or now < row.good_until)


def _keep(reports: Mapping[int, PackReport], digests: Mapping[int, str], now: datetime) -> None:
    rows = [
        PackHealth(
            part_id=key,
            digest=digests[key],
            judged_at=now,
            good_until=report.health.changes_at if report.health else None,
            report=_written(report),
        )
        for key, report in reports.items()
    ]
    PackHealth.objects.bulk_create(
        rows, update_conflicts=True, unique_fields=["part"], update_fields=KEPT
    )


def _digests(packs: Mapping[int, Part]) -> dict[int, str]:
    """Digest of all that each pack is judged by.

    Entries, measurements and inspections are only ever added: their number and the newest tell
    whether any was.
    """
    rows = LogEntry.objects.filter(pack=OuterRef("pk")).order_by().values("pack")
    figures = Measurement.objects.filter(part=OuterRef("pk")).order_by().values("part")
    inspected = PartEvent.objects.filter(part=OuterRef("pk"), verb="inspected").order_by()
    looked_at = inspected.values("part")
    found = Part.objects.filter(pk__in=packs).values_list(
        "pk",
        Subquery(rows.annotate(found=Count("pk")).values("found")),
        Subquery(rows.annotate(found=Max("recorded_at")).values("found")),
        Subquery(figures.annotate(found=Count("pk")).values("found")),
        Subquery(figures.annotate(found=Max("pk")).values("found")),
        Subquery(looked_at.annotate(found=Max("at")).values("found")),
        Subquery(looked_at.annotate(found=Max("by__username")).values("found")),
    )
    return {row[0]: _digest(packs[row[0]], row[1:]) for row in found.order_by()}


def _digest(pack: Part, found: tuple[Any, ...]) -> str:
    sheet = pack.sheet.typed
    of_sheet = [getattr(sheet, name) for name in OF_SHEET]
    judged = [_digest_of_code(), of_sheet, pack.mass_g, pack.out_of_service, found]
    return hashlib.sha256(json.dumps(judged, default=str).encode()).hexdigest()


@cache
def _digest_of_code() -> str:
    """A new release may judge otherwise: what an earlier one stored no longer holds."""
    files = sorted(Path(health.__file__).parent.glob("*.py"))
    read = hashlib.sha256()
    for file in (*files, Path(pack_health.__file__)):
        read.update(file.read_bytes())
    return read.hexdigest()


def _written(report: PackReport) -> dict[str, Any]:
    written = asdict(report)
    if report.health is not None:
        for name in TIMES:
            at = getattr(report.health, name)
            written["health"][name] = at.isoformat() if at else None
    return written


def _read(written: dict[str, Any]) -> PackReport:
    return PackReport(
        Verdict(written["verdict"]),
        _reasons(written["reasons"]),
        Cycles(**written["cycles"]),
        _health(written["health"]) if written["health"] else None,
    )


def _health(written: dict[str, Any]) -> Health:
    times = {name: written[name] and datetime.fromisoformat(written[name]) for name in TIMES}
    return Health(
        **{
            **written,
            **times,
            "verdict": Verdict(written["verdict"]),
            "reasons": _reasons(written["reasons"]),
            "capacity_mah": _made(Interval, written["capacity_mah"]),
            "end_of_life": _made(EndOfLife, written["end_of_life"]),
            "current": _made(CurrentLimit, written["current"]),
            "carriage": Carriage(written["carriage"]),
            "resistance_mohm": tuple(written["resistance_mohm"]),
            "care": tuple(written["care"]),
            "left_out": tuple(LeftOut(**row) for row in written["left_out"]),
        }
    )


def _made(record: Any, written: dict[str, Any] | None) -> Any:
    return record(**written) if written is not None else None


def _reasons(written: Iterable[dict[str, Any]]) -> tuple[Reason, ...]:
    return tuple(Reason(**{**row, "verdict": Verdict(row["verdict"])}) for row in written)
