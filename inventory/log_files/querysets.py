"""Reads of log files: who keeps a pack's log sees its files."""

from __future__ import annotations

from typing import Self

from django.db import models

from hangar.clubs.querysets import Viewer


class LogFileQuerySet(models.QuerySet):
    """Files that chargers and loggers wrote, received for one pack."""

    def visible_to(self, user: Viewer) -> Self:
        """Files of packs whose log the person keeps."""
        if not user.is_authenticated:
            return self.none()
        packs = self.model._meta.apps.get_model("inventory", "Part").objects.loggable_by(user)
        return self.filter(pack__in=packs.values("pk"), received_at__isnull=False)

    def editable_by(self, user: Viewer) -> Self:
        """Files that the person may import or discard: those of packs whose log they keep."""
        return self.visible_to(user)

    def unfinished(self) -> Self:
        """Files that are not imported to their end."""
        return self.filter(finished_at__isnull=True)


class LogRecipeQuerySet(models.QuerySet):
    """How people had their files read."""

    def visible_to(self, user: Viewer) -> Self:
        """The person's own recipes."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(person=user)

    def editable_by(self, user: Viewer) -> Self:
        """The person's own recipes."""
        return self.visible_to(user)
