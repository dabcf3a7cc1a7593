"""Model fields for measures, lists of measures and lists of words.

A measure's column name ends in its unit. A person may type the number alone or with a unit of
the same dimension; the column keeps the number in its own unit.
"""

import unicodedata
from functools import cached_property
from typing import Any

from django import forms
from django.core import checks
from django.core.exceptions import ValidationError
from django.core.validators import BaseValidator, MaxValueValidator, MinValueValidator
from django.db import models

from hangar.form_fields import (
    MOST_NUMBERS,
    NumberListFormField,
    QuantityFormField,
    WordListFormField,
    label_without_unit,
    read_measure,
    read_words,
)
from hangar.quantities import LARGEST
from hangar.units import unit_label, unit_of

COUNT_MAX = 1000


class PositiveValidator(BaseValidator):
    """Refuses zero and less."""

    message = "This must be above zero."

    def __init__(self) -> None:
        super().__init__(0)

    def compare(self, a: Any, b: Any) -> bool:
        """Answer whether the value breaks the rule."""
        return bool(a <= b)


class _NamedUnit(models.Field):
    """What fields share whose column name ends in a unit."""

    _verbose_name: str | None

    @property
    def unit(self) -> str | None:
        """The unit that ends the column name."""
        return unit_of(self.name)

    def set_attributes_from_name(self, name: str) -> None:
        """Take the label from the name, without the unit."""
        super().set_attributes_from_name(name)
        if self._verbose_name is None:
            self.verbose_name = label_without_unit(self.name)


