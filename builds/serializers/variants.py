"""Variants of a build, and how one compares with the build as it is, as JSON."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from builds.figures import Figure
from builds.models import ControlSurface, Position, Variant
from builds.serializers import FIGURES, JudgementSerializer
from builds.variants import Option, compare
from hangar.related import NumberedField
from hangar.serializers import HangarModelSerializer, KnownKeys, QuantitySerializerField
from inventory.serializers.parts import PartCodeField


class ChangeSerializer(KnownKeys):
    """One difference: another part, or none, in a position; or another arm hole of a surface."""

    position = NumberedField(
        queryset=Position.objects.all(), required=False, allow_null=True, default=None
    )
    part = PartCodeField(
        required=False, allow_null=True, default=None, help_text="Label code; none empties it"
    )
    quantity = serializers.IntegerField(min_value=1, max_value=100_000, default=1)
    surface = NumberedField(
        queryset=ControlSurface.objects.all(), required=False, allow_null=True, default=None
    )
    arm_radius_mm = QuantitySerializerField(
        unit="mm", min_value=0, required=False, allow_null=True, default=None
    )


class VariantSerializer(HangarModelSerializer):
    """A what-if for a build, with all its changes."""

    set_later = ("build", "by", "pack", "applied_by")

    build = serializers.IntegerField(source="build_id", read_only=True)
    pack = PartCodeField(
        required=False, allow_null=True, help_text="Label code of another pack than the usual one"
    )
    changes = ChangeSerializer(many=True, required=False)
    by = serializers.CharField(source="by.username", read_only=True)
    applied_by = serializers.SerializerMethodField()

    class Meta:
        model = Variant
        fields = (
            "id",
            "build",
            "name",
            "pack",
            "pack_x_mm",
            "packs_wiring",
            "notes",
            "changes",
            "created_at",
            "by",
            "applied_at",
            "applied_by",
        )
        read_only_fields = ("created_at", "applied_at")

    def get_applied_by(self, variant: Variant) -> str:
        """Name who applied it last."""
        return variant.applied_by.username if variant.applied_by else ""


class VariantFigureSerializer(serializers.Serializer[Any]):
    """One figure of a variant beside that of the build as it is."""

    name = serializers.CharField()
    unit = serializers.CharField()
    limit_of = serializers.CharField(help_text="Whose limit it is held against")
    now = serializers.FloatField(allow_null=True)
    value = serializers.FloatField(allow_null=True)
    difference = serializers.FloatField(allow_null=True)
    limit = serializers.FloatField(allow_null=True)
    is_over = serializers.BooleanField(allow_null=True)


class VariantReportSerializer(serializers.Serializer[Any]):
    """The build as a variant would make it."""

    figures = FIGURES
    findings = JudgementSerializer()
    compared = VariantFigureSerializer(many=True)


def plain_comparison(present: Option, option: Option) -> list[dict[str, Any]]:
    """Give the compared figures as JSON."""
    rows = []
    for row in compare((present, option)):
        now, cell = row.cells
        rows.append(
            {
                "name": row.name,
                "unit": cell.figure.unit,
                "limit_of": row.limit_of,
                "now": now.figure.value if isinstance(now.figure, Figure) else None,
                "value": cell.figure.value if isinstance(cell.figure, Figure) else None,
                "difference": cell.difference,
                "limit": cell.limit,
                "is_over": cell.is_over,
            }
        )
    return rows
