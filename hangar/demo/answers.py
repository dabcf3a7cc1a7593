"""What the demo's builder accepted of what was found, and a limit that the club has set."""

from __future__ import annotations

from builds.models import Build
from builds.operations.answers import accept_findings
from builds.operations.rule_limits import set_rule_limit
from hangar.demo.people import ClubLife

SHIM = "fit.camera_loose_in_slot"
SHIM_REASON = "Foam tape at both sides holds it; the shims are ordered."
STORED_RULE, STORED_LIMIT, STORED_DAYS = "care.stored_full", "days", 2.0
STORED_NOTE = "Agreed at the spring meeting: nobody takes charged packs home."


def make(life: ClubLife) -> None:
    """Accept one note on the small wing, and set one limit."""
    set_rule_limit(
        club=life.club,
        by=life.users["treasurer"],
        rule=STORED_RULE,
        name=STORED_LIMIT,
        value=STORED_DAYS,
        note=STORED_NOTE,
    )
    build = Build.objects.select_related("club").get(name__startswith="A1")
    accept_findings(
        build,
        by=life.users["builder"],
        rule=SHIM,
        places={"camera": ""},
        reason=SHIM_REASON,
    )
