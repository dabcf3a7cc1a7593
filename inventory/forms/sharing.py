"""Forms of notices and of a club's lending rules."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from inventory.models import LendingRule
from inventory.pool.models import NoticeKind


class NoticeForm(forms.Form):
    """What a person is told, in the tool and by mail."""

    email = forms.EmailField(required=False, label="e-mail address", max_length=254)

    def __init__(
        self,
        *args: Any,
        email: str,
        choices: Mapping[str, tuple[bool, bool]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.initial["email"] = email
        for kind in NoticeKind:
            in_tool, by_mail = choices[kind]
            label = f"when {kind.label}"
            for name, where, is_on in (
                ("tool", "here", in_tool),
                ("mail", "by mail", by_mail),
            ):
                self.fields[f"{name}_{kind.value}"] = forms.BooleanField(
                    required=False, initial=is_on, label=f"{label}: {where}"
                )

    def chosen(self) -> dict[str, tuple[bool, bool]]:
        """What was ticked, by kind: in the tool, by mail."""
        given = self.cleaned_data
        return {
            kind.value: (given[f"tool_{kind.value}"], given[f"mail_{kind.value}"])
            for kind in NoticeKind
        }


class LendingRuleForm(forms.ModelForm):
    """One rule of a club; of the same kind as another, it takes its place."""

    class Meta:
        model = LendingRule
        fields = ("kind", "role_least", "membership_days_min", "days_max", "parts_max")
        labels = {
            "role_least": "lent to",
            "membership_days_min": "after days of membership",
            "days_max": "for days at most",
            "parts_max": "parts at a time",
        }
