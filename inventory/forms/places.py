"""Forms of places."""

from __future__ import annotations

from typing import Any

from django import forms

from hangar.clubs.models import User
from hangar.form_choices import offer_rows
from inventory.forms.owners import OwnerField, offer_owners
from inventory.models import Place


class PlaceForm(forms.ModelForm):
    """A place: its name and in which other place it lies; the owner of a new one."""

    owner = OwnerField()

    class Meta:
        model = Place
        fields = ("name", "parent")
        labels = {"parent": "lies in"}

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        places = Place.objects.editable_by(user)
        if self.instance.pk:
            del self.fields["owner"]
            places = places.filter(
                person=self.instance.person_id, club=self.instance.club_id
            ).exclude(path__startswith=self.instance.path)
        else:
            offer_owners(self, user)
        offer_rows(self, "parent", places, empty="nothing: it stands for itself")

    def place(self) -> Place:
        """The place that was read; a new one takes the owner chosen, or that of its parent."""
        place, parent = self.instance, self.cleaned_data.get("parent")
        if place.pk:
            return place
        owner = self.cleaned_data["owner"]
        if parent and not self.data.get(self.add_prefix("owner")):
            owner = {"person": parent.person, "club": parent.club}
        place.person, place.club = owner["person"], owner["club"]
        return place
