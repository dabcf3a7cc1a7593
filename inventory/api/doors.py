"""How a view of the API gets the part that its address names."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.db import models

from hangar.api import DoorViewSet
from hangar.clubs.models import User
from hangar.errors import Missing, NotAllowed
from inventory.codes import CodeError, check_code
from inventory.models import Part

LISTED = (
    "pk",
    "code",
    "kind",
    "name",
    "mass_g",
    "mass_source",
    "mass_uncertainty_g",
    "condition",
    "out_of_service",
    "is_bag",
    "count",
    "fitted_count",
    "has_free",
    "notes",
    "acquired_on",
    "created_at",
    "updated_at",
    "sheet_id",
    "sheet__name",
    "sheet__maker",
    "sheet__mass_g",
    "place_id",
    "place__name",
    "person__username",
    "club__name",
    "club__slug",
)


def listed_parts(user: Any) -> models.QuerySet[Part, dict[str, Any]]:
    """Rows of the parts the person may see, with the columns that a list shows."""
    return Part.objects.visible_to(user).values(*LISTED)


def code_in_address(text: str) -> str:
    """Read the label code in an address; a typing error leads nowhere, and is told."""
    try:
        return check_code(text)
    except CodeError as error:
        raise Missing(str(error)) from error


def visible_part(user: User, code: str, kind: str = "") -> Part:
    """The part of that label code with its sheet, perhaps of a kind; raises Missing."""
    parts = Part.objects.visible_to(user).with_sheets()
    if kind:
        parts = parts.filter(kind=kind)
    found = parts.filter(code=code_in_address(code)).first()
    if found is None:
        raise Missing("There is no such part, or none that you may see.")
    return found


class OfPartViewSet(DoorViewSet):
    """Records of one part."""

    not_yours = "This part is not yours to change."
    part_kind = ""

    @cached_property
    def part(self) -> Part:
        """The part that the address names, if the person may see it."""
        return visible_part(self.person, self.kwargs["code"], self.part_kind)

    def part_to_change(self) -> Part:
        """The part, if the person may change it."""
        self.ask_to_change(self.part)
        return self.part


def refuse_unless(parts: models.QuerySet[Part], part: Part, words: str) -> None:
    """Raise NotAllowed with those words unless the part is among them."""
    if not parts.filter(pk=part.pk).exists():
        raise NotAllowed(words)
