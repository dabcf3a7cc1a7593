"""Forms of checks made, of crashes, and of the sheet for the field."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from builds.field_sheets import Sheet
from builds.operations.checks import NOTE_LENGTH
from builds.rechecks import CHECKS
from builds.records import BuildSnapshot, PartRecord
from hangar.form_choices import offer_words
from inventory.models import Part

HARMED_FIRST = ("servo", "propeller", "pack", "motor")
"""Kinds that a crash harms first, ticked beforehand: common practice, no source."""


def _revision() -> forms.IntegerField:
    return forms.IntegerField(min_value=0, max_value=2**31 - 1, widget=forms.HiddenInput)


class ChecksForm(forms.Form):
    """Which checks were made."""

    revision = _revision()
    kinds = forms.MultipleChoiceField(
        label="checked",
        choices=[(check.key, check.name) for check in CHECKS],
        widget=forms.CheckboxSelectMultiple,
    )
    note = forms.CharField(
        max_length=NOTE_LENGTH,
        required=False,
        label="what was found",
        help_text="For the inspection after a crash: what was inspected and what was found",
    )


class CrashForm(forms.Form):
    """What happened, and what was in it."""

    revision = _revision()
    note = forms.CharField(max_length=NOTE_LENGTH, label="what happened")
    positions = forms.MultipleChoiceField(
        label="harmed, or may be",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="These parts become suspect until somebody says how they are",
    )
    pack = forms.ChoiceField(
        label="pack that was aboard",
        required=False,
        help_text="It goes out of service until it is inspected",
    )

    def __init__(
        self, *args: Any, snapshot: BuildSnapshot, packs: Mapping[str, PartRecord], **kwargs: Any
    ) -> None:
        fitted = [position for position in snapshot.fitted() if position.id]
        own = snapshot.first("pack")
        first = [one.key for one in fitted if one.kind in HARMED_FIRST and one is not own]
        aboard = snapshot.pack.code if snapshot.pack else ""
        kwargs["initial"] = {"revision": snapshot.revision, "positions": first, "pack": aboard}
        super().__init__(*args, **kwargs)
        offered = [(one.key, one.title) for one in fitted if one is not own]
        offer_words(self, "positions", offered)
        named = ((code, f"{record.name} {code}") for code, record in packs.items())
        offer_words(self, "pack", [("", "none"), *named])

    def clean_pack(self) -> Part | None:
        """The pack of that label code; None when none was aboard."""
        code = self.cleaned_data["pack"]
        return Part.objects.filter(code=code).first() if code else None


class SignForm(forms.Form):
    """What was ticked on the sheet."""

    digest = forms.CharField(max_length=64, widget=forms.HiddenInput)
    ticked = forms.MultipleChoiceField(required=False, widget=forms.CheckboxSelectMultiple)
    note = forms.CharField(max_length=NOTE_LENGTH, required=False, label="note")

    def __init__(self, *args: Any, sheet: Sheet, **kwargs: Any) -> None:
        kwargs["initial"] = {"digest": sheet.digest}
        super().__init__(*args, **kwargs)
        offer_words(self, "ticked", [(line.key, line.text) for line in sheet.lines])

    def is_ticked(self) -> set[str]:
        """What was ticked in what was sent."""
        return set(self["ticked"].data or ()) if self.is_bound else set()
