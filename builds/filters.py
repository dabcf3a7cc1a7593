"""Filters of builds and their fittings."""

from __future__ import annotations

from typing import Any

import django_filters

from hangar.filters import HangarFilterSet, OwnedFilterSet, WholeNumberFilter, YesNoFilter


class BuildFilterSet(OwnedFilterSet):
    """Filters of builds."""

    archived = YesNoFilter(method="of_archived")
    q = django_filters.CharFilter(field_name="name", lookup_expr="icontains", max_length=200)

    def of_archived(self, queryset: Any, name: str, value: bool) -> Any:  # noqa: ARG002
        """Keep builds that are archived, or those that are not."""
        return queryset.filter(is_archived__in=[value])


class FittingFilterSet(HangarFilterSet):
    """Filters of fittings."""

    open = YesNoFilter(method="of_open", help_text="Is the part still in")
    position = WholeNumberFilter(field_name="position_id")

    def of_open(self, queryset: Any, name: str, value: bool) -> Any:  # noqa: ARG002
        """Keep fittings of today, or those of the past."""
        return queryset.filter(removed_at__isnull=value)
