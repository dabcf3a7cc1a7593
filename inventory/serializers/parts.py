"""Parts, what was measured on them, what happened to them, and places, as JSON."""

from __future__ import annotations

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from hangar.clubs.serializers import OwnerField, OwningClubField
from hangar.fields import PositiveValidator
from hangar.related import VisibleRelatedField
from hangar.serializers import HangarModelSerializer, QuantitySerializerField
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


class SheetField(VisibleRelatedField):
    """A data sheet, named by its number."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(slug_field="id", queryset=DataSheet.objects.all(), **kwargs)


class PlaceField(VisibleRelatedField):
    """A place, named by its number."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(slug_field="id", queryset=Place.objects.all(), **kwargs)


class PartSerializer(serializers.ModelSerializer[Any]):
    """A part as it is: sheet, place and owner must have been loaded."""

    kind = serializers.ChoiceField(choices=kind_choices(), read_only=True)
    name = serializers.CharField(source="display_name", read_only=True)
    mass_g = serializers.SerializerMethodField(help_text="Known mass of one piece, in g")
    mass_source = serializers.SerializerMethodField()
    fitted = serializers.SerializerMethodField(help_text="Is every piece of it in an aircraft")
    sheet = serializers.IntegerField(source="sheet_id", read_only=True)
    place = serializers.IntegerField(source="place_id", read_only=True, allow_null=True)
    place_name = serializers.SerializerMethodField()
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

    def get_mass_g(self, part: Part) -> float | None:
        """Give the measured mass, else that of the sheet."""
        return part.sheet.mass_g if part.mass_g is None else part.mass_g

    @extend_schema_field({"type": "string", "enum": Source.values})
    def get_mass_source(self, part: Part) -> str:
        """Say where the mass comes from."""
        if part.mass_g is not None:
            return part.mass_source
        return Source.UNKNOWN if part.sheet.mass_g is None else Source.SHEET

    def get_fitted(self, part: Part) -> bool:
        """Say whether no piece is free."""
        return not part.has_free

    def get_place_name(self, part: Part) -> str:
        """Name the place it lies in."""
        return str(part.place or "")


class ChangedPartSerializer(HangarModelSerializer):
    """What may be changed of a part; a mass is recorded as a measurement."""

    set_later = ("sheet", "person", "club", "code", "has_free", "fitted_count", "place")

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


class MeasurementSerializer(serializers.ModelSerializer[Any]):
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


class ReasonSerializer(serializers.Serializer[Any]):
    """Why a part is taken out of service."""

    reason = serializers.CharField(max_length=200)


class InspectionSerializer(serializers.Serializer[Any]):
    """What an inspection found that puts a part back into service."""

    finding = serializers.CharField(min_length=10, max_length=250)


class PlaceSerializer(HangarModelSerializer):
    """A box, drawer, bag or shelf; places lie in places."""

    set_later = ("person", "club", "path", "parent")

    owner = OwnerField()
    club = OwningClubField()
    parent = PlaceField(required=False, allow_null=True)

    class Meta:
        model = Place
        fields = ("id", "name", "parent", "owner", "club")
