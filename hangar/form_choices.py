"""Give the fields of a form what is on offer to one person."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from django import forms
from django.db.models import QuerySet


def offer_rows(
    form: forms.BaseForm, name: str, rows: QuerySet[Any], empty: str | None = None
) -> None:
    """Offer rows of the database in a field; `empty` is the word for none of them."""
    field = cast(forms.ModelChoiceField, form.fields[name])
    field.queryset = rows
    if empty is not None:
        field.empty_label = empty


def offer_words(form: forms.BaseForm, name: str, choices: Iterable[tuple[str, Any]]) -> None:
    """Offer fixed words in a field."""
    cast(forms.ChoiceField, form.fields[name]).choices = list(choices)
