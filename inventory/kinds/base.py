"""What every data sheet has in common, whatever its kind."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, ClassVar, Self

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from hangar.clubs.models import ONE_OWNER, Owned
from hangar.clubs.querysets import OwnedQuerySet, Viewer
from hangar.fields import CountField, NameField, measure

MINIMUM = re.compile(r"_min(?=_|$)")
LIMITS_CROSSED = "The least lies above the greatest."


def _is_above(low: float | None, high: float | None) -> bool:
    return low is not None and high is not None and low > high


def kind_choices() -> list[tuple[str, str]]:
    """Kinds as choices; a callable, so that a new kind changes no other migration."""
    return [(kind, sheet.label) for kind, sheet in DataSheet.registry.items()]


class DataSheetQuerySet(OwnedQuerySet):
    """Data sheets, narrowed by who may read them."""

    def visible_to(self, user: Viewer) -> Self:
        """Own sheets, those of the person's clubs and those of parts the person may see."""
        if not user.is_authenticated:
            return self.none()
        part = self.model._meta.apps.get_model("inventory", "Part")
        of_seen_parts = part.objects.visible_to(user).values("sheet_id")
        own = super().visible_to(user).values("pk")
        return self.filter(Q(pk__in=own) | Q(pk__in=of_seen_parts))

    def typed(self) -> Self:
        """Sheets with the columns of their kind, in one query."""
        return self.select_related(*(kind.replace("_", "") for kind in DataSheet.registry))


class DataSheet(Owned):
    """What the maker says about a kind of thing: rated, nominal.

    Only the name is asked for, so that a half-known thing can be kept. A subclass is one kind:
    it names itself in `kind_name`, registers itself on import and adds typed columns.
    """

    registry: ClassVar[dict[str, type[DataSheet]]] = {}
    kind_name: ClassVar[str] = ""
    label: ClassVar[str] = ""
    label_plural: ClassVar[str] = ""
    is_consumable: ClassVar[bool] = False
    measured_only: ClassVar[tuple[str, ...]] = ()
    counted_from_one: ClassVar[tuple[str, ...]] = ()

    kind = models.CharField(max_length=24, choices=kind_choices, editable=False)
    maker = models.CharField(max_length=60, blank=True)
    name = NameField(max_length=80)
    mass_g = measure("Mass of one piece", positive=True)
    length_mm = measure("Length of the body")
    width_mm = measure("Width of the body")
    height_mm = measure("Height or thickness of the body")
    notes = models.TextField(blank=True, max_length=4000)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = DataSheetQuerySet.as_manager()

    class Meta:
        ordering = ("kind", "maker", "name", "pk")
        indexes = (models.Index(fields=("kind", "maker", "name"), name="sheet_kind_name"),)
        constraints = (ONE_OWNER,)

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        if cls.kind_name:
            DataSheet.registry[cls.kind_name] = cls

    def __str__(self) -> str:
        return f"{self.maker} {self.name}".strip()

    def clean(self) -> None:
        """Refuse limits the wrong way round, and a greatest number of none."""
        super().clean()
        wrong = dict.fromkeys(self._crossed_limits(), LIMITS_CROSSED)
        wrong |= dict.fromkeys(self._counts_of_none(), "This is at least 1.")
        if wrong:
            raise ValidationError(wrong)

    def _counts_of_none(self) -> Iterator[str]:
        for field in self._meta.fields:
            is_least_one = field.name in self.counted_from_one or field.name.endswith("_max")
            if is_least_one and isinstance(field, CountField) and getattr(self, field.name) == 0:
                yield field.name

    def _crossed_limits(self) -> Iterator[str]:
        names = {field.name for field in self._meta.fields}
        for low in sorted(names):
            high = MINIMUM.sub("_max", low)
            if high != low and high in names and _is_above(getattr(self, low), getattr(self, high)):
                yield from (low, high)

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store the sheet under the kind of its class."""
        if self.kind_name:
            self.kind = self.kind_name
        super().save(*args, **kwargs)

    @property
    def typed(self) -> Any:
        """The row of this sheet's own kind; load it with `typed()` to spare a query."""
        if self.kind_name:
            return self
        return getattr(self, self.kind.replace("_", ""))

    @classmethod
    def own_field_names(cls) -> tuple[str, ...]:
        """Names of the columns that only this kind has, in the order they are declared."""
        return tuple(
            field.name for field in cls._meta.local_fields if field.name != "datasheet_ptr"
        )
