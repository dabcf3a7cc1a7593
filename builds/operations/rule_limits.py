"""Writes of the limits of rules that clubs set."""

from __future__ import annotations

from math import isfinite

from django.db import transaction

import builds.rules  # noqa: F401 - registers the rules
from builds.findings import Limit, book
from builds.models import RuleLimit
from hangar.clubs.models import Club, User
from hangar.errors import Conflict, Missing, UserError
from hangar.fields import visible

NOTE_LENGTH = 300
ROWS_MAX = 5000


def set_rule_limit(
    *,
    club: Club,
    by: User,
    rule: str,
    name: str,
    value: float | None,
    note: str = "",
    instead_of: int | None = None,
) -> RuleLimit:
    """Set a limit for all builds of a club and its members, or go back to common practice.

    Parameters
    ----------
    rule, name : of the limit, as the rule book declares it.
    value : in the unit that ends the name; None for common practice.
    note : why, and who says so.
    instead_of : number of the entry that the person had before them, 0 for none; not asked when
        None.

    Raises
    ------
    Missing
        If the person is no officer of the club.
    Conflict
        If somebody has set it meanwhile.
    """
    note = visible(note)
    if len(note) > NOTE_LENGTH:
        raise UserError(f"A note has {NOTE_LENGTH} characters at most.", field="note")
    check_value(limit_of(rule, name), value)
    with transaction.atomic():
        _lock_club(club, by=by)
        rows = RuleLimit.objects.filter(club=club)
        if rows.count() >= ROWS_MAX:
            raise UserError(f"A club has {ROWS_MAX} entries at most.")
        newest = rows.newest().filter(rule=rule, name=name).select_related("by").first()
        if instead_of is not None and instead_of != (newest.pk if newest else 0):
            who = f"{newest.by} has" if newest else "Somebody has"
            raise Conflict(f"{who} set this limit meanwhile. Look again.")
        return RuleLimit.objects.create(
            club=club, rule=rule, name=name, value=value, note=note, by=by
        )


def limit_of(rule: str, name: str) -> Limit:
    """The limit that the rule declares; raises UserError for one that nobody declares."""
    if rule not in book:
        raise UserError("There is no such rule.", field="rule")
    found = next((limit for limit in book[rule].limits if limit.name == name), None)
    if found is None:
        raise UserError("This rule has no such limit.", field="name")
    return found


def check_value(limit: Limit, value: float | None) -> None:
    """Refuse a value outside the bounds within which a club may set the limit."""
    if value is None:
        return
    if not isfinite(value) or not limit.minimum <= value <= limit.maximum:
        raise UserError(f"This must be from {limit.minimum:g} to {limit.maximum:g}.", field="value")


def _lock_club(club: Club, *, by: User) -> None:
    rows = Club.objects.editable_by(by).filter(pk=club.pk)
    if rows.select_for_update(of=("self",)).first() is None:
        raise Missing("No such club, or you are not an officer of it.")
