"""Variants of a build, and how one compares with the build as it is, as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rest_framework import serializers

from builds.figures import Figure
from builds.findings import Judgement
from builds.models import ControlSurface, Position, Variant
from builds.serializers import (
    FIGURES,
    FigureSerializer,
    JudgementSerializer,
    plain_figures,
    plain_finding,
    plain_gap,
)
from builds.variant_throws import SurfaceOption, Travel, throws_of
from builds.variants import Option, Row, compare
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
            "applied_revision",
        )
        read_only_fields = ("created_at", "applied_at", "applied_revision")

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


class TravelSerializer(serializers.Serializer[Any]):
    """What the hole in use needs for one throw."""

    throw = serializers.CharField(help_text="roll, pitch, yaw, or both together")
    wanted_mm = serializers.FloatField()
    travel_up_percent = serializers.FloatField(allow_null=True)
    travel_down_percent = serializers.FloatField(allow_null=True)
    pulse_min_us = serializers.FloatField(allow_null=True)
    pulse_max_us = serializers.FloatField(allow_null=True)
    resolution_lost_percent = serializers.FloatField(
        allow_null=True, help_text="Share of the travel that stays unused"
    )
    is_within_travel = serializers.BooleanField(help_text="It takes 100 % travel at most")
    problem = serializers.CharField(allow_blank=True, help_text="Why it does not give the throw")


class SurfaceOptionSerializer(serializers.Serializer[Any]):
    """One surface in one column."""

    arm_radius_mm = serializers.FloatField(allow_null=True)
    figures = serializers.DictField(child=FigureSerializer())
    travels = TravelSerializer(many=True)
    both = TravelSerializer(allow_null=True, help_text="Both commands of an elevon or V-tail")
    stops_at_mm = serializers.FloatField(allow_null=True, help_text="At 100 % travel, both ways")
    stopped_by = serializers.CharField(allow_blank=True, help_text="travel, linkage or hinge")


class SurfaceThrowsSerializer(serializers.Serializer[Any]):
    """One surface in all columns, in their order."""

    surface = serializers.IntegerField()
    name = serializers.CharField()
    cells = SurfaceOptionSerializer(many=True)


class VariantReportSerializer(serializers.Serializer[Any]):
    """The build as a variant would make it; throws beside those of the build as it is."""

    figures = FIGURES
    findings = JudgementSerializer()
    compared = VariantFigureSerializer(many=True)
    throws = SurfaceThrowsSerializer(many=True)


class ColumnSerializer(serializers.Serializer[Any]):
    """One column of a comparison; the first is the build as it is."""

    title = serializers.CharField()
    pack = serializers.CharField(allow_null=True, help_text="Label code of the pack it has")
    figures = FIGURES
    findings = JudgementSerializer()


class CellSerializer(serializers.Serializer[Any]):
    """One figure in one column; the difference is against the first."""

    value = serializers.FloatField(allow_null=True)
    difference = serializers.FloatField(allow_null=True)
    limit = serializers.FloatField(allow_null=True)
    is_over = serializers.BooleanField(allow_null=True)
    may_be_over = serializers.BooleanField(
        allow_null=True, help_text="The top of its range is above the limit"
    )


class ComparedRowSerializer(serializers.Serializer[Any]):
    """One figure in all columns, in their order."""

    name = serializers.CharField()
    unit = serializers.CharField()
    limit_of = serializers.CharField(allow_blank=True, help_text="Whose limit it is held against")
    cells = CellSerializer(many=True)


class ComparisonSerializer(serializers.Serializer[Any]):
    """The build as it is, beside what-ifs and packs."""

    columns = ColumnSerializer(many=True)
    compared = ComparedRowSerializer(many=True)
    throws = SurfaceThrowsSerializer(many=True)


def plain_options(options: Sequence[Option]) -> dict[str, Any]:
    """Give a comparison as JSON."""
    return {
        "columns": [
            {
                "title": option.title,
                "pack": option.snapshot.pack.code if option.snapshot.pack else None,
                "figures": plain_figures(option.figures),
                "findings": plain_judgement(option.judgement),
            }
            for option in options
        ],
        "compared": [_plain_row(row) for row in compare(options)],
        "throws": plain_throws(options),
    }


def plain_judgement(judgement: Judgement) -> dict[str, Any]:
    """Give what the rules say as JSON."""
    return {
        "judged": judgement.judged,
        "not_applicable": judgement.not_applicable,
        "not_judged": [plain_gap(gap) for gap in judgement.not_judged],
        "findings": [plain_finding(finding) for finding in judgement.findings],
    }


def plain_throws(options: Sequence[Option]) -> list[dict[str, Any]]:
    """Give the throws of all surfaces in all options as JSON."""
    return [
        {
            "surface": row.surface.id,
            "name": row.surface.name,
            "cells": [_plain_surface(one) for one in row.options],
        }
        for row in throws_of(options)
    ]


def _plain_row(row: Row) -> dict[str, Any]:
    return {
        "name": row.name,
        "unit": row.cells[0].figure.unit,
        "limit_of": row.limit_of,
        "cells": [
            {
                "value": cell.figure.value,
                "difference": cell.difference,
                "limit": cell.limit,
                "is_over": cell.is_over,
                "may_be_over": cell.may_be_over,
            }
            for cell in row.cells
        ],
    }


def _plain_surface(one: SurfaceOption) -> dict[str, Any]:
    return {
        "arm_radius_mm": one.surface.arm_radius_mm,
        "figures": plain_figures(one.figures),
        "travels": [_plain_travel(travel) for travel in one.travels],
        "both": _plain_travel(one.both) if one.both else None,
        "stops_at_mm": one.reach.least_mm if one.reach else None,
        "stopped_by": one.reach.stopped_by if one.reach else "",
    }


def _plain_travel(travel: Travel) -> dict[str, Any]:
    return {
        "throw": travel.what,
        "wanted_mm": travel.wanted_mm,
        "travel_up_percent": travel.up_percent,
        "travel_down_percent": travel.down_percent,
        "pulse_min_us": travel.pulse_min_us,
        "pulse_max_us": travel.pulse_max_us,
        "resolution_lost_percent": travel.lost_percent,
        "is_within_travel": travel.is_within,
        "problem": travel.problem,
    }


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
