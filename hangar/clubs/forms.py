"""Forms of accounts and clubs."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import BaseUserCreationForm

from hangar.clubs.models import FIELD_COLUMNS, NAME_TAKEN, Club, Membership, RadioLimit, Role, User
from hangar.clubs.operations import INVITATION_DAYS


class SignUpForm(BaseUserCreationForm):
    """A new account: a name and a password."""

    class Meta:
        model = User
        fields = ("username",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "name to sign in with"
        self.fields["username"].help_text = "Letters, digits, . _ and - only."

    def clean_username(self) -> str:
        """Refuse a name that another has, in capitals or not, at its box."""
        name: str = self.cleaned_data["username"]
        if User.objects.filter(username__iexact=name).exists():
            raise forms.ValidationError(NAME_TAKEN)
        return name


class SettingsForm(forms.ModelForm):
    """How a person likes to read measures."""

    class Meta:
        model = User
        fields = ("first_name", "last_name", "mass_unit", "length_unit")
        labels = {"mass_unit": "masses in", "length_unit": "lengths in"}
        help_texts = {
            "mass_unit": "For reading only: boxes take any unit, such as 12 g or 0.4 oz.",
        }


class ClubForm(forms.Form):
    """A club to be founded."""

    name = forms.CharField(max_length=80, label="name of the club")


class InvitationForm(forms.Form):
    """A link by which people join."""

    role = forms.ChoiceField(choices=Role, label="join as")
    uses_max = forms.IntegerField(label="good for how many people", initial=1)
    days = forms.IntegerField(label="good for how many days", initial=INVITATION_DAYS)


class RoleForm(forms.Form):
    """Another role for a member."""

    role = forms.ChoiceField(choices=Role)


class MassLineForm(forms.ModelForm):
    """The take-off mass above which other rules hold."""

    class Meta:
        model = Club
        fields = ("mass_line_g",)


class FieldForm(forms.ModelForm):
    """Where the club flies: for the density of the air and the earth's field."""

    class Meta:
        model = Club
        fields = FIELD_COLUMNS
        labels = {
            "field_latitude_deg": "latitude (°)",
            "field_longitude_deg": "longitude (°)",
            "field_elevation_m": "elevation (m)",
        }


class RadioLimitForm(forms.ModelForm):
    """A band and its radiated power, as the club's authority allows it."""

    class Meta:
        model = RadioLimit
        fields = ("band_min_mhz", "band_max_mhz", "is_allowed", "radiated_power_max_mw", "source")
        labels = {"is_allowed": "may be used here"}

    def clean(self) -> dict[str, Any]:
        """Refuse a band that ends below its beginning, at the field where it ends."""
        values = super().clean() or self.cleaned_data
        low, high = values.get("band_min_mhz"), values.get("band_max_mhz")
        if low is not None and high is not None and high < low:
            self.add_error("band_max_mhz", "The highest frequency is not below the lowest.")
        return values


def role_form(membership: Membership) -> RoleForm:
    """A form with the member's present role."""
    return RoleForm(initial={"role": membership.role}, auto_id=f"id_{membership.pk}_%s")
