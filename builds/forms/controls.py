"""Forms of the control set-up: surfaces, throws measured, and outputs that stay."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.controls import AXES
from builds.forms import UntouchedForm
from builds.models import Build, ControlSurface, ThrowRecord
from builds.output_map import Outputs

WANTED = ("throw_roll_mm", "throw_pitch_mm", "throw_yaw_mm")


class SurfaceForm(UntouchedForm):
    """A control surface and the linkage from its servo."""

    class Meta:
        model = ControlSurface
        fields = (
            "name",
            "mixing",
            "servo",
            "chord_mm",
            "span_mm",
            "horn_radius_mm",
            "axis_distance_mm",
            "arm_radius_mm",
            "arm_angle_deg",
            "horn_angle_deg",
            "hinge_limit_deg",
            "play_mm",
            *WANTED,
        )
        labels = {
            "mixing": "what it does",
            "chord_mm": "chord",
            "horn_radius_mm": "horn",
            "axis_distance_mm": "servo shaft to hinge line",
            "arm_radius_mm": "arm hole in use",
            "arm_angle_deg": "arm at neutral",
            "horn_angle_deg": "horn at neutral",
            "hinge_limit_deg": "hinge stops at",
            "play_mm": "play at the edge",
            "throw_roll_mm": "throw for roll",
            "throw_pitch_mm": "throw for pitch",
            "throw_yaw_mm": "throw for yaw",
        }
        help_texts = {
            "chord_mm": "Where the throw is measured; blank for the airframe's own",
            "horn_radius_mm": "Hinge line to the horn's hole; blank for the airframe's own",
            "arm_radius_mm": "Its radius from the shaft's centre, not its number",
            "arm_angle_deg": "To the line from shaft to hinge; blank for square, 90",
            "horn_angle_deg": "To the line from shaft to hinge; blank for square, 90",
            "hinge_limit_deg": "Where hinge or foam stop it, each way",
            "play_mm": "How far the edge moves with the servo held, end to end",
            "throw_roll_mm": "Each way; blank for the airframe's own",
            "throw_pitch_mm": "Each way; blank for the airframe's own",
            "throw_yaw_mm": "Each way; blank for the airframe's own",
        }

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["servo"] = forms.ModelChoiceField(
            queryset=build.positions.filter(kind="servo"),
            required=False,
            label="servo",
            empty_label="not given",
            help_text="The position of the servo that moves it",
        )


class ThrowForm(UntouchedForm):
    """A throw as it was measured."""

    class Meta:
        model = ThrowRecord
        fields = ("axis", "up_mm", "down_mm", "travel_percent", "source", "note")
        labels = {
            "axis": "with which stick",
            "up_mm": "up",
            "down_mm": "down",
            "travel_percent": "travel set for it",
            "source": "how it is known",
        }

    def __init__(self, *args: Any, surface: ControlSurface, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        axes = AXES[surface.mixing] or tuple(ThrowRecord.Axis.values)
        words = dict(ThrowRecord.Axis.choices)
        self.fields["axis"] = forms.ChoiceField(
            label="with which stick", choices=[(axis, words[axis]) for axis in axes]
        )


class OutputsForm(forms.Form):
    """Which motors and servos stay where they are, and the revision that was seen."""

    fixed = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, label="keep on their outputs"
    )
    revision = forms.IntegerField(
        required=False, min_value=0, max_value=2**31 - 1, widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, outputs: Outputs, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["fixed"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [
            (one.key, f"{one.name} on {one.output}")
            for one in outputs.driven
            if one.output is not None
        ]
