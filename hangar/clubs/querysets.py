"""Reads of clubs: who may see and who may change what."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self, TypeAlias

from django.db import models
from django.db.models import Q
from django.utils import timezone

if TYPE_CHECKING:
    from django.contrib.auth.models import AnonymousUser

    from hangar.clubs.models import User

Viewer: TypeAlias = "User | AnonymousUser"


class ClubQuerySet(models.QuerySet):
    """Clubs, narrowed by what a person is in them."""

    def visible_to(self, user: Viewer) -> Self:
        """Clubs of which the person is a member today."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(pk__in=club_ids(user))

    def editable_by(self, user: Viewer) -> Self:
        """Clubs of which the person is an officer."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(pk__in=club_ids(user, roles=("officer",)))

    def kept_by(self, user: Viewer) -> Self:
        """Clubs whose pool the person looks after: keepers and officers."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(pk__in=club_ids(user, roles=("keeper", "officer")))


class MembershipQuerySet(models.QuerySet):
    """Memberships, narrowed by what a person may know of them."""

    def current(self) -> Self:
        """Memberships that have not ended."""
        return self.filter(left_at__isnull=True)

    def visible_to(self, user: Viewer) -> Self:
        """Memberships in the person's own clubs."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(club__in=club_ids(user))

    def editable_by(self, user: Viewer) -> Self:
        """Memberships in clubs of which the person is an officer."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(club__in=club_ids(user, roles=("officer",)))


class InvitationQuerySet(models.QuerySet):
    """Invitations to a club."""

    def usable(self) -> Self:
        """Invitations that are neither used up, withdrawn nor expired."""
        return self.filter(
            expires_at__gt=timezone.now(), withdrawn_at__isnull=True, uses__lt=models.F("uses_max")
        )

    def visible_to(self, user: Viewer) -> Self:
        """Invitations of clubs of which the person is an officer."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(club__in=club_ids(user, roles=("officer",)))

    def editable_by(self, user: Viewer) -> Self:
        """The same invitations: who may see one may withdraw it."""
        return self.visible_to(user)


class OwnedQuerySet(models.QuerySet):
    """Things that belong to a person or to a club."""

    def owned_by(self, user: Viewer) -> Self:
        """Things that the person owns."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(person=user)

    def visible_to(self, user: Viewer) -> Self:
        """Own things and those of the person's clubs."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(Q(person=user) | Q(club__in=club_ids(user)))

    def editable_by(self, user: Viewer) -> Self:
        """Own things and those of clubs that the person keeps."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(Q(person=user) | Q(club__in=club_ids(user, roles=("keeper", "officer"))))


def club_ids(user: User, roles: tuple[str, ...] = ()) -> models.QuerySet:
    """Ids of the clubs the person belongs to, as a subquery; `roles` narrows it."""
    memberships = user.memberships.filter(left_at__isnull=True)
    if roles:
        memberships = memberships.filter(role__in=roles)
    return memberships.values("club_id")
