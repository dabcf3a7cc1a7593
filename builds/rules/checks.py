"""What must be looked at again after a change or a crash, and nobody has yet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from builds.findings import Case, Finding, Level, book
from builds.rechecks import CRASH, DueCheck, due_checks

PRACTICE = "common practice, no source"
INSPECTION = "crash_inspection"


@book.rule(group="checks", source=PRACTICE)
def crash_not_inspected(case: Case) -> Iterator[Finding]:
    """Has the aircraft crashed, and nobody inspected it since?

    Cracks, bent shafts and stripped gears do not show on the next start; a dented pack can catch
    fire late. The inspection is recorded among the checks, with what was found.
    """
    due = [one for one in due_checks(case.build) if one.check.key == INSPECTION]
    if not due:
        return
    revision = case.build.changed_in[CRASH]
    yield case.finding(
        Level.WARNING,
        f"A crash is recorded in revision {revision}, and no inspection since.",
        "Inspect all that was in it, say of each part how it is, then record the inspection.",
        crash_revision=revision,
    )


@book.rule(group="checks", source=PRACTICE)
def checks_due(case: Case) -> Iterator[Finding]:
    """Has something changed that asks for a check, and nobody made it since?

    One finding names them all. A warning where failsafe, range or a direction is among them, a
    caution for throws, balance, current or saved settings, a note for the rest. Asked once all is
    fitted that the aircraft needs to fly. The inspection after a crash is a finding of its own.
    """
    if any(place.is_required and place.part is None for place in case.build.positions):
        return
    due = [one for one in due_checks(case.build) if one.check.key != INSPECTION]
    if not due:
        return
    many = "1 check is" if len(due) == 1 else f"{len(due)} checks are"
    yield case.finding(
        max(one.check.level for one in due),
        f"{many} due: {_named(due)}.",
        "Make each as the page of checks says, and tick it there.",
        checks=tuple(one.check.key for one in due),
        since_revision=min(one.since_revision for one in due),
    )


def _named(due: Sequence[DueCheck]) -> str:
    """Names of checks behind the revision since which they are due, the latest first."""
    revisions = sorted({one.since_revision for one in due}, reverse=True)
    return "; ".join(
        f"since revision {revision} {_listed(one for one in due if one.since_revision == revision)}"
        for revision in revisions
    )


def _listed(due: Iterable[DueCheck]) -> str:
    *first, last = (one.check.name for one in due)
    return f"{', '.join(first)} and {last}" if first else last
