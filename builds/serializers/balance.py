"""The balance of a build, and weigh-ins of the finished aircraft, as JSON."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from builds.balance import BalanceSheet, FromMark, PackPlace
from builds.models import WeighIn
from builds.serializers import FigureSerializer, plain_figures
from hangar.serializers import HangarModelSerializer
from inventory.serializers.parts import PartCodeField

OF_PACK = ("auw_g", "cg_x_mm", "pack_x_wanted_mm", "pack_x_for_margin_mm")
OF_BUILD = (
    "auw_g",
    "empty_g",
    "cg_x_mm",
    "cg_min_x_mm",
    "cg_max_x_mm",
    "cg_target_x_mm",
    "cg_suggested_min_x_mm",
    "cg_suggested_max_x_mm",
    "cg_for_margin_mm",
    "pack_x_wanted_mm",
    "pack_x_for_margin_mm",
    "neutral_point_mm",
    "static_margin_percent",
    "inertia_roll_kg_m2",
    "inertia_pitch_kg_m2",
    "inertia_yaw_kg_m2",
    "weighed_difference_g",
    "balance_point_difference_mm",
)


class FromMarkSerializer(serializers.Serializer[Any]):
    """How far the front of the pack, or its middle, lies behind a mark; negative when ahead."""

    mark = serializers.CharField()
    mark_x_mm = serializers.FloatField()
    of = serializers.ChoiceField(choices=["front", "middle"])
    behind_mm = serializers.FloatField()


class PackPlaceSerializer(serializers.Serializer[Any]):
    """A pack in its tray, and where it must sit."""

    part = serializers.CharField(help_text="Label code")
    name = serializers.CharField()
    owner = serializers.CharField()
    fits_cells = serializers.BooleanField(
        allow_null=True, help_text="Do its cells suit the controller; null: not known"
    )
    x_mm = serializers.FloatField(allow_null=True, help_text="Where its middle is taken to sit")
    tray_allows = serializers.ChoiceField(
        choices=["wanted", "range", "none", ""],
        help_text="The place wanted, only the range, nothing in range; empty: not known",
    )
    figures = serializers.DictField(child=FigureSerializer())
    wanted_from_marks = FromMarkSerializer(many=True)


class BallastSerializer(serializers.Serializer[Any]):
    """Ballast at one place for the centre of gravity wanted."""

    place = serializers.CharField()
    x_mm = serializers.FloatField()
    mass_g = FigureSerializer()


class ShiftSerializer(serializers.Serializer[Any]):
    """What moving one part does to the centre of gravity."""

    position = serializers.CharField()
    by_mm = serializers.FloatField()
    cg_shift_mm = FigureSerializer()


class CentreRangeSerializer(serializers.Serializer[Any]):
    """Foremost and rearmost centre of gravity over all packs."""

    x_min_mm = serializers.FloatField()
    x_max_mm = serializers.FloatField()


class BalanceSerializer(serializers.Serializer[Any]):
    """The balance of a build with the pack shown, and with each pack in reach."""

    margin_percent = serializers.FloatField()
    figures = serializers.DictField(child=FigureSerializer())
    packs = PackPlaceSerializer(many=True)
    cg_over_packs = CentreRangeSerializer(allow_null=True)
    ballast = BallastSerializer(many=True)
    shift = ShiftSerializer(allow_null=True)


class WeighInSerializer(HangarModelSerializer):
    """The finished aircraft on the scale: mass, balance point and what was on it."""

    set_later = ("build", "by", "pack", "left_off")

    by = serializers.CharField(source="by.username", read_only=True)
    pack = PartCodeField(
        required=False, allow_null=True, help_text="Label code of the pack on the scale"
    )
    left_off = serializers.ListField(
        child=serializers.CharField(max_length=40),
        required=False,
        max_length=400,
        help_text="Short names of the positions whose part was not on the scale",
    )
    revision = serializers.IntegerField(
        min_value=0, max_value=2**31 - 1, help_text="The revision of the build that was weighed"
    )

    class Meta:
        model = WeighIn
        fields = (
            "id",
            "revision",
            "at",
            "by",
            "mass_g",
            "uncertainty_g",
            "cg_x_mm",
            "cg_uncertainty_mm",
            "pack",
            "left_off",
            "note",
        )
        read_only_fields = ("at",)
        extra_kwargs = {"mass_g": {"required": True, "allow_null": False}}  # noqa: RUF012


def plain_balance(sheet: BalanceSheet) -> dict[str, Any]:
    """Give a balance as JSON."""
    cg_range, choice = sheet.cg_range, sheet.choice
    return {
        "margin_percent": choice.margin_percent,
        "figures": plain_figures({name: sheet.figures[name] for name in OF_BUILD}),
        "packs": [_plain_pack(place) for place in sheet.packs],
        "cg_over_packs": dict(zip(("x_min_mm", "x_max_mm"), cg_range, strict=True))
        if cg_range
        else None,
        "ballast": [
            {
                "place": mark.name,
                "x_mm": mark.x_mm,
                "mass_g": _plain_figure(sheet, f"ballast_{number}_g"),
            }
            for number, mark in enumerate(sheet.ballast_places, start=1)
        ],
        "shift": {
            "position": choice.move,
            "by_mm": choice.move_mm,
            "cg_shift_mm": _plain_figure(sheet, "cg_shift_mm"),
        }
        if choice.move
        else None,
    }


def _plain_figure(sheet: BalanceSheet, name: str) -> dict[str, Any]:
    found: dict[str, Any] = plain_figures({name: sheet.figures[name]})[name]
    return found


def _plain_pack(place: PackPlace) -> dict[str, Any]:
    return {
        "part": place.record.code,
        "name": place.record.name,
        "owner": place.record.owner,
        "fits_cells": place.fits_cells,
        "x_mm": place.x_mm,
        "tray_allows": place.tray,
        "figures": plain_figures({name: place.figures[name] for name in OF_PACK}),
        "wanted_from_marks": [_plain_mark(found) for found in place.wanted_from],
    }


def _plain_mark(found: FromMark) -> dict[str, Any]:
    return {
        "mark": found.mark.name,
        "mark_x_mm": found.mark.x_mm,
        "of": "front" if found.is_front else "middle",
        "behind_mm": found.behind_mm,
    }
