"""Reads of builds: who may see and who may change them."""

from __future__ import annotations

from typing import Self

from django.db import models

from hangar.clubs.querysets import OwnedQuerySet, Viewer, club_ids


class BuildQuerySet(OwnedQuerySet):
    """Aircraft of a person and of the person's clubs."""

    def with_may_change(self, user: Viewer) -> Self:
        """Builds with `may_change`: whether the person may change them."""
        mine = type(self)(self.model).editable_by(user).filter(pk=models.OuterRef("pk"))
        return self.annotate(may_change=models.Exists(mine))

    def with_has_answers(self) -> Self:
        """Builds with `has_answers`: whether any finding was ever answered."""
        given = self.model._meta.apps.get_model("builds", "Answer").objects
        return self.annotate(has_answers=models.Exists(given.filter(build=models.OuterRef("pk"))))


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


class CheckDoneQuerySet(BuildRecordQuerySet):
    """Checks that were made."""

    def newest(self) -> Self:
        """Of each kind of each build the one that was made last."""
        same = {name: models.OuterRef(name) for name in ("build", "kind")}
        later = type(self)(self.model).filter(**same, pk__gt=models.OuterRef("pk"))
        return self.filter(~models.Exists(later))


class AnswerQuerySet(BuildRecordQuerySet):
    """Answers to findings."""

    def standing(self) -> Self:
        """Answers that nobody has withdrawn."""
        return self.filter(withdrawn_at__isnull=True)


class RuleLimitQuerySet(models.QuerySet):
    """Limits of rules that clubs have set."""

    def visible_to(self, user: Viewer) -> Self:
        """Limits of the person's clubs."""
        return self.filter(club__in=club_ids(user)) if user.is_authenticated else self.none()

    def editable_by(self, user: Viewer) -> Self:
        """Limits of clubs of which the person is an officer."""
        if not user.is_authenticated:
            return self.none()
        return self.filter(club__in=club_ids(user, roles=("officer",)))

    def newest(self) -> Self:
        """Of each limit of each club what was set last."""
        return self.with_is_newest().filter(is_newest=True)

    def with_is_newest(self) -> Self:
        """Limits with `is_newest`: whether nothing was set later in its place."""
        same = {name: models.OuterRef(name) for name in ("club", "rule", "name")}
        later = type(self)(self.model).filter(**same, pk__gt=models.OuterRef("pk"))
        return self.annotate(is_newest=~models.Exists(later))

    def of_person(self, person_id: int) -> Self:
        """Limits of the clubs to which that person belongs today."""
        return self.filter(
            club__memberships__user=person_id, club__memberships__left_at__isnull=True
        )


class GroundChoiceQuerySet(models.QuerySet):
    """A person's own ground gear."""

    def visible_to(self, user: Viewer) -> Self:
        """The person's own choices."""
        return self.filter(person=user) if user.is_authenticated else self.none()

    def editable_by(self, user: Viewer) -> Self:
        """The person's own choices."""
        return self.visible_to(user)
