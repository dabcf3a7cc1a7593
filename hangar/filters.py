"""Filters for measures and yes-or-no columns, and the base of every set of filters."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db import models
from django_filters.rest_framework import FilterSet
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework.exceptions import ValidationError

from hangar.clubs.models import Club
from hangar.fields import MeasureField
from hangar.form_fields import QuantityFormField

LARGEST_INTEGER = 2**31 - 1
COMPARISONS = ("exact", "lt", "lte", "gt", "gte")


@extend_schema_field(OpenApiTypes.NUMBER)
class QuantityFilter(django_filters.Filter):
    """Compares a number in the column's unit; a text with a unit is read as well."""

    field_class = QuantityFormField


@extend_schema_field(OpenApiTypes.INT)
class WholeNumberFilter(django_filters.Filter):
    """Compares a whole number."""

    field_class = forms.IntegerField

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, min_value=-LARGEST_INTEGER, max_value=LARGEST_INTEGER, **kwargs)


@extend_schema_field(OpenApiTypes.BOOL)
class YesNoFilter(django_filters.TypedChoiceFilter):
    """Compares with `true` or `false`, and refuses any other word."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["choices"] = (("true", "true"), ("false", "false"))
        super().__init__(*args, coerce=lambda text: text == "true", **kwargs)


class HangarFilterSet(FilterSet):
    """A set of filters that builds only those that a request uses."""

    base_filters: dict[str, django_filters.Filter]

    def __init__(self, data: Any = None, *args: Any, **kwargs: Any) -> None:
        if data is not None:
            # A kind has a hundred filters and a request uses three: the rest need no copy.
            self.base_filters = {
                name: used for name, used in self.base_filters.items() if name in data
            }
        super().__init__(data, *args, **kwargs)


class OwnedFilterSet(HangarFilterSet):
    """Filters of things that belong to a person or to a club."""

    owner = django_filters.CharFilter(
        method="of_owner", help_text="`me`, or the short name of a club"
    )

    def of_owner(self, queryset: Any, name: str, value: str) -> Any:
        """Keep what belongs to the person, or to a club of theirs."""
        if value == "me":
            return queryset.owned_by(self.request.user)
        club = Club.objects.visible_to(self.request.user).filter(slug=value).first()
        if club is None:
            raise ValidationError({name: ["Write me, or the short name of a club of yours."]})
        return queryset.filter(club=club)


def column_filters(column: models.Field, path: str = "") -> dict[str, django_filters.Filter]:
    """Give the filters of a typed column by name; columns of texts, lists and links have none."""
    path = path or column.name
    if isinstance(column, MeasureField):
        return _compared(QuantityFilter, column.name, path, unit=column.unit)
    if column.choices:
        return {column.name: django_filters.ChoiceFilter(field_name=path, choices=column.choices)}
    if isinstance(column, models.BooleanField):
        return {column.name: YesNoFilter(field_name=path)}
    if isinstance(column, models.IntegerField):
        return _compared(WholeNumberFilter, column.name, path)
    if isinstance(column, models.CharField):
        return {column.name: django_filters.CharFilter(field_name=path, lookup_expr="iexact")}
    return {}


def _compared(
    filter_class: type[django_filters.Filter], name: str, path: str, **kwargs: Any
) -> dict[str, django_filters.Filter]:
    return {
        name if lookup == "exact" else f"{name}__{lookup}": filter_class(
            field_name=path, lookup_expr=lookup, **kwargs
        )
        for lookup in COMPARISONS
    }
