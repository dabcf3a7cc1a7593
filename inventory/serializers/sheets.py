"""Data sheets as JSON: one serializer for each kind, built from the registry."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from hangar.clubs.serializers import OwnerField, OwningClubField
from hangar.serializers import HangarModelSerializer
from inventory.kinds import Airframe, DataSheet, TemplatePosition
from inventory.kinds.airframe import PositionShape

COMMON = ("maker", "name", "mass_g", "length_mm", "width_mm", "height_mm")
LAST = ("notes", "created_at", "updated_at")
TEMPLATE_MAX = 200
SHAPE = tuple(field.name for field in PositionShape._meta.get_fields())


class SheetSerializer(serializers.ModelSerializer[Any]):
    """What all data sheets have; the owner must have been loaded."""

    owner = OwnerField()

    class Meta:
        model = DataSheet
        fields = ("id", "kind", *COMMON, "owner", *LAST)
        read_only_fields = fields


class TypedSheetSerializer(HangarModelSerializer):
    """A data sheet with the columns of its kind."""

    set_later = ("person", "club")

    owner = OwnerField()
    club = OwningClubField()


class ShapeSerializer(HangarModelSerializer):
    """A position that every build of an airframe starts with."""

    set_later = ("airframe",)

    class Meta:
        model = TemplatePosition
        fields = SHAPE


class AirframeSerializer(TypedSheetSerializer):
    """An airframe with its template: the positions that every build of it starts with."""

    template = ShapeSerializer(many=True, required=False)

    def validate_template(self, shapes: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Bound the number of positions."""
        if len(shapes) > TEMPLATE_MAX:
            raise serializers.ValidationError(f"A template has {TEMPLATE_MAX} positions at most.")
        return shapes


OVERRIDES: dict[str, tuple[type[TypedSheetSerializer], tuple[str, ...]]] = {
    Airframe.kind_name: (AirframeSerializer, ("template",)),
}


def _serializer_of(kind: str, sheet: type[DataSheet]) -> type[TypedSheetSerializer]:
    base, extra = OVERRIDES.get(kind, (TypedSheetSerializer, ()))
    names = ("id", "kind", "owner", "club", *COMMON, *sheet.own_field_names(), *extra, *LAST)
    meta = type("Meta", (), {"model": sheet, "fields": names})
    words = {"Meta": meta, "__doc__": f"Data sheet of a {sheet.label}.", "__module__": __name__}
    return type(f"{sheet.__name__}Serializer", (base,), words)


SERIALIZERS = {kind: _serializer_of(kind, sheet) for kind, sheet in DataSheet.registry.items()}
