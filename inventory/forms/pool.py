"""Forms by which parts change hands, and by which they leave and return to service."""

from __future__ import annotations

from typing import Any

from django import forms

from hangar.clubs.models import Club, User
from hangar.form_choices import offer_rows
from inventory.forms.parts import date_box
from inventory.models import Condition, Offer, Part

BACK_CONDITIONS = [choice for choice in Condition.choices if choice[0] not in ("new", "retired")]


def people_for(user: User, part: Part) -> Any:
    """Members of the clubs in which the person may hand the part on, without its owner."""
    clubs = Club.objects.visible_to(user)
    if part.club_id:
        clubs = clubs.filter(pk=part.club_id)
    members = User.objects.filter(
        memberships__club__in=clubs.values("pk"), memberships__left_at__isnull=True
    )
    own = {part.person_id} if part.person_id else set()
    return members.exclude(pk__in=own).distinct().order_by("username")


class OfferForm(forms.Form):
    """Offer a part to a club's pool."""

    club = forms.ModelChoiceField(queryset=Club.objects.none(), label="club", empty_label=None)
    terms = forms.ChoiceField(choices=Offer.Terms, label="terms")
    deposit = forms.CharField(max_length=80, required=False, label="deposit")
    note = forms.CharField(max_length=300, required=False, label="conditions")

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_rows(self, "club", Club.objects.visible_to(user))


class ClaimForm(forms.Form):
    """Put a part aside for oneself."""

    purpose = forms.CharField(max_length=120, required=False, label="what for")
    until_on = forms.DateField(required=False, label="until", widget=date_box())
    note = forms.CharField(max_length=300, required=False, label="note")

    def __init__(self, *args: Any, user: User, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if Part.objects.editable_by(user).filter(pk=part.pk).exists():
            self.fields["claimant"] = forms.ModelChoiceField(
                queryset=User.objects.none(), required=False, label="for", empty_label="myself"
            )
            offer_rows(self, "claimant", people_for(user, part))


class WaitForm(forms.Form):
    """Wait for a part that another has, or ask for one."""

    purpose = forms.CharField(max_length=120, required=False, label="what for")
    days = forms.IntegerField(label="for how many days", initial=7, min_value=1, max_value=730)


class ExtendForm(forms.Form):
    """A later day."""

    day = forms.DateField(label="until", widget=date_box())


class TransferForm(forms.Form):
    """Pass a part on for good, to a member or to a club."""

    person = forms.ModelChoiceField(
        queryset=User.objects.none(), required=False, label="to a member", empty_label="nobody"
    )
    club = forms.ModelChoiceField(
        queryset=Club.objects.none(), required=False, label="or to a club", empty_label="none"
    )
    note = forms.CharField(max_length=200, required=False, label="note")

    def __init__(self, *args: Any, user: User, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_rows(self, "person", people_for(user, part))
        clubs = Club.objects.visible_to(user)
        if part.club_id:
            clubs = clubs.exclude(pk=part.club_id)
        offer_rows(self, "club", clubs)


class LostForm(forms.Form):
    """Say that nobody finds a part."""

    note = forms.CharField(max_length=200, required=False, label="where it was last seen")


class LabelForm(forms.Form):
    """The label of a part in hand, scanned or typed."""

    code = forms.CharField(max_length=100, label="label code")


class LendForm(forms.Form):
    """Hand a part to a member of one of the clubs that see it."""

    to = forms.ModelChoiceField(queryset=User.objects.none(), label="to", empty_label="choose")
    due_on = forms.DateField(required=False, label="back by", widget=date_box())
    deposit = forms.CharField(max_length=80, required=False, label="deposit")
    note = forms.CharField(max_length=300, required=False, label="note")

    def __init__(self, *args: Any, user: User, part: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_rows(self, "to", people_for(user, part))


class ReturnForm(forms.Form):
    """Take a part back."""

    condition = forms.ChoiceField(choices=BACK_CONDITIONS, label="condition now")
    damage = forms.CharField(max_length=200, required=False, label="what is damaged, if anything")
    count = forms.IntegerField(required=False, min_value=0, label="pieces that came back")
    note = forms.CharField(max_length=300, required=False, label="note")

    def __init__(self, *args: Any, is_bag: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_bag:
            del self.fields["count"]


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
