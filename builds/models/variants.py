"""What-ifs: other parts in some positions of a build; nothing moves until one is applied."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from builds.models.aircraft import PACKS_WIRINGS, Build, Position
from builds.models.setup import ControlSurface
from builds.querysets import BuildRecordQuerySet
from hangar.clubs.models import User
from hangar.fields import measure
from inventory.kinds.airframe import ALONG
from inventory.models import Part


class Variant(models.Model):
    """A what-if for a build."""

    build = models.ForeignKey(Build, models.CASCADE, related_name="variants")
    name = models.CharField(max_length=60)
    pack = models.ForeignKey(
        Part,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Another pack than the usual one",
    )
    pack_x_mm = measure("Where that pack's middle would sit", **ALONG)
    packs_wiring = models.CharField(
        max_length=8,
        blank=True,
        choices=PACKS_WIRINGS,
        help_text="How two or more packs would be joined, if not as the build's are",
    )
    notes = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    applied_at = models.DateTimeField(null=True, blank=True, editable=False)
    applied_by = models.ForeignKey(
        User, models.PROTECT, null=True, related_name="+", editable=False
    )
    applied_revision = models.PositiveIntegerField(null=True, blank=True, editable=False)
    before = models.JSONField(default=dict, blank=True, editable=False)
    """Set-up and arm holes as they were and as applying made them, to be put back."""

    objects = BuildRecordQuerySet.as_manager()

    class Meta:
        ordering = ("build", "created_at", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("build", "name"),
                name="variant_name_unique",
                violation_error_message="This build has a variant of that name already.",
            ),
        )

    def __str__(self) -> str:
        return self.name


class VariantChange(models.Model):
    """One difference of a variant: another part, or none, in a position; or another arm hole."""

    variant = models.ForeignKey(Variant, models.CASCADE, related_name="changes")
    position = models.ForeignKey(Position, models.CASCADE, null=True, blank=True)
    part = models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="+")
    quantity = models.PositiveIntegerField(default=1)
    surface = models.ForeignKey(ControlSurface, models.CASCADE, null=True, blank=True)
    arm_radius_mm = measure("Radius of the arm's hole it would use")

    class Meta:
        ordering = ("variant", "pk")
        constraints = (
            models.UniqueConstraint(fields=("variant", "position"), name="variant_position_once"),
            models.UniqueConstraint(fields=("variant", "surface"), name="variant_surface_once"),
            models.CheckConstraint(
                condition=Q(position__isnull=False, surface__isnull=True)
                | Q(position__isnull=True, surface__isnull=False, part__isnull=True),
                name="variant_change_of_one_thing",
            ),
        )

    def __str__(self) -> str:
        return f"{self.position or self.surface}"
