"""Forms of parts: add, change, measure, look for."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from hangar.clubs.models import Club, User
from hangar.fields import MeasureField
from hangar.form_choices import offer_rows, offer_words
from hangar.form_fields import QuantityFormField, label_with_unit, label_without_unit, read_measure
from hangar.units import unit_of
from inventory.forms.owners import OwnerField, offer_owners
from inventory.kinds import DataSheet
from inventory.models import Condition, Part, Place, Source
from inventory.operations import measurable_names

MASS_SOURCES = (
    (Source.WEIGHED, "weighed"),
    (Source.MEASURED, "measured otherwise"),
    (Source.COMPUTED, "computed"),
    (Source.GUESSED, "guessed"),
)
UNUSED = ("retired",)


def date_box() -> forms.DateInput:
    """A box for a day that a browser fills by its calendar."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class PartForm(forms.ModelForm):
    """A part's own columns."""

    class Meta:
        model = Part
        fields = ("name", "condition", "place", "is_bag", "count", "acquired_on", "notes")
        labels = {
            "name": "a name of its own",
            "place": "where it lies",
            "is_bag": "a bag of alike pieces",
            "count": "pieces in the bag",
            "acquired_on": "since",
        }
        help_texts = {"name": "", "is_bag": "Such as propellers, leads or screws"}
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["acquired_on"].widget = date_box()
        offer_rows(self, "place", self.places(user), empty="not said")
        usable = [choice for choice in Condition.choices if choice[0] not in UNUSED]
        offer_words(self, "condition", usable)

    def places(self, user: User) -> models.QuerySet[Place]:
        """Places that belong to the owner of the part."""
        return Place.objects.editable_by(user).filter(
            person=self.instance.person_id, club=self.instance.club_id
        )

    def _post_clean(self) -> None:
        """Leave the part as it is: the operation judges what was read."""

    def clean(self) -> dict[str, Any]:
        """Refuse a count of what is one thing, at the box where it was typed."""
        values = super().clean() or self.cleaned_data
        if not values.get("is_bag") and values.get("count", 1) != 1:
            self.add_error("count", "Only a bag of alike pieces has a count.")
        return values


class NewPartForm(PartForm):
    """A new part, of a data sheet there is or of one written beside it."""

    sheet = forms.ModelChoiceField(
        queryset=DataSheet.objects.none(),
        required=False,
        label="data sheet",
        empty_label="a new one, written below",
    )
    mass_g = QuantityFormField(unit="g", label="mass of one piece", required=False)
    mass_source = forms.ChoiceField(choices=MASS_SOURCES, label="that mass was")
    mass_uncertainty_g = QuantityFormField(
        unit="g", label="give or take", required=False, help_text="Standard uncertainty, if known"
    )
    owner = OwnerField()
    field_order = ("sheet", "owner", "mass_g", "mass_source", "mass_uncertainty_g")

    def __init__(self, *args: Any, user: User, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, user=user, **kwargs)
        offer_owners(self, user)
        offer_rows(self, "sheet", DataSheet.objects.visible_to(user).filter(kind=kind))
        if DataSheet.registry[kind].is_consumable:
            self.fields["is_bag"].initial = True

    def places(self, user: User) -> models.QuerySet[Place]:
        """Places of any owner the person acts for."""
        return Place.objects.editable_by(user)


class MeasurementForm(forms.Form):
    """One figure found on a part."""

    name = forms.ChoiceField(label="what")
    value = forms.CharField(max_length=200, label="value")
    uncertainty = forms.CharField(
        max_length=40, required=False, label="give or take", help_text="Standard uncertainty"
    )
    source = forms.ChoiceField(choices=MASS_SOURCES, label="how")
    note = forms.CharField(max_length=200, required=False, label="note")

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.columns = measurable_names(kind)
        names = sorted(self.columns, key=lambda name: (name != "mass_g", name))
        titles = (label_with_unit(label_without_unit(name), unit_of(name)) for name in names)
        offer_words(self, "name", zip(names, titles, strict=True))

    def clean(self) -> dict[str, Any]:
        """Read value and uncertainty in the unit of what was measured."""
        values = super().clean() or self.cleaned_data
        name = values.get("name")
        if name is None:
            return values
        self._read(values, "value", self._box(name))
        self._read(values, "uncertainty", lambda text: read_measure(text, unit_of(name)))
        values["uncertainty"] = values.get("uncertainty") or None
        return values

    def _box(self, name: str) -> Any:
        column = self.columns[name]
        if column is None or isinstance(column, MeasureField):
            return lambda text: read_measure(text, unit_of(name))
        return column.formfield().clean

    def _read(self, values: dict[str, Any], box: str, read: Any) -> None:
        if not values.get(box):
            return
        try:
            values[box] = read(values[box])
        except ValidationError as error:
            self.add_error(box, error)


