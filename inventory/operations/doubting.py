"""Parts that came to harm and must be looked at: suspect until somebody says how they are."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from hangar.clubs.models import User
from inventory.models import Condition, Incident, LogEntry, Part
from inventory.operations.guards import lock_part, note_event, refuse_unless_seen
from inventory.operations.log import add_log_entry
from inventory.operations.stopping import NOT_TO_BE_USED


def put_in_doubt(part: Part, *, by: User, reason: str) -> Part:
    """Make a part suspect; of a bag only the history tells, for one piece of it was harmed."""
    refuse_unless_seen(part, by=by)
    with transaction.atomic():
        locked = lock_part(part)
        if not locked.is_bag and locked.condition not in NOT_TO_BE_USED:
            locked.condition = Condition.SUSPECT
            locked.save()
        note_event(locked, "harmed", reason, by=by)
    return locked


def doubt_crashed_pack(pack: Part, *, by: User, at: datetime, reason: str) -> Part:
    """Write the crash into a pack's log, which takes it out of service.

    A pack whose log is not the person's to keep becomes suspect until its keeper has looked.
    """
    if not Part.objects.loggable_by(by).filter(pk=pack.pk).exists():
        return put_in_doubt(pack, by=by, reason=reason)
    add_log_entry(
        pack,
        by=by,
        kind=LogEntry.Kind.INCIDENT,
        incident=Incident.CRASHED,
        started_at=at,
        note=reason[:300],
    )
    return pack
