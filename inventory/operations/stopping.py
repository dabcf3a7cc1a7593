"""Parts that are not to be used: stopped, inspected, put back."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.models import Condition, Incident, LogEntry, Part
from inventory.operations.guards import (
    lock_part,
    note_event,
    refuse_unless_editable,
    refuse_unless_seen,
)

FINDING_MIN = 20
NOT_TO_BE_USED = (Condition.SUSPECT, Condition.BROKEN, Condition.RETIRED)


def take_out_of_service(part: Part, *, reason: str, by: User, incident: str = "") -> Part:
    """Mark a part as not to be used, and withdraw its offers.

    Its owner, its keeper or who has it now stops it. Anybody else who sees it reports the damage:
    then it is suspect until the keeper has looked.
    """
    refuse_unless_seen(part, by=by)
    if not reason.strip():
        raise UserError("Say why it is not to be used.", field="reason")
    may_stop = Part.objects.loggable_by(by).filter(pk=part.pk).exists()
    with transaction.atomic():
        locked = lock_part(part)
        if may_stop:
            _stop(locked, reason, by=by, incident=incident)
        else:
            _report(locked, reason, by=by)
    part.refresh_from_db()
    return locked


def _stop(locked: Part, reason: str, *, by: User, incident: str) -> None:
    locked.out_of_service = reason[:200]
    locked.save()
    locked.offers.open().update(ended_at=timezone.now())
    data = {"reason": locked.out_of_service, "incident": incident}
    note_event(locked, "out_of_service", f"Out of service: {reason}.", by=by, **data)


def _report(locked: Part, reason: str, *, by: User) -> None:
    if locked.condition not in NOT_TO_BE_USED:
        locked.condition = Condition.SUSPECT
        locked.save()
    note_event(locked, "reported", f"Damage reported: {reason}.", by=by)


def return_to_service(part: Part, *, finding: str, by: User) -> Part:
    """Record an inspection by a named person that puts a part back into service.

    After some incidents no inspection does so: what is wrong with the pack cannot be seen.
    """
    refuse_unless_editable(part, by=by)
    finding = finding.strip()
    if len(finding) < FINDING_MIN:
        raise UserError(
            f"Say in {FINDING_MIN} characters or more what was inspected and what was found.",
            field="finding",
        )
    with transaction.atomic():
        locked = lock_part(part)
        if not locked.out_of_service:
            raise Conflict("This part is in service.")
        _refuse_lasting(locked)
        locked.out_of_service = ""
        locked.save()
        if locked.kind == "pack":
            _log_inspection(locked, finding, by=by)
        note_event(locked, "inspected", f"Inspected: {finding}", by=by)
    part.refresh_from_db()
    return locked


def _refuse_lasting(pack: Part) -> None:
    for entry in pack.log.standing().filter(kind=LogEntry.Kind.INCIDENT):
        incident = Incident(entry.incident)
        if incident.is_lasting:
            raise Conflict(
                f"{incident.pack_so_harmed} stays out of service. If the entry was a mistake, "
                "correct that entry."
            )


def _log_inspection(pack: Part, finding: str, *, by: User) -> None:
    entry = LogEntry(pack=pack, by=by, kind=LogEntry.Kind.INSPECTION, note=finding)
    entry.full_clean(exclude=["pack", "by"])
    entry.save(force_insert=True)


def reconsider_service(locked: Part, *, by: User) -> None:
    """Ask the log again whether a pack is out of service, once an incident was corrected."""
    if locked.out_of_service not in Incident.labels:
        return
    reason = _standing_incident(locked) or _reason_by_hand(locked)
    if reason == locked.out_of_service:
        return
    locked.out_of_service = reason
    locked.save()
    text = f"Out of service: {reason}." if reason else "Back in service: the entry was a mistake."
    note_event(locked, "corrected", text, by=by)


def _standing_incident(pack: Part) -> str:
    incidents = pack.log.standing().filter(kind=LogEntry.Kind.INCIDENT).order_by("-recorded_at")
    inspected = pack.events.filter(verb="inspected").first()
    standing = [
        Incident(entry.incident)
        for entry in incidents
        if Incident(entry.incident).is_lasting
        or inspected is None
        or entry.recorded_at > inspected.at
    ]
    standing.sort(key=lambda incident: not incident.is_lasting)
    return str(standing[0].label) if standing else ""


def _reason_by_hand(pack: Part) -> str:
    stops = pack.events.filter(verb__in=("out_of_service", "inspected"))
    last = next((event for event in stops if not event.data.get("incident")), None)
    if last is None or last.verb == "inspected":
        return ""
    return str(last.data.get("reason", ""))
