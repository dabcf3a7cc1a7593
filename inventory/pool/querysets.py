"""Reads of the queue, of a club's lending rules and of notices."""

from __future__ import annotations

from typing import Self

from django.db import models
from django.db.models import Q

from hangar.clubs.querysets import Viewer, club_ids

KEEPERS = ("keeper", "officer")


class WaitQuerySet(models.QuerySet):
    """Places in the queue behind a part."""

    def open(self) -> Self:
        """Places that are still waited in."""
        return self.filter(ended_at__isnull=True)

    def in_turn(self) -> Self:
        """Open places whose turn may come, the first one first."""
        return self.open().filter(is_granted=True).order_by("started_at", "pk")

    def asked(self) -> Self:
        """Open places that the owner has not agreed to yet."""
        return self.open().filter(is_granted=False).order_by("started_at", "pk")

    def visible_to(self, user: Viewer) -> Self:
        """The person's own places, and those behind parts they own or keep."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(
            Q(person=user) | Q(part__person=user) | Q(part__club__in=club_ids(user, roles=KEEPERS))
        )

    def editable_by(self, user: Viewer) -> Self:
        """The same places: each may be given up by who waits and by who has the say."""
        return self.visible_to(user)


class LendingRuleQuerySet(models.QuerySet):
    """What a club has laid down for lending its parts."""

    def visible_to(self, user: Viewer) -> Self:
        """Rules of the person's clubs."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(club__in=club_ids(user))

    def editable_by(self, user: Viewer) -> Self:
        """Rules of clubs of which the person is an officer."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(club__in=club_ids(user, roles=("officer",)))


class NoticeQuerySet(models.QuerySet):
    """What a person has been told."""

    def visible_to(self, user: Viewer) -> Self:
        """The person's own notices that are shown in the tool."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(person=user, is_shown=True)

    def editable_by(self, user: Viewer) -> Self:
        """The person's own notices."""
        return self.visible_to(user)

    def unread(self) -> Self:
        """Notices that have not been marked as read."""
        return self.filter(read_at__isnull=True)

    def to_mail(self) -> Self:
        """Notices that wait to be mailed."""
        return self.filter(is_mailed=True, mailed_at__isnull=True)
