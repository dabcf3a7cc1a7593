"""What was checked on the demo's aircraft, the crash of one of them, and the sheets signed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from django.utils import timezone

from builds.answers import answered
from builds.field_sheets import draw_up
from builds.models import Build, FieldSheet
from builds.operations.checks import INSPECTION, record_checks, record_crash, sign_field_sheet
from builds.rechecks import due_checks
from builds.reports import report_on
from builds.snapshot import take_snapshot
from hangar.clubs.models import User
from hangar.demo import material
from hangar.demo.people import ClubLife
from inventory.models import Condition
from inventory.operations import change_part


def crash_and_repair(life: ClubLife) -> None:
    """Write down the crash that one aircraft had, and how its parts were found to be."""
    for row in material.read("checks")["builds"]:
        if "crash" in row:
            _crash(_build(row["name"]), life.users[row["by"]], row)


def _crash(build: Build, by: User, row: Mapping[str, Any]) -> None:
    fitted = build.fittings.open().filter(position__key__in=row["crash"]["positions"])
    before = {fitting.part: fitting.part.condition for fitting in fitted.select_related("part")}
    at = timezone.now() - timedelta(days=row["days_ago"])
    record_crash(build, by=by, revision=build.revision, at=at, **row["crash"])
    for part, condition in before.items():
        part.refresh_from_db()
        if part.condition == Condition.SUSPECT:
            change_part(part, by=by, condition=condition)
    build.refresh_from_db()
    record_checks(build, by=by, kinds=[INSPECTION], revision=build.revision, note=row["finding"])


def make(life: ClubLife) -> None:
    """Write down the checks that were made, and sign the sheets."""
    for row in material.read("checks")["builds"]:
        build, by = _build(row["name"]), life.users[row["by"]]
        due = [one.check.key for one in due_checks(take_snapshot(build))]
        kinds = [key for key in due if key not in row["still_due"]]
        record_checks(build, by=by, kinds=kinds, revision=build.revision, note=row["note"])
        for note in row.get("sheets", ()):
            _sign(build, by, note, row["left_unticked"])


def _sign(build: Build, by: User, note: str, left: list[str]) -> None:
    report = report_on(build, viewer=by)
    is_first = not FieldSheet.objects.filter(build=build).exists()
    sheet = draw_up(report, answered(build, report), is_first=is_first)
    keys = [line.key for line in sheet.lines if line.key not in left]
    ticked = [key for key in keys if not key.startswith("check-")]
    sign_field_sheet(build, by=by, digest=sheet.digest, ticked=ticked, note=note)


def _build(name: str) -> Build:
    return Build.objects.select_related("club").get(name=name)
