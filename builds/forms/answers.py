"""Forms of answers to findings, and of the limits that clubs set for rules."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from builds.findings import Limit
from builds.models.answers import REASON_LENGTH
from builds.operations.rule_limits import NOTE_LENGTH
from hangar.form_fields import QuantityFormField
from hangar.units import unit_of
from inventory.models import Part

PLACES_MAX = 100


class PlacesField(forms.Field):
    """Places that a finding is about: digest and short name of each, as the page gave them."""

    widget = forms.MultipleHiddenInput

    def clean(self, value: Any) -> dict[str, str]:
        """Read them as digests by short name."""
        if not value or len(value) > PLACES_MAX:
            raise ValidationError("Begin from the finding on the build's page.")
        pairs = (text.partition(" ") for text in value)
        return {key: digest for digest, _, key in pairs}


class AnswerForm(forms.Form):
    """Why a finding is accepted."""

    rule = forms.CharField(max_length=120, widget=forms.HiddenInput)
    place = PlacesField()
    pack = forms.CharField(max_length=20, required=False, widget=forms.HiddenInput)
    reason = forms.CharField(max_length=REASON_LENGTH, label="accepted, because")

    def __init__(self, *args: Any, packs: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.packs = packs

    def clean_pack(self) -> Part | None:
        """The pack that the build was looked at with; None for the usual one."""
        code = self.cleaned_data["pack"]
        if not code:
            return None
        found: Part | None = self.packs.filter(code=code, kind="pack").first()
        if found is None:
            raise ValidationError("No such pack, or none you may see.")
        return found


class RuleLimitForm(forms.Form):
    """What a club sets one limit to."""

    rule = forms.CharField(max_length=120, widget=forms.HiddenInput)
    name = forms.CharField(max_length=60, widget=forms.HiddenInput)
    instead_of = forms.IntegerField(min_value=0, required=False, widget=forms.HiddenInput)
    value = forms.FloatField(required=False)
    note = forms.CharField(max_length=NOTE_LENGTH, required=False, label="why, and who says so")

    def __init__(self, *args: Any, limit: Limit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["value"] = QuantityFormField(
            unit=unit_of(limit.name) or "ratio",
            label=limit.meaning,
            required=False,
            help_text=f"From {limit.minimum:g} to {limit.maximum:g}; blank for common practice, "
            f"{limit.value:g}",
        )
        self.order_fields(("value", "note"))