class PartFilterForm(forms.Form):
    """What to look for among the parts."""

    q = forms.CharField(required=False, max_length=100, label="words or label code")
    kind = forms.ChoiceField(required=False, label="kind")
    mass_min_g = QuantityFormField(unit="g", label="mass, from", required=False)
    mass_max_g = QuantityFormField(unit="g", label="mass, to", required=False)
    place = forms.ModelChoiceField(
        required=False, queryset=Place.objects.none(), label="place", empty_label="anywhere"
    )
    condition = forms.ChoiceField(
        required=False, label="condition", choices=[("", "any but retired"), *Condition.choices]
    )
    owner = forms.ChoiceField(required=False, label="owner")
    state = forms.ChoiceField(
        required=False,
        label="free or fitted",
        choices=(
            ("", "either"),
            ("free", "free"),
            ("fitted", "fitted"),
            ("stopped", "out of service"),
        ),
    )

    def __init__(self, *args: Any, user: User, kind: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.clubs = list(Club.objects.visible_to(user))
        self.user = user
        offer_rows(self, "place", Place.objects.visible_to(user))
        offer_words(self, "kind", [("", "all kinds"), *kind_labels()])
        owners = [("", "anyone"), ("me", "me"), *((club.slug, str(club)) for club in self.clubs)]
        offer_words(self, "owner", owners)
        self.kind_name = kind if kind in DataSheet.registry else ""
        self.typed_names = tuple(self._add_typed_fields()) if self.kind_name else ()

    def _add_typed_fields(self) -> Any:
        sheet = DataSheet.registry[self.kind_name]
        for name in sheet.own_field_names():
            column = sheet._meta.get_field(name)
            for suffix, field in _filter_fields(column):
                self.fields[f"{name}{suffix}"] = field
                yield f"{name}{suffix}"

    def more_fields(self) -> list[forms.BoundField]:
        """The boxes that are folded away until one of them is used."""
        return [self[name] for name in self.base_fields if name not in ("q", "kind")]

    def has_more(self) -> bool:
        """Whether one of the folded boxes is in use."""
        return any(self.data.get(name) for name in self.fields if name not in ("q", "kind"))

    def typed_fields(self) -> list[forms.BoundField]:
        """The boxes that only the chosen kind has."""
        return [self[name] for name in self.typed_names]

    def narrow(self, parts: Any) -> Any:
        """The parts that were asked for; none while the form has errors."""
        if not self.is_valid():
            return parts.none()
        given = self.cleaned_data
        parts = parts.matching(given["q"]) if given["q"] else parts
        parts = parts.filter(kind=given["kind"]) if given["kind"] else parts
        parts = parts.filter(**self._typed_conditions())
        if given["mass_min_g"] is not None:
            parts = parts.with_known_mass().filter(known_mass_g__gte=given["mass_min_g"])
        if given["mass_max_g"] is not None:
            parts = parts.with_known_mass().filter(known_mass_g__lte=given["mass_max_g"])
        if given["place"]:
            parts = parts.filter(place__path__startswith=given["place"].path)
        if given["owner"]:
            mine = given["owner"] == "me"
            parts = (
                parts.filter(person=self.user) if mine else parts.filter(club__slug=given["owner"])
            )
        return self._in_state(parts)

    def _in_state(self, parts: Any) -> Any:
        given = self.cleaned_data
        if given["condition"]:
            parts = parts.filter(condition=given["condition"])
        else:
            parts = parts.exclude(condition=Condition.RETIRED)
        if given["state"] == "free":
            return parts.free()
        if given["state"] == "fitted":
            return parts.filter(fitted_count__gt=0)
        return parts.exclude(out_of_service="") if given["state"] == "stopped" else parts

    def _typed_conditions(self) -> dict[str, Any]:
        accessor = self.kind_name.replace("_", "")
        return {
            f"sheet__{accessor}__{name}": self.cleaned_data[name]
            for name in self.typed_names
            if self.cleaned_data.get(name) not in (None, "")
        }


def kind_labels() -> list[tuple[str, str]]:
    """Kinds with their plural names, in the order of the alphabet."""
    return sorted(
        ((kind, sheet.label_plural) for kind, sheet in DataSheet.registry.items()),
        key=lambda choice: choice[1],
    )


def _filter_fields(column: Any) -> list[tuple[str, forms.Field]]:
    label = column.verbose_name
    if isinstance(column, MeasureField) and column.unit:
        return [
            (
                f"__{bound}",
                QuantityFormField(unit=column.unit, label=f"{label}, {word}", required=False),
            )
            for bound, word in (("gte", "from"), ("lte", "to"))
        ]
    if column.choices:
        choices = [("", "any"), *column.flatchoices]
        return [("", forms.ChoiceField(choices=choices, label=label, required=False))]
    if isinstance(column, models.IntegerField):
        return [
            (
                f"__{bound}",
                forms.IntegerField(
                    label=f"{label}, {word}", required=False, min_value=0, max_value=32_767
                ),
            )
            for bound, word in (("gte", "from"), ("lte", "to"))
        ]
    if isinstance(column, models.CharField):
        return [("__icontains", forms.CharField(label=label, required=False, max_length=60))]
    return []
