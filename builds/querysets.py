"""Reads of builds: who may see and who may change them."""

from __future__ import annotations

from typing import Self

from django.db import models

from hangar.clubs.querysets import OwnedQuerySet, Viewer


class BuildQuerySet(OwnedQuerySet):
    """Aircraft of a person and of the person's clubs."""

    def with_may_change(self, user: Viewer) -> Self:
        """Builds with `may_change`: whether the person may change them."""
        mine = type(self)(self.model).editable_by(user).filter(pk=models.OuterRef("pk"))
        return self.annotate(may_change=models.Exists(mine))


class BuildRecordQuerySet(models.QuerySet):
    """Records that belong to a build: positions, fittings, revisions."""

    def visible_to(self, user: Viewer) -> Self:
        """Records of builds the person may see."""
        return self._of("visible_to", user)

    def editable_by(self, user: Viewer) -> Self:
        """Records of builds the person may change."""
        return self._of("editable_by", user)

    def _of(self, door: str, user: Viewer) -> Self:
        builds = self.model._meta.apps.get_model("builds", "Build").objects
        return self.filter(build__in=getattr(builds, door)(user).values("pk"))


class FittingQuerySet(BuildRecordQuerySet):
    """Parts in positions, from when until when."""

    def open(self) -> Self:
        """Fittings of today."""
        return self.filter(removed_at__isnull=True)


class GroundChoiceQuerySet(models.QuerySet):
    """A person's own ground gear."""

    def visible_to(self, user: Viewer) -> Self:
        """The person's own choices."""
        return self.filter(person=user) if user.is_authenticated else self.none()

    def editable_by(self, user: Viewer) -> Self:
        """The person's own choices."""
        return self.visible_to(user)
