"""The choice of an owner: oneself, or a club whose pool one looks after."""

from __future__ import annotations

from typing import Any, cast

from django import forms

from hangar.clubs.models import Club, User

ME = ""


class OwnerField(forms.ChoiceField):
    """Reads to `{"person": …, "club": …}`, one of which is None."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, label="owner", **kwargs)
        self.user: User | None = None
        self.clubs: dict[str, Club] = {}

    def offer_to(self, user: User) -> None:
        """Offer the owners that this person acts for."""
        self.user = user
        self.clubs = {club.slug: club for club in Club.objects.kept_by(user)}
        self.choices = [(ME, "me"), *((slug, str(club)) for slug, club in self.clubs.items())]
        if not self.clubs:
            self.widget = forms.HiddenInput()

    def clean(self, value: Any) -> dict[str, Any]:
        """Read the owner."""
        slug = super().clean(value)
        club = self.clubs.get(slug)
        return {"person": None if club else self.user, "club": club}


def offer_owners(form: forms.BaseForm, user: User) -> None:
    """Offer in the form's `owner` those whom the person acts for."""
    cast(OwnerField, form.fields["owner"]).offer_to(user)
