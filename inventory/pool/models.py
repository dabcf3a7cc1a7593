"""The queue behind a part, a club's lending rules, notices and the calendar's secret address."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from hangar.clubs.models import Club, Role, User
from inventory.kinds import kind_choices
from inventory.pool.querysets import LendingRuleQuerySet, NoticeQuerySet, WaitQuerySet

DAYS_MAX = 730


class Wait(models.Model):
    """A place in the queue behind a part, or a request that its owner has to agree to first."""

    part = models.ForeignKey("inventory.Part", models.CASCADE, related_name="waits")
    person = models.ForeignKey(User, models.PROTECT, related_name="waits")
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    purpose = models.CharField(max_length=120, blank=True, help_text="What it is wanted for")
    days = models.PositiveSmallIntegerField(
        default=7,
        validators=[MinValueValidator(1), MaxValueValidator(DAYS_MAX)],
        help_text="For how many days, once it is their turn",
    )
    is_granted = models.BooleanField(default=True, editable=False)
    started_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = WaitQuerySet.as_manager()

    class Meta:
        ordering = ("started_at", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("part", "person"),
                condition=Q(ended_at__isnull=True),
                name="one_place_in_a_queue",
            ),
        )

    def __str__(self) -> str:
        return f"place in the queue since {self.started_at:%Y-%m-%d}"


class LendingRule(models.Model):
    """To whom, for how long and how many of its parts a club lends."""

    club = models.ForeignKey(Club, models.CASCADE, related_name="lending_rules")
    kind = models.CharField(
        max_length=24, choices=kind_choices, blank=True, help_text="Blank for parts of every kind"
    )
    role_least = models.CharField(
        max_length=8, choices=Role, default=Role.MEMBER, help_text="Who may have them"
    )
    membership_days_min = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MaxValueValidator(3650)],
        help_text="Days somebody has been a member before they may have them",
    )
    days_max = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(DAYS_MAX)],
        help_text="Days for which a part is lent or put aside",
    )
    parts_max = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(1000)],
        help_text="Parts that one person has at a time",
    )

    objects = LendingRuleQuerySet.as_manager()

    class Meta:
        ordering = ("club", "kind")
        constraints = (
            models.UniqueConstraint(fields=("club", "kind"), name="one_lending_rule_per_kind"),
        )

    def __str__(self) -> str:
        return f"lending rule of {self.club}: {self.kind or 'every kind'}"


class NoticeKind(models.TextChoices):
    """What a person can be told about."""

    GRANTED = "granted", "a part is put aside or lent to me"
    ASKED = "asked", "somebody asks for a part of mine"
    DUE_SOON = "due_soon", "a part is due soon"
    OVERDUE = "overdue", "a part is overdue"
    DAMAGED = "damaged", "a part came back damaged or with pieces missing"
    LOST = "lost", "a part is lost"
    TRANSFERRED = "transferred", "a part changes its owner"
    CHANGED = "changed", "a loan or claim of mine is extended or ended"


class Notice(models.Model):
    """One thing a person is told, once: the same key is never told twice."""

    person = models.ForeignKey(User, models.CASCADE, related_name="notices")
    kind = models.CharField(max_length=12, choices=NoticeKind)
    key = models.CharField(max_length=80)
    part = models.ForeignKey(
        "inventory.Part", models.CASCADE, null=True, related_name="+", db_index=False
    )
    text = models.CharField(max_length=400)
    made_at = models.DateTimeField(default=timezone.now)
    is_shown = models.BooleanField(default=True)
    read_at = models.DateTimeField(null=True, blank=True)
    is_mailed = models.BooleanField(default=True)
    mailed_at = models.DateTimeField(null=True, blank=True)

    objects = NoticeQuerySet.as_manager()

    class Meta:
        ordering = ("-made_at", "-pk")
        constraints = (models.UniqueConstraint(fields=("person", "key"), name="notice_told_once"),)

    def __str__(self) -> str:
        return self.text


class NoticeChoice(models.Model):
    """What a person wants to be told in the tool and by mail; where there is no row, both."""

    person = models.ForeignKey(User, models.CASCADE, related_name="notice_choices")
    kind = models.CharField(max_length=12, choices=NoticeKind)
    in_tool = models.BooleanField(default=True)
    by_mail = models.BooleanField(default=True)

    class Meta:
        ordering = ("kind",)
        constraints = (
            models.UniqueConstraint(fields=("person", "kind"), name="one_choice_per_notice"),
        )

    def __str__(self) -> str:
        return f"{self.person}: {self.kind}"


class CalendarFeed(models.Model):
    """A secret address of a person's due days; only the digest of the secret is kept."""

    person = models.OneToOneField(User, models.CASCADE, related_name="calendar_feed")
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"calendar of {self.person}"
