"""Forms of what-ifs: name and pack, a part for a position, an arm hole for a surface."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from builds.forms import FitForm, UntouchedForm
from builds.models import Build, ControlSurface, Position, Variant, VariantChange
from hangar.clubs.models import User
from hangar.form_fields import QuantityFormField
from inventory.codes import CodeError, check_code
from inventory.models import Part

BESIDE_MOST = 3
"""How many what-ifs stand beside the build as it is."""


class RepeatedField(forms.Field):
    """The same field any number of times; each different value once, in the order given."""

    widget = forms.MultipleHiddenInput

    def __init__(self, *, kind: forms.Field) -> None:
        super().__init__(required=False)
        self.kind = kind

    def clean(self, value: list[str] | None) -> list[Any]:
        """Read each value that is not blank."""
        return list(dict.fromkeys(self.kind.clean(one) for one in value or () if one))


class CodeField(forms.CharField):
    """The label code of a part."""

    def clean(self, value: str) -> str:
        """Refuse what cannot be a label code."""
        try:
            return check_code(super().clean(value))
        except CodeError as error:
            raise ValidationError(str(error)) from error


class VariantForm(UntouchedForm):
    """Name, pack and notes of a what-if."""

    class Meta:
        model = Variant
        fields = ("name", "pack", "pack_x_mm", "packs_wiring", "notes")
        labels = {"pack_x_mm": "the pack's place", "packs_wiring": "two packs or more"}
        help_texts = {
            "name": "What is different, such as: 6 cells",
            "pack_x_mm": "Its middle, aft of the datum; blank to leave it where it is",
            "packs_wiring": "Blank: joined as the build's are",
        }

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        usable = Part.objects.candidates_for(user).in_service().filter(kind="pack")
        offered = Q(pk__in=usable.values("pk")) | Q(pk=self.instance.pack_id)
        self.fields["pack"] = forms.ModelChoiceField(
            queryset=Part.objects.filter(offered).select_related("sheet"),
            required=False,
            label="pack",
            empty_label="the usual one",
        )


class PositionChangeForm(forms.Form):
    """Another part, or none, for one position."""

    quantity = forms.IntegerField(
        label="pieces",
        initial=1,
        min_value=1,
        max_value=100_000,
        required=False,
        help_text="More than one only from a bag",
    )

    def __init__(self, *args: Any, position: Position, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        parts = Part.objects.candidates_for(user).in_service().filter(kind=position.kind)
        part = forms.ModelChoiceField(
            queryset=parts.select_related("sheet"),
            required=False,
            label="part",
            empty_label="nothing: leave it empty",
            help_text="Yours, lent to you, and the club's; one that is in another aircraft can be"
            " looked at, but not applied.",
        )
        self.fields = {"part": part, **self.fields}

    def clean_quantity(self) -> int:
        """One piece where nothing was said."""
        return self.cleaned_data["quantity"] or 1


class HoleChangeForm(forms.Form):
    """Another hole of the servo arm for one surface."""

    arm_radius_mm = QuantityFormField(unit="mm", label="from the shaft to the hole")

    def __init__(
        self, *args: Any, surface: ControlSurface, change: VariantChange | None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        present = change.arm_radius_mm if change else surface.arm_radius_mm
        self.fields["arm_radius_mm"].initial = present


class TryForm(FitForm):
    """A part by its label code, for a position or as the pack; noted in a variant given or new."""

    def __init__(self, *args: Any, build: Build, user: User, **kwargs: Any) -> None:
        super().__init__(*args, user=user, **kwargs)
        del self.fields["instead_of"]
        self.fields["position"] = forms.ModelChoiceField(
            queryset=Position.objects.filter(build=build),
            required=False,
            empty_label="none: it is the pack to fly with",
        )
        self.fields["variant"] = forms.ModelChoiceField(
            queryset=Variant.objects.filter(build=build), required=False, empty_label="a new one"
        )


class BesideForm(forms.Form):
    """Which variants, by number, and which packs, by label code, to set beside the build."""

    variant = RepeatedField(kind=forms.IntegerField(min_value=1, max_value=2**63 - 1))
    pack = RepeatedField(kind=CodeField())

    def clean(self) -> dict[str, Any]:
        """Refuse more columns than stand side by side."""
        given = super().clean() or self.cleaned_data
        if len(given.get("variant", ())) + len(given.get("pack", ())) > BESIDE_MOST:
            raise ValidationError(f"At most {BESIDE_MOST} beside the build as it is.")
        return given
