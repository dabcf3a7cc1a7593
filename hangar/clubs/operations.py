"""Writes to clubs: found, invite, join, change a role, set the field's limits, leave."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.text import slugify

from hangar.clubs.models import (
    FIELD_COLUMNS,
    Club,
    Invitation,
    Membership,
    RadioLimit,
    Role,
    User,
)
from hangar.errors import Conflict, Missing, UserError
from hangar.fields import visible

INVITATION_DAYS = 14
NAME_LENGTH = 80
SLUG_LENGTH = 80
LEAVING: list[Callable[[Membership, User], None]] = []
"""What other apps do when a membership ends, before it ends: they may refuse by a Conflict."""


def found_club(*, name: str, by: User) -> Club:
    """Make a club whose founder is its first officer."""
    name = visible(name)
    slug = slugify(name)[:SLUG_LENGTH]
    if not slug:
        raise UserError("Give the club a name with letters or digits.", field="name")
    if len(name) > NAME_LENGTH:
        raise UserError(f"A club's name has {NAME_LENGTH} characters at most.", field="name")
    try:
        with transaction.atomic():
            club = Club.objects.create(name=name, slug=slug)
            Membership.objects.create(user=by, club=club, role=Role.OFFICER)
    except IntegrityError as error:
        raise Conflict("A club of this name is here already.", field="name") from error
    return club


def invite(
    *,
    club: Club,
    by: User,
    role: str = Role.MEMBER,
    uses_max: int = 1,
    days: int = INVITATION_DAYS,
) -> Invitation:
    """Make an invitation link; only an officer may."""
    _officer_of(club, by)
    _check_role(role)
    if not 1 <= days <= 90:
        raise UserError("An invitation lasts 1 to 90 days.", field="days")
    if not 1 <= uses_max <= 200:
        raise UserError("An invitation is good for 1 to 200 people.", field="uses_max")
    return Invitation.objects.create(
        club=club,
        created_by=by,
        role=role,
        uses_max=uses_max,
        expires_at=timezone.now() + timedelta(days=days),
    )


def withdraw_invitation(*, invitation: Invitation, by: User) -> Invitation:
    """End an invitation before its time."""
    _officer_of(invitation.club, by)
    invitation.withdrawn_at = invitation.withdrawn_at or timezone.now()
    invitation.save(update_fields=["withdrawn_at"])
    return invitation


def join_club(*, token: str, user: User) -> Membership:
    """Join the club that an invitation names; each use is counted once."""
    try:
        with transaction.atomic():
            return _join(token, user)
    except IntegrityError as error:
        raise Conflict("You are a member of this club already.") from error


def _join(token: str, user: User) -> Membership:
    taken = Invitation.objects.usable().filter(token=token).update(uses=F("uses") + 1)
    if not taken:
        raise Missing("This invitation has ended or never was. Ask the club for a new one.")
    invitation = Invitation.objects.select_related("club").get(token=token)
    if Membership.objects.current().filter(user=user, club=invitation.club).exists():
        raise Conflict(f"You are a member of {invitation.club} already.")
    return Membership.objects.create(user=user, club=invitation.club, role=invitation.role)


def change_role(*, membership: Membership, role: str, by: User) -> Membership:
    """Give a member another role; a club never loses its last officer."""
    _officer_of(membership.club, by)
    _check_role(role)
    with transaction.atomic():
        current = _lock_current(membership, new_role=role)
        current.role = role
        current.save(update_fields=["role"])
    return current


def end_membership(*, membership: Membership, by: User) -> Membership:
    """Leave a club, or be removed by an officer; the record stays.

    Raises Conflict while the leaver has things of the club or its members.
    """
    if by != membership.user:
        _officer_of(membership.club, by)
    with transaction.atomic():
        current = _lock_current(membership, new_role=None)
        for settle in LEAVING:
            settle(current, by)
        current.left_at = timezone.now()
        current.save(update_fields=["left_at"])
    return current


def change_mass_line(*, club: Club, mass_line_g: float | None, by: User) -> Club:
    """Set, or take away, the take-off mass above which other rules hold."""
    _officer_of(club, by)
    club.mass_line_g = mass_line_g
    club.full_clean(exclude=["name", "slug"])
    club.save(update_fields=["mass_line_g"])
    return club


def change_field(*, club: Club, by: User, **place: float | None) -> Club:
    """Set, or take away, where the club's field lies and how high; what is not named stays."""
    _officer_of(club, by)
    for name in FIELD_COLUMNS:
        setattr(club, name, place.get(name, getattr(club, name)))
    club.full_clean(exclude=["name", "slug"])
    club.save(update_fields=FIELD_COLUMNS)
    return club


def add_radio_limit(*, club: Club, by: User, **values: Any) -> RadioLimit:
    """Enter a band and what may be radiated in it at the club's field."""
    _officer_of(club, by)
    limit = RadioLimit(club=club, **values)
    limit.full_clean(exclude=["club"])
    limit.save()
    return limit


def remove_radio_limit(*, limit: RadioLimit, by: User) -> None:
    """Take a band out of the club's list."""
    _officer_of(limit.club, by)
    limit.delete()


def _check_role(role: str) -> None:
    if role not in Role.values:
        raise UserError(f"A role is one of {', '.join(Role.values)}.", field="role")


def _officer_of(club: Club, user: User) -> None:
    if not Club.objects.editable_by(user).filter(pk=club.pk).exists():
        raise Missing("No such club, or you are not an officer of it.")


def _lock_current(membership: Membership, *, new_role: str | None) -> Membership:
    # The club's memberships are locked in one order, so that of two officers who demote each
    # other the second one waits, and then reads that the first is the last.
    in_club = Membership.objects.current().filter(club=membership.club_id)
    locked = list(in_club.order_by("pk").select_for_update())
    current = next((one for one in locked if one.pk == membership.pk), None)
    if current is None:
        raise Conflict("This membership has ended.")
    officers = [one for one in locked if one.role == Role.OFFICER]
    if officers == [current] and new_role != Role.OFFICER:
        raise Conflict("A club needs an officer: name another one first.")
    return current
