"""Packs that may be judged: one out of service is told of once, and not by every rule."""

from __future__ import annotations

from builds.findings import Case, MissingValue
from builds.records import PositionRecord

VERDICT = "pack.health_verdict"
"""What a rule that asks here has to declare."""


def pack_in_service(case: Case) -> PositionRecord:
    """The pack that the rule is about.

    Raises
    ------
    MissingValue
        Naming nothing, if the pack is out of service, by hand or by its log: the rule then does
        not apply.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    if subject.part.out_of_service or case.ask(subject, "health_verdict") == "out_of_service":
        raise MissingValue(())
    return subject
