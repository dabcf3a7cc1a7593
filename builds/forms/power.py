"""Forms of the power page: how it runs, and what was read on the bench."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from builds.forms import BuildForm, UntouchedForm
from builds.forms.balance import AirForm
from builds.models import Build, PowerReading
from builds.powering import HALF
from hangar.form_choices import offer_words
from hangar.form_fields import QuantityFormField
from inventory.models import Part

LEAST_DUTY, MOST_DUTY = 0.01, 1.0
FASTEST_M_S = 200.0


class RunningForm(AirForm):
    """Throttle and airspeed to look at, and the air."""

    duty = QuantityFormField(
        unit="ratio",
        label="throttle, as duty",
        required=False,
        help_text=f"From {LEAST_DUTY:g} to 1; blank for {HALF:g}",
    )
    airspeed_m_s = QuantityFormField(
        unit="m_s", label="airspeed", required=False, help_text="Blank for the speed of cruise"
    )

    field_order = ("pack", "duty", "airspeed_m_s", "elevation_m", "temperature_c")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["duty"].validators += [
            MinValueValidator(LEAST_DUTY),
            MaxValueValidator(MOST_DUTY),
        ]
        self.fields["airspeed_m_s"].validators += [
            MinValueValidator(0.0),
            MaxValueValidator(FASTEST_M_S),
        ]

    def running(self) -> dict[str, float | None]:
        """Duty and airspeed as given; None where nothing was, or it was refused."""
        given = self.cleaned_data if self.is_valid() else {}
        return {"duty": given.get("duty"), "airspeed_m_s": given.get("airspeed_m_s")}


class PackRunningForm(RunningForm):
    """The same, with the pack to look at."""

    pack = forms.ChoiceField(label="pack", required=False)

    def __init__(self, *args: Any, packs: Iterable[Part], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = ((part.code, f"{part} {part.code}") for part in packs)
        offer_words(self, "pack", [("", "the usual one"), *names])
        self.order_fields(self.field_order)


class FlightForm(UntouchedForm):
    """The flight that the endurance is worked out for."""

    class Meta:
        model = Build
        fields = ("cruise_speed_m_s", "full_throttle_share_percent", "reserve_percent")
        labels = {name: BuildForm.Meta.labels[name] for name in fields}
        help_texts = {name: BuildForm.Meta.help_texts[name] for name in fields}


class PowerReadingForm(UntouchedForm):
    """What a wattmeter, a rev counter and a scale showed at full throttle on the bench."""

    class Meta:
        model = PowerReading
        fields = (
            "voltage_v",
            "current_a",
            "speed_rpm",
            "thrust_g",
            "elevation_m",
            "temperature_c",
            "note",
        )
        labels = {
            "voltage_v": "voltage at the speed controller",
            "current_a": "current from the pack",
            "speed_rpm": "speed of the propeller",
            "thrust_g": "pull on the scale, all motors",
            "elevation_m": "height of the bench above the sea",
            "temperature_c": "temperature of the air",
        }
        help_texts = {
            "thrust_g": "Blank without a scale: then the thrust stays as vague as it was",
            "elevation_m": "Blank for sea level",
            "temperature_c": "Blank for the standard atmosphere",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("voltage_v", "current_a", "speed_rpm"):
            self.fields[name].required = True
