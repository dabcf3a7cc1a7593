"""Writes to clubs: found, invite, join, change a role, leave."""

from __future__ import annotations

from datetime import timedelta

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.text import slugify

from hangar.clubs.models import Club, Invitation, Membership, Role, User
from hangar.errors import Conflict, Missing, UserError

INVITATION_DAYS = 14


def found_club(*, name: str, by: User) -> Club:
    """Make a club whose founder is its first officer."""
    slug = slugify(name)
    if not slug:
        raise UserError("Give the club a name with letters or digits.", field="name")
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
    with transaction.atomic():
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
    if role not in Role.values:
        raise UserError(f"A role is one of {', '.join(Role.values)}.", field="role")
    with transaction.atomic():
        _keep_an_officer(membership, new_role=role)
        membership.role = role
        membership.save(update_fields=["role"])
    return membership


def end_membership(*, membership: Membership, by: User) -> Membership:
    """Leave a club, or be removed by an officer; the record stays."""
    if by != membership.user:
        _officer_of(membership.club, by)
    with transaction.atomic():
        _keep_an_officer(membership, new_role=None)
        membership.left_at = timezone.now()
        membership.save(update_fields=["left_at"])
    return membership


def _officer_of(club: Club, user: User) -> None:
    if not Club.objects.editable_by(user).filter(pk=club.pk).exists():
        raise Missing("No such club, or you are not an officer of it.")


def _keep_an_officer(membership: Membership, *, new_role: str | None) -> None:
    officers = Membership.objects.current().filter(club=membership.club, role=Role.OFFICER)
    others = list(officers.select_for_update().exclude(pk=membership.pk))
    if membership.role == Role.OFFICER and new_role != Role.OFFICER and not others:
        raise Conflict("A club needs an officer: name another one first.")
