"""Serializer fields that name another thing, which must be one the person may see."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError as DjangoValidationError
from django.db import models
from rest_framework import serializers


class VisibleRelatedField(serializers.SlugRelatedField):  # type: ignore[type-arg]
    """Names a thing by one of its columns; what the person may not see does not exist."""

    default_error_messages = {
        "does_not_exist": "There is none of this name that you may see.",
        "invalid": "Write the name as one text or one whole number.",
    }

    def get_queryset(self) -> models.QuerySet[Any]:
        """Give what the person may see."""
        return super().get_queryset().visible_to(self.context["request"].user)  # type: ignore[union-attr]

    def to_internal_value(self, data: Any) -> Any:
        """Find the thing."""
        if type(data) not in (int, str):
            self.fail("invalid")
        try:
            return super().to_internal_value(data)
        except (DjangoValidationError, OverflowError):
            self.fail("invalid")
