"""Filters of the inventory; those of each kind are built from its data sheet."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

import django_filters
from django.db import models
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework.exceptions import ValidationError

from hangar.filters import (
    HangarFilterSet,
    OwnedFilterSet,
    QuantityFilter,
    WholeNumberFilter,
    YesNoFilter,
    column_filters,
)
from inventory.codes import CodeError, check_code
from inventory.kinds import DataSheet, kind_choices
from inventory.models import Condition, LogEntry, Part, Place

BODY = ("length_mm", "width_mm", "height_mm")


def _places(request: Any) -> models.QuerySet[Place]:
    return Place.objects.visible_to(request.user) if request else Place.objects.none()


@extend_schema_field(OpenApiTypes.INT)
class PlaceFilter(django_filters.ModelChoiceFilter):
    """Names a place the person may see."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, queryset=_places, **kwargs)


class PartFilterSet(OwnedFilterSet):
    """Filters of parts; the mass is the measured one, else that of the sheet."""

    kind = django_filters.ChoiceFilter(
        choices=kind_choices, help_text="With it, the figures of that kind are filters too"
    )
    mass_g = QuantityFilter(method="of_mass", unit="g", lookup_expr="exact")
    mass_g__lt = QuantityFilter(method="of_mass", unit="g", lookup_expr="lt")
    mass_g__lte = QuantityFilter(method="of_mass", unit="g", lookup_expr="lte")
    mass_g__gt = QuantityFilter(method="of_mass", unit="g", lookup_expr="gt")
    mass_g__gte = QuantityFilter(method="of_mass", unit="g", lookup_expr="gte")
    fitted = YesNoFilter(method="of_fitted", help_text="Is every piece of it in an aircraft")
    in_service = YesNoFilter(method="of_service")
    place = PlaceFilter(method="of_place", help_text="With all that is inside it")
    condition = django_filters.MultipleChoiceFilter(choices=Condition.choices, distinct=False)
    sheet = WholeNumberFilter(field_name="sheet_id")
    code = django_filters.CharFilter(method="of_code")
    q = django_filters.CharFilter(
        method="of_words", max_length=200, help_text="Words in code, names, maker or notes"
    )

    def of_mass(self, queryset: Any, name: str, value: float) -> Any:
        """Compare the known mass."""
        lookup = self.filters[name].lookup_expr
        return queryset.with_known_mass().filter(**{f"known_mass_g__{lookup}": value})

    def of_fitted(self, queryset: Any, name: str, value: bool) -> Any:  # noqa: ARG002
        """Keep parts of which a piece is free, or none."""
        # Written as a list, because SQLite passes by the index for a bare "not".
        return queryset.filter(has_free__in=[not value])

    def of_service(self, queryset: Any, name: str, value: bool) -> Any:  # noqa: ARG002
        """Keep parts that may be used, or those that may not."""
        if value:
            return queryset.in_service()
        return queryset.exclude(pk__in=Part.objects.in_service().values("pk"))

    def of_place(self, queryset: Any, name: str, value: Place) -> Any:  # noqa: ARG002
        """Keep what lies in the place or inside it."""
        return queryset.filter(place__in=Place.objects.within(value))

    def of_code(self, queryset: Any, name: str, value: str) -> Any:
        """Find the part of that label code."""
        try:
            return queryset.filter(code=check_code(value))
        except CodeError as error:
            raise ValidationError({name: [str(error)]}) from error

    def of_words(self, queryset: Any, name: str, value: str) -> Any:  # noqa: ARG002
        """Keep parts in which every word is found."""
        return queryset.matching(value)


class SheetFilterSet(OwnedFilterSet):
    """Filters of data sheets of all kinds."""

    kind = django_filters.ChoiceFilter(choices=kind_choices)
    maker = django_filters.CharFilter(lookup_expr="iexact")
    q = django_filters.CharFilter(method="of_words", max_length=200)

    def of_words(self, queryset: Any, name: str, value: str) -> Any:  # noqa: ARG002
        """Keep sheets whose maker or name holds every word."""
        for word in value.split()[:8]:
            queryset = queryset.filter(
                models.Q(name__icontains=word) | models.Q(maker__icontains=word)
            )
        return queryset


class LogFilterSet(HangarFilterSet):
    """Filters of a pack's log."""

    kind = django_filters.ChoiceFilter(choices=LogEntry.Kind.choices)
    standing = YesNoFilter(method="of_standing", help_text="Leaves out what was corrected")

    def of_standing(self, queryset: Any, name: str, value: bool) -> Any:  # noqa: ARG002
        """Keep entries that no later one corrects, or those that one does."""
        return queryset.filter(corrected_by__isnull=value)


class OpenFilterSet(HangarFilterSet):
    """Filters of offers, claims and loans."""

    open = YesNoFilter(method="of_open", help_text="Has it not ended yet")
    part = django_filters.CharFilter(method="of_part", help_text="Label code")

    def of_open(self, queryset: Any, name: str, value: bool) -> Any:  # noqa: ARG002
        """Keep what has not ended, or what has."""
        is_open = queryset.open()
        return is_open if value else queryset.exclude(pk__in=is_open.values("pk"))

    def of_part(self, queryset: Any, name: str, value: str) -> Any:
        """Keep records of that part."""
        try:
            return queryset.filter(part__code=check_code(value))
        except CodeError as error:
            raise ValidationError({name: [str(error)]}) from error


class PlaceFilterSet(OwnedFilterSet):
    """Filters of places."""

    parent = PlaceFilter()


@cache
def parts_of_kind(kind: str) -> type[PartFilterSet]:
    """Give the filters of parts with the figures of one kind; those of all for an unknown one."""
    sheet = DataSheet.registry.get(kind)
    if sheet is None:
        return PartFilterSet
    found: dict[str, Any] = {}
    for column in _columns(sheet, BODY):
        found |= column_filters(column, f"sheet__{column.name}")
    for column in _columns(sheet, sheet.own_field_names()):
        path = f"sheet__{kind.replace('_', '')}__{column.name}"
        found |= column_filters(column, path)
    return type(f"{sheet.__name__}PartFilterSet", (PartFilterSet,), found)


@cache
def sheets_of_kind(kind: str) -> type[SheetFilterSet]:
    """Give the filters of the data sheets of one kind."""
    sheet = DataSheet.registry[kind]
    found: dict[str, Any] = {"kind": None}
    for column in _columns(sheet, ("mass_g", *BODY, *sheet.own_field_names())):
        found |= column_filters(column)
    return type(f"{sheet.__name__}FilterSet", (SheetFilterSet,), found)


def _columns(sheet: type[DataSheet], names: Iterable[str]) -> list[models.Field[Any, Any]]:
    wanted = set(names)
    return [column for column in sheet._meta.concrete_fields if column.name in wanted]
