"""What builders answered to findings: accepted, because."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from builds.models.aircraft import Build
from builds.querysets import AnswerQuerySet
from hangar.clubs.models import User
from hangar.fields import NameField
from inventory.models import Part

REASON_LENGTH = 300


class Answer(models.Model):
    """What one rule says of one place of a build, accepted for a reason.

    It holds while the findings rest on the numbers that it was given for: `digest` stands for
    them. `level` and `message` are those of the findings as they were.
    """

    build = models.ForeignKey(Build, models.CASCADE, related_name="answers")
    rule = models.CharField(max_length=120)
    position = models.CharField(max_length=40, blank=True)
    digest = models.CharField(max_length=32, editable=False)
    level = models.CharField(max_length=8, editable=False)
    message = models.TextField(editable=False)
    pack = models.ForeignKey(
        Part,
        models.PROTECT,
        null=True,
        related_name="+",
        editable=False,
        help_text="The pack that the build was judged with",
    )
    reason = NameField(max_length=REASON_LENGTH)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)
    withdrawn_by = models.ForeignKey(
        User, models.PROTECT, null=True, related_name="+", editable=False
    )

    objects = AnswerQuerySet.as_manager()

    class Meta:
        ordering = ("-at", "-pk")
        constraints = (
            models.UniqueConstraint(
                fields=("build", "rule", "position", "digest"),
                condition=Q(withdrawn_at__isnull=True),
                name="one_standing_answer",
                violation_error_message="Somebody has answered this already.",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="answer_withdrawn_by_somebody",
            ),
        )

    def __str__(self) -> str:
        return f"{self.rule} {self.position}".strip()
