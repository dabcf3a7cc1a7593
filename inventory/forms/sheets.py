"""Forms of data sheets, built from the columns of each kind."""

from __future__ import annotations

from functools import cache
from typing import Any, TypeVar, cast

from django import forms
from django.db import models

from hangar.clubs.models import User
from hangar.form_choices import offer_words
from inventory.forms.owners import OwnerField, offer_owners
from inventory.forms.parts import kind_labels
from inventory.kinds import DataSheet, TemplatePosition
from inventory.kinds.airframe import PositionShape

SHARED = ("name", "maker", "mass_g", "length_mm", "width_mm", "height_mm")
POSITIONS_MAX = 50
KEY_COLUMNS = ("key", "name", "kind", "is_required", "x_mm", "y_mm", "z_mm")


class SheetForm(forms.ModelForm):
    """What all forms of data sheets share; `owner` is asked for new ones only."""

    owner = OwnerField()

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            del self.fields["owner"]
        else:
            offer_owners(self, user)

    def with_owner(self, owner: dict[str, Any] | None = None) -> DataSheet:
        """The sheet that was read, belonging to the owner given or chosen."""
        chosen = owner or self.cleaned_data.get("owner") or {}
        for name, value in chosen.items():
            setattr(self.instance, name, value)
        return self.instance


class SheetOfPartForm(SheetForm):
    """A data sheet written together with its first part, whose owner it takes."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields.pop("owner", None)

    def first_fields(self) -> list[forms.BoundField]:
        """What every data sheet has."""
        return [self[name] for name in SHARED]

    def further_fields(self) -> list[forms.BoundField]:
        """What only this kind has."""
        return [self[name] for name in self.fields if name not in SHARED]

    def has_further_errors(self) -> bool:
        """Whether a box that only this kind has was not accepted."""
        return self.is_bound and any(name not in SHARED for name in self.errors)


class SheetSearchForm(forms.Form):
    """What to look for among the data sheets."""

    q = forms.CharField(required=False, max_length=100, label="words")
    kind = forms.ChoiceField(required=False, label="kind")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_words(self, "kind", [("", "all kinds"), *kind_labels()])

    def narrow(self, sheets: Any) -> Any:
        """The sheets that were asked for; none while the form has errors."""
        if not self.is_valid():
            return sheets.none()
        given = self.cleaned_data
        sheets = sheets.filter(kind=given["kind"]) if given["kind"] else sheets
        for word in given["q"].split()[:8]:
            sheets = sheets.filter(models.Q(name__icontains=word) | models.Q(maker__icontains=word))
        return sheets


Sheet = TypeVar("Sheet", bound=SheetForm)


def sheet_form(kind: str) -> type[SheetForm]:
    """The form by which a data sheet of that kind is written."""
    return _sheet_form(kind, SheetForm)


def sheet_of_part_form(kind: str) -> type[SheetOfPartForm]:
    """The form by which a data sheet is written beside its first part."""
    return _sheet_form(kind, SheetOfPartForm)


@cache
def _sheet_form(kind: str, base: type[Sheet]) -> type[Sheet]:
    """The form of a kind: what all sheets have, then what only this kind has."""
    sheet = DataSheet.registry[kind]
    names = [*SHARED, *sheet.own_field_names(), "notes"]
    made = forms.modelform_factory(sheet, form=base, fields=names, formfield_callback=_form_field)
    return cast(type[Sheet], made)


def _form_field(column: models.Field, **kwargs: Any) -> forms.Field | None:
    if isinstance(column, models.BooleanField) and column.null:
        kwargs["widget"] = forms.Select(
            choices=(("", "not known"), ("true", "yes"), ("false", "no"))
        )
    if isinstance(column, models.TextField):
        kwargs["widget"] = forms.Textarea(attrs={"rows": 3})
    field = column.formfield(**kwargs)
    if isinstance(field, forms.TypedChoiceField) and column.blank:
        field.choices = [("", "not known"), *column.flatchoices]
    return field


class TemplatePositionForm(forms.ModelForm):
    """One position that every build of an airframe starts with."""

    class Meta:
        model = TemplatePosition
        fields = tuple(field.name for field in PositionShape._meta.get_fields())
        labels = {"key": "short name", "kind": "takes a", "is_required": "needed to fly"}
        help_texts = {"is_required": ""}

    def place_fields(self) -> list[forms.BoundField]:
        """What it is and where it sits."""
        return [self[name] for name in KEY_COLUMNS]

    def room_fields(self) -> list[forms.BoundField]:
        """How much room there is and what feeds it."""
        return [self[name] for name in self.fields if name not in (*KEY_COLUMNS, "DELETE")]


TemplateFormSet = forms.formset_factory(
    TemplatePositionForm,
    extra=2,
    can_delete=True,
    max_num=POSITIONS_MAX,
    absolute_max=POSITIONS_MAX,
    validate_max=True,
)


def template_rows(formset: Any) -> list[dict[str, Any]]:
    """The positions that were written, without the empty and the deleted ones."""
    rows = (form.cleaned_data for form in formset if form.cleaned_data)
    return [
        {name: value for name, value in row.items() if name != "DELETE"}
        for row in rows
        if not row.get("DELETE")
    ]
