"""Forms of the balance page: what to look at, and what the scale showed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from builds.balance import MARGIN_PERCENT, MOVE_MM, Choice
from builds.forms import UntouchedForm
from builds.models import WeighIn
from builds.records import BuildSnapshot, PartRecord
from hangar.clubs.models import User
from hangar.form_choices import offer_words
from hangar.form_fields import QuantityFormField
from inventory.models import Part

FARTHEST_MM = 20_000.0
MARGIN_LIMITS = (-50.0, 100.0)


def _bound(field: forms.Field, low: float, high: float) -> None:
    field.validators += [MinValueValidator(low), MaxValueValidator(high)]


class AirForm(forms.Form):
    """The air to work with; blank for the field's own, else the standard."""

    elevation_m = QuantityFormField(unit="m", label="elevation of the field", required=False)
    temperature_c = QuantityFormField(unit="c", label="temperature", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _bound(self.fields["elevation_m"], -500.0, 6000.0)
        _bound(self.fields["temperature_c"], -40.0, 55.0)

    def in_air(self, snapshot: BuildSnapshot) -> BuildSnapshot:
        """The build in the air that was given; what was not accepted is left as it was."""
        given = self.cleaned_data if self.is_valid() else {}
        return snapshot.in_air(
            elevation_m=given.get("elevation_m"), temperature_c=given.get("temperature_c")
        )

    def is_asked(self) -> bool:
        """Was any other air than the usual asked for."""
        return self.is_bound and any(self.data.get(name) for name in AirForm.base_fields)


class BalanceForm(forms.Form):
    """What to look at: a static margin, a place for ballast, a part to move."""

    margin_percent = QuantityFormField(
        unit="percent",
        label="static margin",
        required=False,
        help_text=f"Blank for {MARGIN_PERCENT:g} %; of the mean chord",
    )
    ballast_x_mm = QuantityFormField(
        unit="mm",
        label="ballast at",
        required=False,
        help_text="Aft of the datum; blank for both ends",
    )
    move = forms.ChoiceField(label="move", required=False)
    move_mm = QuantityFormField(
        unit="mm",
        label="by",
        required=False,
        help_text=f"Aft; ahead with a minus. Blank for {MOVE_MM:g} mm",
    )

    def __init__(self, *args: Any, snapshot: BuildSnapshot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _bound(self.fields["margin_percent"], *MARGIN_LIMITS)
        _bound(self.fields["ballast_x_mm"], -FARTHEST_MM, FARTHEST_MM)
        _bound(self.fields["move_mm"], -FARTHEST_MM, FARTHEST_MM)
        placed = [p for p in snapshot.fitted() if p.kind != "airframe" and p.x_mm is not None]
        titles = ((position.key, position.title) for position in placed)
        offer_words(self, "move", [("", "nothing"), *titles])

    def choice(self) -> Choice:
        """What was chosen, with the usual where nothing was; the usual for all when refused."""
        given = self.cleaned_data if self.is_valid() else {}
        margin, move_mm = given.get("margin_percent"), given.get("move_mm")
        return Choice(
            margin_percent=MARGIN_PERCENT if margin is None else margin,
            ballast_x_mm=given.get("ballast_x_mm"),
            move=given.get("move", ""),
            move_mm=MOVE_MM if move_mm is None else move_mm,
        )


class WeighInForm(UntouchedForm):
    """What the scale showed, where it balanced, and what was on it."""

    mass_g = QuantityFormField(unit="g", label="the scale showed")
    revision = forms.IntegerField(min_value=0, max_value=2**31 - 1, widget=forms.HiddenInput)
    pack = forms.ChoiceField(label="pack on the scale", required=False)
    left_off = forms.MultipleChoiceField(
        label="not on the scale",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Tick what was left off, such as lid, propeller or strap. Nothing is assumed.",
    )

    class Meta:
        model = WeighIn
        fields = ("mass_g", "uncertainty_g", "cg_x_mm", "cg_uncertainty_mm", "note")
        labels = {
            "uncertainty_g": "standard uncertainty of the scale",
            "cg_x_mm": "balance point",
            "cg_uncertainty_mm": "standard uncertainty of the balance point",
        }
        help_texts = {
            "uncertainty_g": "Blank: ± 0.1 g below 200 g, else ± 1 g, as limits",
            "cg_x_mm": "Aft of the datum; blank when it was not balanced",
            "cg_uncertainty_mm": "Blank: 2 mm",
        }

    field_order = (
        "mass_g",
        "pack",
        "cg_x_mm",
        "uncertainty_g",
        "cg_uncertainty_mm",
        "note",
        "left_off",
    )

    def __init__(
        self,
        *args: Any,
        user: User,
        snapshot: BuildSnapshot,
        packs: Mapping[str, PartRecord],
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("initial", {})
        kwargs["initial"] = {"revision": snapshot.revision} | kwargs["initial"]
        super().__init__(*args, **kwargs)
        self.user = user
        offered = ((code, f"{record.name} {code}") for code, record in packs.items())
        offer_words(self, "pack", [("", "none: weighed without"), *offered])
        fitted = [(p.key, p.title) for p in snapshot.fitted() if p.id and p.kind != "pack"]
        offer_words(self, "left_off", fitted)
        self.order_fields(self.field_order)

    def clean_pack(self) -> Part | None:
        """The pack of that label code, None when it was weighed without."""
        return Part.objects.visible_to(self.user).filter(code=self.cleaned_data["pack"]).first()
