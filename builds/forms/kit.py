"""The forms of the kit page: what is wanted, and which kit to claim or fit."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.kit.choosing import AIMS, OWN, SOURCES, TIME_MAX_S, TIME_S, Asked

PAIRS_MAX = 400
DIGITS_MAX = 15


class KitForm(forms.Form):
    """Aims in order, where the parts may come from, and the time."""

    first = forms.ChoiceField(label="first of all", choices=list(AIMS.items()))
    second = forms.ChoiceField(
        label="among equals", choices=[("", "nothing more"), *AIMS.items()], required=False
    )
    own = forms.BooleanField(label=SOURCES[OWN], required=False, initial=True)
    pool = forms.BooleanField(label=SOURCES["pool"], required=False, initial=True)
    members = forms.BooleanField(label=SOURCES["members"], required=False, initial=True)
    time_s = forms.IntegerField(
        label="seconds at most", min_value=1, max_value=TIME_MAX_S, initial=TIME_S
    )

    def clean(self) -> dict[str, Any]:
        """Each aim once, and at least one source."""
        given = super().clean() or {}
        if given.get("first") and given.get("first") == given.get("second"):
            self.add_error("second", "This is the first aim already.")
        if not any(given.get(name) for name in SOURCES):
            self.add_error(None, "Choose at least one place that parts may come from.")
        return given

    def asked(self) -> Asked:
        """What is wanted, of a form that is valid."""
        given = self.cleaned_data
        aims = (given["first"], given["second"])
        return Asked(
            aims=tuple(name for name in aims if name),
            sources=tuple(name for name in SOURCES if given[name]),
            time_s=given["time_s"],
        )


class ChosenKitForm(forms.Form):
    """A kit as the page wrote it: numbers of position and part, in pairs."""

    kit = forms.CharField(widget=forms.HiddenInput)

    def clean_kit(self) -> dict[int, int]:
        """Ids of parts by id of position."""
        pairs = [pair.split(":") for pair in self.cleaned_data["kit"].split(",")]
        is_read = len(pairs) <= PAIRS_MAX and all(
            len(pair) == 2  # noqa: PLR2004 # a pair
            and all(one.isascii() and one.isdigit() and len(one) <= DIGITS_MAX for one in pair)
            for pair in pairs
        )
        if not is_read:
            raise forms.ValidationError("This is not a kit: look for it again.")
        return {int(position): int(part) for position, part in pairs}
