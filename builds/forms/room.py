"""The form of the page of what fits where: a place, and sizes that nobody has yet."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from builds.records import BuildSnapshot
from builds.room import Question
from hangar.form_choices import offer_words
from hangar.form_fields import QuantityFormField

LEAST_MM, MOST_MM = 0.1, 5000.0
SIZES = ("length_mm", "width_mm", "height_mm")


def _box(label: str, help_text: str = "") -> QuantityFormField:
    return QuantityFormField(unit="mm", label=label, required=False, help_text=help_text)


class RoomForm(forms.Form):
    """What if: a part of these sizes, or motor screws of this length."""

    position = forms.ChoiceField(label="place", required=False)
    length_mm = _box("length of a part")
    width_mm = _box("width of it")
    height_mm = _box("height of it")
    screw_length_mm = _box("length of motor screws", "Below the head")

    def __init__(self, *args: Any, snapshot: BuildSnapshot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        titles = ((position.key, position.title) for position in snapshot.positions)
        offer_words(self, "position", [("", "every place"), *titles])
        for name in (*SIZES, "screw_length_mm"):
            self.fields[name].validators += [
                MinValueValidator(LEAST_MM),
                MaxValueValidator(MOST_MM),
            ]

    def question(self) -> Question:
        """What was asked; what was refused is left out."""
        self.is_valid()
        given = getattr(self, "cleaned_data", {})
        return Question(
            key=given.get("position", ""),
            sizes_mm={name: given[name] for name in SIZES if given.get(name) is not None},
            screw_length_mm=given.get("screw_length_mm"),
        )
