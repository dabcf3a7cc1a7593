"""Forms by which parts change hands, and by which they leave and return to service."""

from __future__ import annotations

from typing import Any

from django import forms

from hangar.clubs.models import Club, User
from hangar.form_choices import offer_rows
from inventory.forms.parts import date_box
from inventory.models import Condition, Offer, Part

BACK_CONDITIONS = [choice for choice in Condition.choices if choice[0] not in ("new", "retired")]


class OfferForm(forms.Form):
    """Offer a part to a club's pool."""

    club = forms.ModelChoiceField(queryset=Club.objects.none(), label="club", empty_label=None)
    terms = forms.ChoiceField(choices=Offer.Terms, label="terms")

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_rows(self, "club", Club.objects.visible_to(user))


class ClaimForm(forms.Form):
    """Put a part aside for oneself."""

    purpose = forms.CharField(max_length=120, required=False, label="what for")
    until_on = forms.DateField(required=False, label="until", widget=date_box())
    note = forms.CharField(max_length=300, required=False, label="note")


class LendForm(forms.Form):
    """Hand a part to a member of one of the clubs that see it."""

    to = forms.ModelChoiceField(queryset=User.objects.none(), label="to", empty_label="choose")
    due_on = forms.DateField(required=False, label="back by", widget=date_box())
    note = forms.CharField(max_length=300, required=False, label="note")

    def __init__(self, *args: Any, user: User, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        clubs = Club.objects.visible_to(user)
        if part.club_id:
            clubs = clubs.filter(pk=part.club_id)
        members = User.objects.filter(
            memberships__club__in=clubs.values("pk"), memberships__left_at__isnull=True
        )
        own = {part.person_id} if part.person_id else set()
        people = members.exclude(pk__in=own).distinct().order_by("username")
        offer_rows(self, "to", people)


class ReturnForm(forms.Form):
    """Take a part back."""

    condition = forms.ChoiceField(choices=BACK_CONDITIONS, label="condition now")
    note = forms.CharField(max_length=300, required=False, label="note")


class StopForm(forms.Form):
    """Take a part out of service."""

    reason = forms.CharField(max_length=200, label="what is wrong with it")


class InspectForm(forms.Form):
    """Record an inspection that puts a part back into service."""

    finding = forms.CharField(
        max_length=250,
        label="what was inspected and found",
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class RetireForm(forms.Form):
    """Retire a part."""

    reason = forms.CharField(max_length=200, required=False, label="why")


class SureForm(forms.Form):
    """Nothing to fill in: the button is the answer."""
