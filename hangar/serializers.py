"""Serializer fields for measures and lists, and the base of every model serializer."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import NON_FIELD_ERRORS
from django.core.exceptions import ValidationError as DjangoValidationError
from rest_framework import serializers
from rest_framework.settings import api_settings

from hangar.fields import MeasureField, NumberListField, WordListField
from hangar.form_fields import MOST_NUMBERS, MOST_WORDS, read_measure, read_words
from hangar.units import unit_label

NO_SUCH_KEY = "There is no such key here."


class QuantitySerializerField(serializers.FloatField):
    """A number in the field's unit; a text with a unit is read as well."""

    def __init__(self, *, unit: str | None = None, **kwargs: Any) -> None:
        kwargs["help_text"] = _with_unit(kwargs.get("help_text"), unit)
        super().__init__(**kwargs)
        self.unit = unit

    def to_internal_value(self, data: Any) -> float:
        """Read a number [unit] or a text with a unit."""
        try:
            return read_measure(data, self.unit)
        except DjangoValidationError as error:
            raise serializers.ValidationError(error.messages, code="quantity") from error


class NumberListSerializerField(serializers.ListField):
    """A list of numbers in the field's unit."""

    def __init__(
        self,
        *,
        unit: str | None = None,
        minimum: float | None = None,
        maximum: float | None = None,
        **kwargs: Any,
    ) -> None:
        kwargs["help_text"] = _with_unit(kwargs.get("help_text"), unit)
        kwargs["child"] = QuantitySerializerField(unit=unit, min_value=minimum, max_value=maximum)
        kwargs.setdefault("max_length", MOST_NUMBERS)
        super().__init__(**kwargs)


class WordListSerializerField(serializers.ListField):
    """A list of short words, kept in lower case."""

    child = serializers.CharField()

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", MOST_WORDS)
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> list[str]:
        """Read the words."""
        words = super().to_internal_value(data)
        try:
            return read_words(words)
        except DjangoValidationError as error:
            raise serializers.ValidationError(error.messages, code="words") from error


def _with_unit(help_text: Any, unit: str | None) -> str:
    stated = f"In {unit_label(unit)}." if unit and unit_label(unit) else ""
    return f"{help_text or ''} {stated}".strip()


class KnownKeys(serializers.Serializer[Any]):
    """A serializer that refuses keys it does not read, so that a misspelt one is not overlooked.

    What an answer shows may be sent back, though it is not read: the serializer's own read-only
    fields, and those named in ``also_shown``.
    """

    also_shown: tuple[str, ...] = ()

    def to_internal_value(self, data: Any) -> Any:
        """Read the body."""
        if isinstance(data, Mapping):
            strange = sorted(set(data) - set(self.fields) - set(self.also_shown))
            if strange:
                raise serializers.ValidationError({name: [NO_SUCH_KEY] for name in strange})
        return super().to_internal_value(data)


class HangarModelSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A model serializer that knows our fields and asks the model's own constraints.

    Name in ``set_later`` the model fields that the view gives to ``save()``: they, and the
    constraints that mention them, are not asked here.
    """

    serializer_field_mapping = {
        **serializers.ModelSerializer.serializer_field_mapping,
        MeasureField: QuantitySerializerField,
        NumberListField: NumberListSerializerField,
        WordListField: WordListSerializerField,
    }
    set_later: tuple[str, ...] = ()

    def build_standard_field(
        self, field_name: str, model_field: Any
    ) -> tuple[type, dict[str, Any]]:
        """Give our fields their unit and bounds."""
        field_class, kwargs = super().build_standard_field(field_name, model_field)
        if isinstance(model_field, MeasureField):
            kwargs["unit"] = model_field.unit
        if isinstance(model_field, NumberListField | WordListField):
            for name in ("encoder", "decoder", "style"):
                kwargs.pop(name, None)
        if isinstance(model_field, NumberListField):
            kwargs |= {
                "unit": model_field.unit,
                "minimum": model_field.minimum,
                "maximum": model_field.maximum,
            }
        return field_class, kwargs

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Run the model's own checks, so that a broken constraint is an answer and no crash."""
        attrs = super().validate(attrs)
        try:
            self._instance_with(attrs).full_clean(exclude=set(self.set_later))
        except DjangoValidationError as error:
            raise serializers.ValidationError(_by_field(error)) from error
        return attrs

    def _instance_with(self, attrs: dict[str, Any]) -> Any:
        model: Any = self.Meta.model
        columns = model._meta.concrete_fields
        instance = model()
        if self.instance is not None:
            stored = {column.attname: getattr(self.instance, column.attname) for column in columns}
            instance = model(**stored)
            instance._state.adding = False
        for column in columns:
            if column.name in attrs:
                setattr(instance, column.name, attrs[column.name])
        return instance


def _by_field(error: DjangoValidationError) -> dict[str, list[str]]:
    found = dict(error.message_dict)
    if NON_FIELD_ERRORS in found:
        found[api_settings.NON_FIELD_ERRORS_KEY] = found.pop(NON_FIELD_ERRORS)
    return found
