"""What was checked on a build, when it crashed, and the sheets signed before a flight."""

from __future__ import annotations

from django.db import models

from builds.models.setup import Observation
from builds.querysets import CheckDoneQuerySet
from builds.rechecks import CHECKS

KEY_LENGTH = 40


class CheckDone(Observation):
    """A check that somebody made on one revision of a build; earlier ones stay."""

    kind = models.CharField(
        max_length=KEY_LENGTH, choices=[(check.key, check.name) for check in CHECKS]
    )

    objects = CheckDoneQuerySet.as_manager()  # type: ignore[misc] # more than its base's

    class Meta(Observation.Meta):
        indexes = (models.Index(fields=("build", "kind", "revision"), name="check_by_kind"),)


class Crash(Observation):
    """A crash of a build: what happened, and which parts were in it.

    `harmed` lists `position`, `part` (label code) and `name` as they were.
    """

    harmed = models.JSONField(default=list)


class FieldSheet(Observation):
    """A list gone through before a flight, exactly as it was signed; never changed afterwards."""

    content = models.JSONField()
    digest = models.CharField(max_length=64, editable=False)
