"""Reads of imports: a person sees their own and no other."""

from __future__ import annotations

from typing import Self

from hangar.clubs.querysets import OwnedQuerySet, Viewer


class ImportRunQuerySet(OwnedQuerySet):
    """Lists on their way into the inventory, and those that are there."""

    def visible_to(self, user: Viewer) -> Self:
        """The person's own imports."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(by=user)

    def editable_by(self, user: Viewer) -> Self:
        """The person's own imports: what was imported stays, whatever is tried."""
        return self.visible_to(user)

    def open(self) -> Self:
        """Lists that are not imported yet."""
        return self.filter(imported_at__isnull=True)
