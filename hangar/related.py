"""Serializer fields that name another thing, which must be one the person may see."""

from __future__ import annotations

import re
from typing import Any

from django.core.exceptions import ValidationError as DjangoValidationError
from rest_framework import serializers


class VisibleRelatedField(serializers.SlugRelatedField[Any]):
    """Names a thing by a text; what the person may not see does not exist."""

    default_error_messages = {
        "does_not_exist": "There is none of this name that you may see.",
        "invalid": "Write the name as one text.",
    }

    def get_queryset(self) -> Any:
        """Give what the person may see."""
        things: Any = super().get_queryset()
        return things.visible_to(self.context["request"].user)

    def to_internal_value(self, data: Any) -> Any:
        """Find the thing."""
        if not isinstance(data, str):
            self.fail("invalid")
        return self.find(data)

    def find(self, name: str) -> Any:
        """Look the thing up by its name."""
        if "\x00" in name:
            self.fail("does_not_exist")
        try:
            return super().to_internal_value(name)
        except DjangoValidationError:
            self.fail("does_not_exist")


class NumberedField(VisibleRelatedField):
    """Names a thing by its number."""

    default_error_messages = {
        "does_not_exist": "There is none of this number that you may see.",
        "invalid": "Write its number as a whole number.",
    }

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(slug_field="id", **kwargs)

    def to_internal_value(self, data: Any) -> Any:
        """Find the thing; no rounding, and digits 0 to 9 only."""
        if type(data) not in (int, str) or not re.fullmatch("[0-9]{1,18}", str(data)):
            self.fail("invalid")
        return self.find(str(data))
