"""Parts, what was measured on them, what happened to them, and places, as JSON."""

from __future__ import annotations

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from hangar.clubs.serializers import OwnerField, OwningClubField
from hangar.fields import PositiveValidator
from hangar.related import NumberedField, VisibleRelatedField
from hangar.serializers import HangarModelSerializer, KnownKeys, QuantitySerializerField
from inventory.codes import CodeError, check_code
from inventory.kinds import DataSheet, kind_choices
from inventory.models import Condition, Measurement, Part, PartEvent, Place, Source

MASS_GIVEN = ("mass_g", "mass_source", "mass_uncertainty_g")
CONDITIONS = [choice for choice in Condition.choices if choice[0] != Condition.RETIRED]


@extend_schema_field(OpenApiTypes.STR)
class PartCodeField(VisibleRelatedField):
    """A part, named by its label code."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("slug_field", "code")
        kwargs.setdefault("help_text", "Label code")
        if not kwargs.get("read_only"):
            kwargs.setdefault("queryset", Part.objects.select_related("sheet"))
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> Any:
        """Find the part; a typing error is told as such."""
        if not isinstance(data, str):
            self.fail("invalid")
        try:
            return super().to_internal_value(check_code(data))
        except CodeError as error:
            raise serializers.ValidationError(str(error)) from error


class SheetField(NumberedField):
    """A data sheet, named by its number."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=DataSheet.objects.all(), **kwargs)


class PlaceField(NumberedField):
    """A place, named by its number."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Place.objects.all(), **kwargs)


class PartSerializer(serializers.ModelSerializer[Any]):
    """A part as it is, from a row of `listed_parts`."""

    kind = serializers.ChoiceField(choices=kind_choices(), read_only=True)
    name = serializers.CharField(source="display_name", read_only=True)
    mass_g = serializers.FloatField(
        read_only=True, allow_null=True, help_text="Known mass of one piece, in g"
    )
    mass_source = serializers.ChoiceField(choices=Source.choices, read_only=True)
    fitted = serializers.BooleanField(
        read_only=True, help_text="Is every piece of it in an aircraft"
    )
    sheet = serializers.IntegerField(source="sheet_id", read_only=True)
    place = serializers.IntegerField(source="place_id", read_only=True, allow_null=True)
    place_name = serializers.CharField(read_only=True)
    owner = OwnerField()

    class Meta:
        model = Part
        fields = (
            "code",
            "kind",
            "name",
            "sheet",
            "mass_g",
            "mass_source",
            "mass_uncertainty_g",
            "condition",
            "out_of_service",
            "fitted",
            "is_bag",
            "count",
            "fitted_count",
            "place",
            "place_name",
            "owner",
            "notes",
            "acquired_on",
            "created_at",
            "updated_at",
        )
        read_only_fields = fields

    def to_representation(self, row: dict[str, Any]) -> dict[str, Any]:
        """Give the row as JSON."""
        # Written out, because field by field a list of fifty takes a third longer.
        is_weighed = row["mass_g"] is not None
        rated_g = row["sheet__mass_g"]
        rated_source = Source.UNKNOWN if rated_g is None else Source.SHEET
        return {
            "code": row["code"],
            "kind": row["kind"],
            "name": row["name"] or f"{row['sheet__maker']} {row['sheet__name']}".strip(),
            "sheet": row["sheet_id"],
            "mass_g": row["mass_g"] if is_weighed else rated_g,
            "mass_source": row["mass_source"] if is_weighed else rated_source.value,
            "mass_uncertainty_g": row["mass_uncertainty_g"],
            "condition": row["condition"],
            "out_of_service": row["out_of_service"],
            "fitted": not row["has_free"],
            "is_bag": row["is_bag"],
            "count": row["count"],
            "fitted_count": row["fitted_count"],
            "place": row["place_id"],
            "place_name": row["place__name"] or "",
            "owner": _owner(row),
            "notes": row["notes"],
            "acquired_on": row["acquired_on"],
            "created_at": row["created_at"],
            "updated_at": row["updated_at"],
        }


def _owner(row: dict[str, Any]) -> dict[str, str]:
    if row["club__slug"]:
        return {"kind": "club", "name": row["club__name"], "slug": row["club__slug"]}
    return {"kind": "person", "name": row["person__username"]}


class ChangedPartSerializer(HangarModelSerializer):
    """What may be changed of a part; a mass is recorded as a measurement."""

    set_later = ("sheet", "person", "club", "code", "has_free", "fitted_count", "place")
    also_shown = PartSerializer.Meta.fields

    sheet = SheetField(required=False)
    place = PlaceField(required=False, allow_null=True)
    condition = serializers.ChoiceField(choices=CONDITIONS, required=False)
    mass_g = QuantitySerializerField(
        unit="g", max_value=1e12, validators=[PositiveValidator()], required=False
    )
    mass_source = serializers.ChoiceField(choices=Source.choices, required=False)

    class Meta:
        model = Part
        fields = (
            "sheet",
            "name",
            "condition",
            "place",
            "is_bag",
            "count",
            "mass_g",
            "mass_source",
            "mass_uncertainty_g",
            "acquired_on",
            "notes",
        )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Refuse the source of a mass that is not given."""
        lonely = [name for name in MASS_GIVEN[1:] if name in attrs and "mass_g" not in attrs]
        if lonely:
            raise serializers.ValidationError({lonely[0]: "Give the mass with it, as mass_g."})
        return super().validate(attrs)


