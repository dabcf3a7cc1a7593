"""The form of a flight logged in seconds: pack, minutes, cells at rest, charge put back."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.utils import timezone

from hangar.clubs.models import User
from hangar.form_fields import NumberListFormField, QuantityFormField
from inventory.codes import CodeError, check_code
from inventory.models import Condition, Part

PACKS_OFFERED = 100
SECONDS_PER_MINUTE = 60
MINUTES_MAX = 24 * 60


class QuickLogForm(forms.Form):
    """What is known after a flight. The pack is picked, or its label code typed or scanned."""

    id = forms.UUIDField(widget=forms.HiddenInput())
    code = forms.CharField(
        required=False,
        max_length=20,
        label="label code",
        help_text="Typed or scanned; blank for the pack picked below",
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off"}),
    )
    pack = forms.ChoiceField(required=False, label="or pick the pack")
    minutes = QuantityFormField(unit="min", label="flight time", required=False)
    rest_v = NumberListFormField(
        unit="v",
        label="cells at rest after it",
        required=False,
        help_text="One for each cell, apart by spaces, such as 3.78 3.79 3.78 3.79",
    )
    charge_mah = QuantityFormField(unit="mah", label="charge put back", required=False)
    is_full = forms.BooleanField(required=False, label="charged to its end, to the full voltage")
    at = forms.DateTimeField(
        required=False,
        label="when it was over",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        help_text="UTC; blank for now",
    )

    def __init__(self, *args: Any, user: User, code: str = "", **kwargs: Any) -> None:
        kwargs["initial"] = {"id": uuid.uuid4(), "code": code}
        super().__init__(*args, **kwargs)
        self.packs = (
            Part.objects.loggable_by(user).filter(kind="pack").select_related("sheet__pack")
        )
        offered = self.packs.exclude(condition=Condition.RETIRED).filter(out_of_service="")
        self.fields["pack"].choices = [  # type: ignore[attr-defined]
            ("", "none picked"),
            *((one.code, _title(one)) for one in offered.order_by("name", "pk")[:PACKS_OFFERED]),
        ]
        self.fields["minutes"].widget.attrs["autofocus"] = True

    def clean_code(self) -> Part | None:
        """Find the pack of a label code."""
        text = self.cleaned_data["code"].strip()
        if not text:
            return None
        try:
            found = self.packs.filter(code=check_code(text)).first()
        except CodeError as error:
            raise forms.ValidationError(str(error)) from error
        if found is None:
            raise forms.ValidationError("There is no pack of that code whose log you keep.")
        return found

    def clean_minutes(self) -> float | None:
        """Refuse a time that no flight takes."""
        minutes = self.cleaned_data["minutes"]
        if minutes is not None and not 0 < minutes <= MINUTES_MAX:
            raise forms.ValidationError("A flight takes more than no time, and less than a day.")
        return minutes

    def clean_at(self) -> datetime | None:
        """Refuse a time that is to come."""
        at = self.cleaned_data["at"]
        if at and at > timezone.now() + timedelta(minutes=5):
            raise forms.ValidationError("That is still to come.")
        return at

    def clean(self) -> dict[str, Any]:
        """Ask for the pack, once."""
        values = super().clean() or self.cleaned_data
        typed, picked = values.get("code"), values.get("pack")
        if "code" in self.errors:
            return values
        if not typed and not picked:
            self.add_error("code", "Say which pack: type its code, or pick it.")
        elif typed and picked and typed.code != picked:
            self.add_error("pack", f"The code is that of {_title(typed)}: pick none, or that one.")
        return values

    def chosen(self) -> Part:
        """The pack."""
        return self.cleaned_data["code"] or self.packs.get(code=self.cleaned_data["pack"])

    def values(self) -> dict[str, Any]:
        """What was read, as `log_flight` takes it."""
        given = self.cleaned_data
        minutes = given["minutes"]
        return {
            "id": given["id"],
            "at": given["at"] or timezone.now(),
            "duration_s": None if minutes is None else minutes * SECONDS_PER_MINUTE,
            "charge_mah": given["charge_mah"],
            "is_full": given["is_full"],
            "rest_v": given["rest_v"],
        }


def _title(pack: Part) -> str:
    return f"{pack.display_name} ({pack.code[:3]}-{pack.code[3:]})"