class _Bounded(_NamedUnit):
    """What fields share whose numbers have bounds, in the unit of the column."""

    def __init__(
        self,
        *args: Any,
        minimum: float | None = None,
        maximum: float = LARGEST,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.minimum = minimum
        self.maximum = maximum

    def deconstruct(self) -> tuple[str, str, list[Any], dict[str, Any]]:
        """Add the bounds that are not the defaults."""
        name, path, args, kwargs = super().deconstruct()
        if self.minimum is not None:
            kwargs["minimum"] = self.minimum
        if self.maximum != LARGEST:
            kwargs["maximum"] = self.maximum
        return name, path, list(args), kwargs

    def bounds(self) -> list[Any]:
        """Answer the validators of the bounds, with the unit in their messages."""
        # Django puts values into these messages, so a per cent sign stands twice.
        label = f" {unit_label(self.unit)}".replace("%", "%%") if self.unit else ""
        highest = f"This must be at most {self.maximum:.15g}{label}."
        found: list[Any] = [MaxValueValidator(self.maximum, message=highest)]
        if self.minimum is not None:
            lowest = f"This must be at least {self.minimum:.15g}{label}."
            found.append(MinValueValidator(self.minimum, message=lowest))
        return found


class MeasureField(_Bounded, models.FloatField):
    """A number in the unit that ends the column name, finite and within bounds."""

    def __init__(self, *args: Any, positive: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.positive = positive

    def deconstruct(self) -> tuple[str, str, list[Any], dict[str, Any]]:
        """Add whether zero is refused."""
        name, path, args, kwargs = super().deconstruct()
        if self.positive:
            kwargs["positive"] = True
        return name, path, args, kwargs

    def check(self, **kwargs: Any) -> list[checks.CheckMessage]:
        """Require a unit at the end of the name, or a name that says there is none."""
        found = list(super().check(**kwargs))
        if self.unit is None and not self.name.endswith(("_coefficient", "_ratio")):
            found.append(
                checks.Error("A measure's name ends in its unit.", obj=self, id="hangar.E001")
            )
        return found

    def db_check(self, connection: Any) -> str:
        """Give the bounds to the database too, so that no other way in passes them by."""
        column = connection.ops.quote_name(self.column)
        lowest = f"{column} > 0" if self.positive else ""
        if self.minimum is not None:
            lowest = f"{column} >= {float(self.minimum)!r}"
        highest = f"{column} <= {float(self.maximum)!r}"
        return f"{lowest} AND {highest}" if lowest else highest

    @cached_property
    def validators(self) -> list[Any]:
        """The bounds beside Django's own validators."""
        found: list[Any] = [*super().validators, *self.bounds()]
        return [*found, PositiveValidator()] if self.positive else found

    def to_python(self, value: Any) -> float | None:
        """Read a number or a text with a unit."""
        return None if value is None else read_measure(value, self.unit)

    def formfield(self, **kwargs: Any) -> Any:
        """Answer a text box that reads units."""
        return super().formfield(**{"form_class": QuantityFormField, "unit": self.unit, **kwargs})


class CountField(models.PositiveSmallIntegerField):
    """A whole number from 0 to a bound, the same on every database."""

    def __init__(self, *args: Any, maximum: int = COUNT_MAX, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.maximum = maximum

    def deconstruct(self) -> tuple[str, str, list[Any], dict[str, Any]]:
        """Add the bound where it is not the default."""
        name, path, args, kwargs = super().deconstruct()
        if self.maximum != COUNT_MAX:
            kwargs["maximum"] = self.maximum
        return name, path, list(args), kwargs

    def db_check(self, connection: Any) -> str:
        """Give the bounds to the database too, so that no other way in passes them by."""
        column = connection.ops.quote_name(self.column)
        return f"{column} >= 0 AND {column} <= {self.maximum:d}"

    @cached_property
    def validators(self) -> list[Any]:
        """The bound beside Django's own validators."""
        return [*super().validators, MaxValueValidator(self.maximum)]


class _ListField(models.JSONField):
    """A JSON list with a form field of its own."""

    form_field_class: type[forms.Field]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("default", list)
        kwargs.setdefault("blank", True)
        super().__init__(*args, **kwargs)

    def formfield(self, **kwargs: Any) -> Any:
        """Answer a text box for the list."""
        # A callable default would have Django look for changes in a hidden copy of the box.
        own = {"form_class": self.form_field_class, "show_hidden_initial": False}
        return models.Field.formfield(self, **{**own, **kwargs})


class NumberListField(_Bounded, _ListField):
    """A list of finite numbers within bounds, in the unit that ends the column name."""

    form_field_class = NumberListFormField

    def to_python(self, value: Any) -> list[float]:
        """Read a list of numbers or of texts with a unit."""
        if value is None:
            return []
        if not isinstance(value, list | tuple):
            raise ValidationError("Enter a list of numbers.", code="quantity")
        if len(value) > MOST_NUMBERS:
            raise ValidationError(f"Enter at most {MOST_NUMBERS} numbers.", code="quantity")
        numbers = [read_measure(item, self.unit) for item in value]
        for number in numbers:
            for validator in self.bounds():
                validator(number)
        return numbers

    def formfield(self, **kwargs: Any) -> Any:
        """Answer a text box for the numbers."""
        return super().formfield(**{"unit": self.unit, **kwargs})


class NameField(models.CharField):
    """A short name: at least one visible character, and no control or format characters."""

    def to_python(self, value: Any) -> str | None:
        """Read the name."""
        text = super().to_python(value)
        return None if text is None else visible(text)

    def get_prep_value(self, value: Any) -> Any:
        """Keep the name as it is read."""
        found = super().get_prep_value(value)
        return visible(found) if isinstance(found, str) else found


def visible(text: str) -> str:
    """Answer the text without control and format characters and without space at its ends."""
    kept = "".join(one for one in text if not unicodedata.category(one).startswith("C"))
    return kept.strip()


class WordListField(_ListField):
    """A list of short lower-case words, such as protocols."""

    form_field_class = WordListFormField

    def to_python(self, value: Any) -> list[str]:
        """Read a list of words."""
        return [] if value is None else read_words(value)


def measure(
    help_text: str = "",
    *,
    minimum: float | None = 0,
    maximum: float = LARGEST,
    positive: bool = False,
    **kwargs: Any,
) -> MeasureField:
    """Answer a field for a measure that may be unknown.

    The bounds are in the unit that ends the column name and belong to the range; ``positive``
    refuses zero as well.
    """
    return MeasureField(
        help_text=help_text,
        null=True,
        blank=True,
        minimum=None if positive else minimum,
        maximum=maximum,
        positive=positive,
        **kwargs,
    )


def count(help_text: str = "", *, maximum: int = COUNT_MAX) -> CountField:
    """Answer a field for a whole number that may be unknown."""
    return CountField(help_text=help_text, null=True, blank=True, maximum=maximum)
