"""What a club has laid down for lending its parts, and whether somebody keeps within it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Q
from django.utils import timezone

from hangar.clubs.models import Club, Membership, Role, User
from hangar.errors import Conflict, Missing, UserError
from inventory.kinds import DataSheet
from inventory.models import Claim, LendingRule, Loan, Part

RANKS = (Role.MEMBER, Role.KEEPER, Role.OFFICER)


def save_lending_rule(*, club: Club, by: User, kind: str = "", **values: Any) -> LendingRule:
    """Lay down, or change, a club's rule for one kind of part or for all; an officer does."""
    if not Club.objects.editable_by(by).filter(pk=club.pk).exists():
        raise Missing("No such club, or you are not an officer of it.")
    if kind and kind not in DataSheet.registry:
        raise UserError("There is no such kind of part.", field="kind")
    rule = LendingRule.objects.filter(club=club, kind=kind).first()
    rule = rule or LendingRule(club=club, kind=kind)
    for name, value in values.items():
        setattr(rule, name, value)
    rule.full_clean(exclude=["club"])
    try:
        with transaction.atomic():
            rule.save()
    except IntegrityError as error:
        raise Conflict("Somebody was faster: look again at the rule.") from error
    return rule


def delete_lending_rule(rule: LendingRule, *, by: User) -> None:
    """Take a rule away."""
    if not LendingRule.objects.editable_by(by).filter(pk=rule.pk).exists():
        raise Missing("No such rule, or you are not an officer of the club.")
    rule.delete()


def check_lending(
    part: Part,
    person: User,
    until_on: date | None,
    *,
    field: str,
    since: date | None = None,
    more: int = 1,
) -> int | None:
    """Refuse what the club does not lend so; gives the days it lends for, where it says.

    Rules are about the club's own parts. A member's own part is lent as that member likes.
    """
    if part.club_id is None:
        return None
    rules = list(LendingRule.objects.filter(Q(kind="") | Q(kind=part.kind), club=part.club_id))
    if not rules:
        return None
    membership = Membership.objects.current().filter(user=person, club=part.club_id).first()
    if membership is None:
        raise Conflict("The club lends to its members only.")
    for rule in rules:
        _check_person(rule, membership)
        _check_number(rule, part, person, more)
    days = [rule.days_max for rule in rules if rule.days_max is not None]
    if not days:
        return None
    _check_days(min(days), until_on, since or timezone.localdate(), field)
    return min(days)


def _check_person(rule: LendingRule, membership: Membership) -> None:
    what = rule.get_kind_display().lower() if rule.kind else "its parts"
    if RANKS.index(Role(membership.role)) < RANKS.index(Role(rule.role_least)):
        raise Conflict(f"The club lends {what} to a {Role(rule.role_least).label} or above only.")
    needed = rule.membership_days_min
    if needed and timezone.now() - membership.joined_at < timedelta(days=needed):
        raise Conflict(f"The club lends {what} after {needed} days of membership.")


def _check_number(rule: LendingRule, part: Part, person: User, more: int) -> None:
    if rule.parts_max is None:
        return
    of_rule = Part.objects.filter(club=part.club_id).exclude(pk=part.pk)
    if rule.kind:
        of_rule = of_rule.filter(kind=rule.kind)
    lent = Loan.objects.open().filter(borrower=person, part__in=of_rule.values("pk"))
    claimed = Claim.objects.open().filter(claimant=person, part__in=of_rule.values("pk"))
    parts = set(lent.values_list("part", flat=True)) | set(claimed.values_list("part", flat=True))
    if len(parts) + more > rule.parts_max:
        raise Conflict(f"The club lends {rule.parts_max} of these at a time, and no more.")


def _check_days(days_max: int, until_on: date | None, since: date, field: str) -> None:
    last = since + timedelta(days=days_max)
    if until_on is None or until_on > last:
        raise UserError(
            f"The club lends it for {days_max} days at most: name a day until {last}.", field=field
        )
