"""Limits of rules as clubs have set them."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from builds.querysets import RuleLimitQuerySet
from hangar.clubs.models import Club, User


class RuleLimit(models.Model):
    """One limit of one rule as a club set it; the newest of a name counts, older ones stay.

    Without a value the club went back to common practice. The unit ends the limit's name.
    """

    club = models.ForeignKey(Club, models.CASCADE, related_name="rule_limits")
    rule = models.CharField(max_length=120)
    name = models.CharField(max_length=60)
    value = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    objects = RuleLimitQuerySet.as_manager()

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=("club", "rule", "name"), name="rule_limit_by_name"),)

    def __str__(self) -> str:
        return f"{self.rule}.{self.name}"
