"""The form of the placing page: where it flies, its leads, and the ground side of the radio."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from builds.figures.compass import SPACING_MM, Field
from builds.figures.links import DISTANCE_M, Ground
from hangar.form_fields import QuantityFormField

LIMITS = {
    "latitude_deg": (-90.0, 90.0),
    "longitude_deg": (-180.0, 180.0),
    "elevation_m": (-500.0, 6000.0),
    "spacing_mm": (1.0, 1000.0),
    "distance_m": (10.0, 100_000.0),
    "transmitter_power_mw": (0.01, 100_000.0),
    "transmitter_gain_dbi": (-30.0, 40.0),
    "video_sensitivity_dbm": (-200.0, 0.0),
    "video_gain_dbi": (-30.0, 40.0),
}
GEAR = "Blank for that of your ground gear"
GEAR_OR_0 = f"{GEAR}, else 0 dBi"
GROUND = (
    "transmitter_power_mw",
    "transmitter_gain_dbi",
    "video_sensitivity_dbm",
    "video_gain_dbi",
)


def _box(unit: str, label: str, help_text: str = "") -> QuantityFormField:
    return QuantityFormField(unit=unit, label=label, required=False, help_text=help_text)


class PlacingForm(forms.Form):
    """What the sheets of the parts do not say; blank for the usual."""

    latitude_deg = _box("deg", "latitude of the field", "North; blank for the club's")
    longitude_deg = _box("deg", "longitude of the field", "East; blank for the club's")
    elevation_m = _box("m", "elevation of the field", "Blank for the club's")
    spacing_mm = _box(
        "mm", "between the axes of the two leads", f"Blank for {SPACING_MM:g} mm: side by side"
    )
    distance_m = _box("m", "distance to the aircraft", f"Blank for {DISTANCE_M:g} m")
    transmitter_power_mw = _box("mw", "power of the radio transmitter", GEAR)
    transmitter_gain_dbi = _box("dbi", "gain of the transmitter's aerial", GEAR_OR_0)
    video_sensitivity_dbm = _box("dbm", "sensitivity of the video receiver", GEAR)
    video_gain_dbi = _box("dbi", "gain of the video receiver's aerial", GEAR_OR_0)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, (low, high) in LIMITS.items():
            self.fields[name].validators += [MinValueValidator(low), MaxValueValidator(high)]

    def asked(self, field: Field) -> dict[str, Any]:
        """Field, ground side and spacing as given; what was refused is left as it was."""
        given = self.cleaned_data if self.is_valid() else {}

        def or_usual(name: str, usual: float | None) -> float | None:
            return usual if given.get(name) is None else given[name]

        return {
            "field": Field(
                latitude_deg=or_usual("latitude_deg", field.latitude_deg),
                longitude_deg=or_usual("longitude_deg", field.longitude_deg),
                elevation_m=or_usual("elevation_m", field.elevation_m) or 0.0,
                year=field.year,
            ),
            "ground": Ground(
                distance_m=or_usual("distance_m", DISTANCE_M) or DISTANCE_M,
                **{name: given.get(name) for name in GROUND},
            ),
            "spacing_mm": or_usual("spacing_mm", SPACING_MM) or SPACING_MM,
        }
