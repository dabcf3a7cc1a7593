"""Writes of checks made, of crashes, and of the sheets signed in the field."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone

from builds.answers import answered
from builds.field_sheets import CHECK_LINE, draw_up
from builds.models import Build, CheckDone, Crash, FieldSheet, Fitting
from builds.operations import lock_build, revise
from builds.rechecks import BY_KEY, CRASH
from builds.reports import report_on
from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from hangar.fields import visible
from inventory.models import Condition, Part
from inventory.operations.doubting import doubt_crashed_pack, put_in_doubt

NOTE_LENGTH = 300
FINDING_MIN = 20
CHECKS_MAX = 5000
CRASHES_MAX = 200
SHEETS_MAX = 2000
AHEAD = timedelta(minutes=1)
INSPECTION = "crash_inspection"
OF_A_SHEET = "ticked on a sheet for the field"


def record_checks(
    build: Build, *, by: User, kinds: Collection[str], revision: int, note: str = ""
) -> list[CheckDone]:
    """Write down that some checks were made, all of them or none.

    Two people may make the same check: both are recorded.

    Raises
    ------
    Conflict
        If the build is no longer at the revision seen; or for the inspection after a crash while
        the condition of a part that was in it is still open.
    """
    strange = sorted(set(kinds) - set(BY_KEY))
    if strange:
        raise UserError(f"There is no such check: {', '.join(strange)}.", field="kinds")
    if not kinds:
        raise UserError("Tick what was checked.", field="kinds")
    note = _check_note(note)
    with transaction.atomic():
        locked = _lock_as_seen(build, by=by, revision=revision)
        if locked.checkdone_set.count() + len(kinds) > CHECKS_MAX:
            raise UserError(f"A build has {CHECKS_MAX} checks at most.")
        if INSPECTION in kinds:
            _check_inspection(locked, note)
        return _record(locked, kinds, by=by, note=note)


def _record(build: Build, kinds: Iterable[str], *, by: User, note: str) -> list[CheckDone]:
    return [
        CheckDone.objects.create(build=build, kind=kind, revision=build.revision, by=by, note=note)
        for kind in dict.fromkeys(kinds)
    ]


def record_crash(
    build: Build,
    *,
    by: User,
    revision: int,
    note: str,
    positions: Collection[str],
    pack: Part | None = None,
    at: datetime | None = None,
) -> Crash:
    """Write down a crash: its parts become suspect, its packs go out of service, checks fall due.

    `positions` are short names of the positions whose parts were harmed or may be; `pack` is the
    pack that was aboard without a position of its own.
    """
    note = _check_note(note)
    if not note:
        raise UserError("Say what happened.", field="note")
    at = at or timezone.now()
    if at > timezone.now() + AHEAD:
        raise UserError("A crash that is still to come cannot be recorded.", field="at")
    with transaction.atomic():
        locked = _lock_as_seen(build, by=by, revision=revision)
        if locked.crash_set.count() >= CRASHES_MAX:
            raise UserError(f"A build has {CRASHES_MAX} crashes at most.")
        fittings = _fittings_at(locked, positions)
        harmed = {fitting.part: fitting.position.key for fitting in fittings}
        if pack is not None:
            _check_pack(pack, by=by)
            harmed.setdefault(pack, "")
        if not harmed:
            raise UserError("Name the parts that were in it.", field="positions")
        reason = f"In a crash of {locked}: {note}"
        for part in sorted(harmed, key=lambda part: part.pk):
            _doubt(part, by=by, at=at, reason=reason)
        made = revise(locked, by=by, text=f"Crash: {note}", touched=[CRASH])
        return Crash.objects.create(
            build=locked,
            revision=made.number,
            by=by,
            at=at,
            note=note,
            harmed=[
                {"position": key, "part": part.code, "name": part.display_name}
                for part, key in harmed.items()
            ],
        )


def sign_field_sheet(
    build: Build,
    *,
    by: User,
    digest: str,
    ticked: Collection[str],
    note: str = "",
    pack: Part | None = None,
) -> FieldSheet:
    """Freeze a list as gone through: what was ticked and what was not, and by whom.

    A due check that was ticked is recorded as made; the inspection after a crash is recorded on
    its own, for it needs a finding.

    `digest` is that of the sheet as it was read.

    Raises
    ------
    Conflict
        If the sheet reads otherwise now; or while a warning stands that cannot be answered by a
        reason.
    """
    note = _check_note(note)
    with transaction.atomic():
        locked = lock_build(build, by=by)
        if locked.fieldsheet_set.count() >= SHEETS_MAX:
            raise UserError(f"A build has {SHEETS_MAX} signed sheets at most.")
        report = report_on(locked, viewer=by, pack=pack)
        is_first = not locked.fieldsheet_set.exists()
        sheet = draw_up(report, answered(locked, report), is_first=is_first)
        if sheet.digest != digest:
            raise Conflict("The sheet has changed since you opened it: go through it again.")
        _refuse_final(sheet.final_warnings)
        strange = sorted(set(ticked) - {line.key for line in sheet.lines})
        if strange:
            raise UserError(f"This sheet has no such line: {', '.join(strange)}.", field="ticked")
        made = [key.removeprefix(CHECK_LINE) for key in ticked if key.startswith(CHECK_LINE)]
        _record(locked, [kind for kind in made if kind != INSPECTION], by=by, note=OF_A_SHEET)
        return FieldSheet.objects.create(
            build=locked,
            revision=locked.revision,
            by=by,
            note=note,
            content=sheet.content(set(ticked)),
            digest=digest,
        )


def _lock_as_seen(build: Build, *, by: User, revision: int) -> Build:
    locked = lock_build(build, by=by)
    if locked.revision != revision:
        raise Conflict("The build has changed since you looked: look again.")
    return locked


def _check_note(note: str) -> str:
    note = visible(note)
    if len(note) > NOTE_LENGTH:
        raise UserError(f"A note has {NOTE_LENGTH} characters at most.", field="note")
    return note


def _check_inspection(build: Build, note: str) -> None:
    if len(note) < FINDING_MIN:
        raise UserError(
            f"Say in {FINDING_MIN} characters or more what was inspected and what was found.",
            field="note",
        )
    open_ones = [
        f"{fitting.position.name} ({fitting.part})"
        for fitting in Fitting.objects.open()
        .filter(build=build)
        .select_related("position", "part__sheet")
        if fitting.part.condition == Condition.SUSPECT or fitting.part.out_of_service
    ]
    if open_ones:
        raise Conflict(f"First say how these parts are, or replace them: {', '.join(open_ones)}.")


def _fittings_at(build: Build, positions: Collection[str]) -> list[Fitting]:
    fitted = Fitting.objects.open().filter(build=build).select_related("position", "part__sheet")
    found = {fitting.position.key: fitting for fitting in fitted}
    strange = sorted(set(positions) - set(found))
    if strange:
        raise UserError(f"Nothing is fitted in: {', '.join(strange)}.", field="positions")
    return [found[key] for key in dict.fromkeys(positions)]


def _check_pack(pack: Part, *, by: User) -> None:
    if pack.kind != "pack":
        raise UserError("This is no pack.", field="pack")
    if not Part.objects.visible_to(by).filter(pk=pack.pk).exists():
        raise UserError("No such pack.", field="pack")


def _doubt(part: Part, *, by: User, at: datetime, reason: str) -> None:
    if part.kind == "pack":
        doubt_crashed_pack(part, by=by, at=at, reason=reason)
    else:
        put_in_doubt(part, by=by, reason=reason)


def _refuse_final(warnings: Iterable[str]) -> None:
    named = " ".join(warnings)
    if named:
        raise Conflict(f"This cannot be signed; put right first what it warns of: {named}")
