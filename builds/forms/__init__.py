"""Forms of builds, their positions, what is fitted in them, and ground gear."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import F, Q
from django.utils.text import slugify

from builds.findings import GROUND_WORDS
from builds.models import Build, GroundChoice, Position
from hangar.clubs.models import User
from inventory.codes import CodeError, check_code
from inventory.forms.owners import OwnerField
from inventory.kinds.airframe import PositionShape
from inventory.models import Part

PLACE_FIELDS = ("name", "kind", "is_required", "x_mm", "y_mm", "z_mm", "x_min_mm", "x_max_mm")
KEY_LENGTH = 40


class UntouchedForm(forms.ModelForm):
    """A form that leaves its instance as it is: the operation judges what was read."""

    def _post_clean(self) -> None:
        pass

    def changes(self) -> dict[str, Any]:
        """What was read into boxes whose content differs from what they showed."""
        return {name: self.cleaned_data[name] for name in self.changed_data}


class NewBuildForm(forms.Form):
    """A new build: its name, owner and airframe."""

    name = forms.CharField(max_length=80, label="name")

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        airframes = Part.objects.fittable_by(user).in_service().free().filter(kind="airframe")
        self.fields["airframe"] = forms.ModelChoiceField(
            queryset=airframes.select_related("sheet"),
            required=False,
            empty_label="none yet",
            help_text="Its data sheet gives the build its positions.",
        )
        owner = OwnerField()
        owner.offer_to(user)
        self.fields["owner"] = owner


class BuildForm(UntouchedForm):
    """Name, set-up and limits of a build."""

    class Meta:
        model = Build
        fields = (
            "name",
            "pack",
            "pack_x_mm",
            "packs_wiring",
            "motor_signal",
            "servo_rate_hz",
            "cg_min_x_mm",
            "cg_max_x_mm",
            "cg_target_x_mm",
            "takeoff_mass_max_g",
            "speed_max_m_s",
            "cruise_speed_m_s",
            "full_throttle_share_percent",
            "reserve_percent",
            "planned_flight_s",
            "timer_s",
            "voltage_alarm_v",
            "cell_alarm_v",
            "current_scale_mv_a",
            "gps_baud_hz",
            "overlay_standard",
            "is_usb_reachable",
            "role",
            "is_hand_launched",
            "work_planned",
            "is_archived",
            "notes",
        )
        labels = {
            "pack_x_mm": "the pack's place",
            "packs_wiring": "two packs or more",
            "motor_signal": "signal to the motors",
            "servo_rate_hz": "servo rate",
            "cg_min_x_mm": "foremost centre of gravity",
            "cg_max_x_mm": "rearmost centre of gravity",
            "cg_target_x_mm": "centre of gravity wanted",
            "takeoff_mass_max_g": "highest take-off mass",
            "speed_max_m_s": "highest speed",
            "cruise_speed_m_s": "cruise speed",
            "full_throttle_share_percent": "share of a flight at full throttle",
            "reserve_percent": "charge kept back at landing",
            "planned_flight_s": "planned flight",
            "timer_s": "flight timer",
            "voltage_alarm_v": "voltage alarm of the pack",
            "cell_alarm_v": "voltage alarm of a cell",
            "current_scale_mv_a": "scale of the current sensor",
            "gps_baud_hz": "serial speed for the GPS",
            "overlay_standard": "standard of the overlay",
            "is_usb_reachable": "USB socket within reach",
            "role": "flown for",
            "is_hand_launched": "thrown to take off",
            "work_planned": "work still planned",
            "is_archived": "laid up: keep it out of the lists",
        }
        help_texts = {
            "pack_x_mm": "Its middle, aft of the datum",
            "cg_min_x_mm": "Blank for the airframe's own",
            "cg_max_x_mm": "Blank for the airframe's own",
            "cg_target_x_mm": "Blank for the airframe's own",
            "takeoff_mass_max_g": "Blank for the airframe's own",
            "cruise_speed_m_s": "Blank for 1.6 times the stall speed",
            "full_throttle_share_percent": "Blank for none of it",
            "reserve_percent": "Blank for 20 %",
            "planned_flight_s": "With a unit, for example 8 min",
            "timer_s": "When it sounds, for example 6 min",
            "voltage_alarm_v": "Where it is set for the whole pack",
            "cell_alarm_v": "Where it counts the cells by itself",
            "current_scale_mv_a": "As set in the flight controller",
            "work_planned": "What is still to be cut, drilled or glued",
            "servo_rate_hz": "How often the servos get a pulse",
        }
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        usable = Part.objects.candidates_for(user).in_service().filter(kind="pack")
        offered = Q(pk__in=usable.values("pk")) | Q(pk=self.instance.pack_id)
        self.fields["pack"] = forms.ModelChoiceField(
            queryset=Part.objects.filter(offered).select_related("sheet"),
            required=False,
            label="usual pack",
            empty_label="none",
        )


class PositionForm(UntouchedForm):
    """A position: what it takes, where it sits, how much room there is and what feeds it."""

    class Meta:
        model = Position
        fields = tuple(field.name for field in PositionShape._meta.get_fields())
        labels = {
            "key": "short name",
            "is_required": "the aircraft needs it to fly",
            "supply": "power from",
            "output": "output of the flight controller",
            "hole_pattern_mm": "hole pattern",
            "turning": "a motor here turns",
            "route_mm": "way of its lead",
            "extension_mm": "extension lead",
            "is_regulator_cut": "the red wire of its regulator is lifted",
        }

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].required = False
        self.fields["key"].help_text = "Made from the name when left blank"
        regulators = build.positions.filter(kind="regulator").exclude(pk=self.instance.pk)
        choices = dict(regulators.values_list("key", "name"))
        present = self.instance.regulator_key
        if present:
            choices.setdefault(present, present)
        self.fields["regulator_key"] = forms.ChoiceField(
            required=False,
            label="fed by the regulator",
            choices=[("", "none"), *choices.items()],
            help_text="Once one is fitted it feeds this position, whatever the power says.",
        )

    def clean(self) -> dict[str, Any]:
        """Make the short name from the name where none was given."""
        values = super().clean() or self.cleaned_data
        if not values.get("key"):
            values["key"] = self.instance.key or slugify(values.get("name", ""))[:KEY_LENGTH]
        if not values["key"] and "name" in values:
            self.add_error("key", "Give a short name of letters and digits.")
        return values

    def place_fields(self) -> list[forms.BoundField]:
        """What it is and where it sits."""
        return [self[name] for name in PLACE_FIELDS]

    def room_fields(self) -> list[forms.BoundField]:
        """How much room there is, and what it is joined to."""
        return [self[name] for name in self.fields if name not in PLACE_FIELDS]


class FitForm(forms.Form):
    """A part by its label code, and how many pieces of it."""

    part = forms.CharField(max_length=20, label="label code")
    quantity = forms.IntegerField(
        label="pieces",
        initial=1,
        min_value=1,
        max_value=100_000,
        required=False,
        help_text="More than one only from a bag",
    )
    instead_of = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user

    def clean_part(self) -> Part:
        """The part of that label code, among those the person may see."""
        try:
            code = check_code(self.cleaned_data["part"])
        except CodeError as error:
            raise ValidationError(str(error)) from error
        found = Part.objects.visible_to(self.user).filter(code=code).first()
        if found is None:
            raise ValidationError("No part that you can see has this label code.")
        return found

    def clean_quantity(self) -> int:
        """One piece where nothing was said."""
        return self.cleaned_data["quantity"] or 1


class GroundGearForm(forms.Form):
    """One part for each role on the ground, for one build or for all."""

    def __init__(self, *args: Any, user: User, build: Build | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = GroundChoice.objects.visible_to(user).filter(build=build)
        self.chosen = {choice.role: choice for choice in choices.select_related("part__sheet")}
        self.none = "as for all builds" if build else "none"
        usable = (
            Part.objects.candidates_for(user)
            .in_service()
            .filter(kind="ground_gear")
            .annotate(role=F("sheet__groundgear__role"))
            .select_related("sheet")
        )
        gear = list(usable)
        self.without_role = [part for part in gear if not part.role]
        for role, words in GROUND_WORDS.items():
            parts = [part for part in gear if part.role == role]
            self.fields[role] = self._field(role, words, parts)

    def _field(self, role: str, words: str, parts: Sequence[Part]) -> forms.TypedChoiceField:
        present = self.chosen.get(role)
        by_code = {part.code: part for part in parts}
        if present:
            by_code.setdefault(present.part.code, present.part)
        return forms.TypedChoiceField(
            required=False,
            label=words,
            choices=[("", self.none), *((code, str(part)) for code, part in by_code.items())],
            coerce=by_code.__getitem__,
            empty_value=None,
            initial=present.part.code if present else "",
        )