class NewPartSerializer(ChangedPartSerializer):
    """What it takes to add a part."""

    sheet = SheetField(help_text="Number of its data sheet")
    club = OwningClubField()

    class Meta(ChangedPartSerializer.Meta):
        fields = (*ChangedPartSerializer.Meta.fields, "club")  # type: ignore[assignment]


class MeasurementSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """One figure found on one part."""

    value = serializers.JSONField(
        help_text="A number, a text with a unit or a list of numbers, in the unit of the name"
    )
    uncertainty = serializers.FloatField(
        min_value=0, max_value=1e6, required=False, allow_null=True, help_text="Standard, k = 1"
    )
    by = serializers.CharField(source="by.username", read_only=True)
    measured_at = serializers.DateTimeField(required=False)

    class Meta:
        model = Measurement
        fields = ("id", "name", "value", "uncertainty", "source", "measured_at", "by", "note")

    def validate_value(self, value: Any) -> Any:
        """Refuse what the operation would not know how to read."""
        if isinstance(value, str) and "\x00" in value:
            raise serializers.ValidationError("Null characters are not allowed.")
        return value

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Leave the figure to the operation, which knows the kind of the part."""
        return attrs


class EventSerializer(serializers.ModelSerializer[Any]):
    """What happened to a part, when and by whom."""

    by = serializers.SerializerMethodField()

    class Meta:
        model = PartEvent
        fields = ("at", "by", "verb", "text")

    def get_by(self, event: PartEvent) -> str:
        """Name the person."""
        return event.by.username if event.by else ""


class ReasonSerializer(KnownKeys):
    """Why a part is taken out of service."""

    reason = serializers.CharField(max_length=200)


class InspectionSerializer(KnownKeys):
    """What an inspection found that puts a part back into service."""

    finding = serializers.CharField(
        max_length=250, help_text="What was inspected and what was found, in 20 characters or more"
    )


class PlaceSerializer(HangarModelSerializer):
    """A box, drawer, bag or shelf; places lie in places."""

    set_later = ("person", "club", "path", "parent")

    owner = OwnerField()
    club = OwningClubField()
    parent = PlaceField(required=False, allow_null=True)  # type: ignore[assignment]

    class Meta:
        model = Place
        fields = ("id", "name", "parent", "owner", "club")
