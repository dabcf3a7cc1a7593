"""Form fields that read measures, lists of measures and lists of words, and their readers."""

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from hangar.quantities import QuantityError, read_number, read_quantity
from hangar.units import unit_label, unit_of

MOST_NUMBERS = 64
MOST_WORDS = 32

_WORD = re.compile(r"[a-z0-9][a-z0-9_+./-]{0,31}")


def read_measure(value: object, unit: str | None) -> float:
    """Read a number [unit], or text with a unit; raises Django's ValidationError."""
    try:
        return read_quantity(value, unit) if unit else read_number(value)
    except QuantityError as error:
        raise ValidationError(str(error), code="quantity") from error


def label_without_unit(field_name: str) -> str:
    """Answer a column name as words: ``all_up_mass_g`` is "all up mass"."""
    unit = unit_of(field_name)
    stem = field_name.removesuffix(f"_{unit}") if unit and unit_label(unit) else field_name
    return stem.replace("_", " ")


def label_with_unit(label: str, unit: str | None) -> str:
    """Answer a label with the unit in brackets behind it: "mass (g)"."""
    return f"{label} ({unit_label(unit)})" if unit and unit_label(unit) else label


class QuantityFormField(forms.Field):
    """A text box for a number in the field's unit or a text with a unit."""

    def __init__(self, *, unit: str, label: str | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(label=label_with_unit(label, unit) if label else label, **kwargs)
        self.unit = unit

    def to_python(self, value: Any) -> float | None:
        """Read what was typed, in the field's unit; None when the box is empty."""
        if value in self.empty_values or (isinstance(value, str) and not value.strip()):
            return None
        return read_measure(value, self.unit)

    def prepare_value(self, value: Any) -> Any:
        """Write a stored number without a needless ``.0``; leave typed text as it was typed."""
        return plain_number(value) if isinstance(value, float) else value


class NumberListFormField(forms.Field):
    """A text box for numbers apart by spaces, or by a comma and a space."""

    def __init__(self, *, unit: str | None, label: str | None = None, **kwargs: Any) -> None:
        super().__init__(label=label_with_unit(label, unit) if label else label, **kwargs)
        self.unit = unit

    def to_python(self, value: Any) -> list[float]:
        """Read the numbers [unit] in the order typed; empty when the box is empty."""
        if value in self.empty_values:
            return []
        items = _split_numbers(value) if isinstance(value, str) else value
        return [read_measure(item, self.unit) for item in items]

    def prepare_value(self, value: Any) -> Any:
        """Write stored numbers apart by spaces; leave typed text as it was typed."""
        if not isinstance(value, list):
            return value
        return " ".join(plain_number(n) if isinstance(n, float) else str(n) for n in value)


class WordListFormField(forms.Field):
    """A text box for short words apart by spaces or commas."""

    def to_python(self, value: Any) -> list[str]:
        """Read the words in the order typed; empty when the box is empty."""
        if value in self.empty_values:
            return []
        return read_words(
            re.split(r"[\s,]+", value.strip(" ,")) if isinstance(value, str) else value
        )

    def prepare_value(self, value: Any) -> Any:
        """Write stored words apart by commas; leave typed text as it was typed."""
        return ", ".join(map(str, value)) if isinstance(value, list) else value


def plain_number(value: float) -> str:
    """Write every digit of a number, without a needless ``.0``."""
    return repr(value).removesuffix(".0")


def _split_numbers(text: str) -> list[str]:
    # In "10,12" the comma may part two numbers or be a decimal sign; a point settles it.
    separator = r"[\s,;]+" if "." in text else r",?\s+|;\s*"
    items = [item for item in re.split(separator, text.strip(" ,;")) if item]
    if any("," in item for item in items):
        raise ValidationError(
            "Part the numbers by spaces and write decimals with a point, such as 3.1 3.3.",
            code="quantity",
        )
    return items


def read_words(items: object) -> list[str]:
    """Read a list of short words in lower case, each once; raises ValidationError."""
    if not isinstance(items, list | tuple) or not all(isinstance(item, str) for item in items):
        raise ValidationError("Enter a list of words.", code="words")
    words = list(dict.fromkeys(item.strip().lower() for item in items if item.strip()))
    if len(words) > MOST_WORDS:
        raise ValidationError(f"Enter at most {MOST_WORDS} words.", code="words")
    for word in words:
        if not _WORD.fullmatch(word):
            raise ValidationError(
                f"“{word[:40]}” is not a short word: use letters, digits and _ + . / - only.",
                code="words",
            )
    return words
