"""Data sheet of an airframe: wing, balance, limits, throws and its template of positions."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from hangar.fields import NumberListField, measure
from inventory.kinds.base import DataSheet, kind_choices
from inventory.kinds.shapes import OUTPUTS_MAX, StationsField

ALONG: dict[str, Any] = {"minimum": -20_000, "maximum": 20_000}
"""Bounds of a coordinate [mm] in an aircraft."""
PORTS_MAX = 20


def check_order(owner: models.Model, low: str, high: str) -> None:
    """Refuse limits of which the foremost lies behind the rearmost."""
    foremost, rearmost = getattr(owner, low), getattr(owner, high)
    if foremost is not None and rearmost is not None and foremost > rearmost:
        wrong = "The foremost place lies behind the rearmost."
        raise ValidationError({low: wrong, high: wrong})


class Airframe(DataSheet):
    """An airframe kit. Lengths along it run aft from the datum."""

    kind_name: ClassVar[str] = "airframe"
    label: ClassVar[str] = "airframe"
    label_plural: ClassVar[str] = "airframes"

    layout = models.CharField(
        max_length=16,
        blank=True,
        choices=(
            ("flying_wing", "flying wing"),
            ("conventional", "wing and tail"),
            ("canard", "canard"),
            ("multirotor", "multirotor"),
        ),
    )
    datum = models.CharField(
        max_length=80, blank=True, help_text="The point from which x is measured, for example nose"
    )
    wing_stations = StationsField(
        help_text="Stations of one wing half, root first: y, leading edge x, chord, z, all in mm"
    )
    tail_stations = StationsField(
        help_text="Stations of one half of the tail or canard, as for the wing"
    )
    cg_min_x_mm = measure("Foremost centre of gravity allowed", **ALONG)
    cg_max_x_mm = measure("Rearmost centre of gravity allowed", **ALONG)
    cg_target_x_mm = measure("Centre of gravity wanted", **ALONG)
    cg_min_percent = measure(
        "Foremost centre of gravity, of the mean chord; mm come first", minimum=-50, maximum=150
    )
    cg_max_percent = measure(
        "Rearmost centre of gravity, of the mean chord; mm come first", minimum=-50, maximum=150
    )
    cg_target_percent = measure(
        "Centre of gravity wanted, of the mean chord; mm come first", minimum=-50, maximum=150
    )
    takeoff_mass_max_g = measure("Highest take-off mass the maker allows", positive=True)
    propeller_diameter_max_mm = measure(
        "Largest propeller that clears airframe and ground", positive=True
    )
    throw_roll_mm = measure("Throw wanted for roll, each way")
    throw_pitch_mm = measure("Throw wanted for pitch, each way")
    throw_yaw_mm = measure("Throw wanted for yaw, each way")
    throw_measured_at = models.CharField(
        max_length=80, blank=True, help_text="Where the throw is measured"
    )
    surface_chord_mm = measure("Chord of the control surface where the throw is measured")
    horn_radius_mm = measure("Distance from the hinge line to the horn's hole")
    spar_diameter_mm = measure("Bore for the spar")
    spar_length_mm = measure("Length of the spar")
    tray_datum = models.CharField(
        max_length=80, blank=True, help_text="The mark from which the place of the pack is told"
    )
    retainers = models.CharField(
        max_length=200, blank=True, help_text="What holds wing, hatch and pack, and its spares"
    )
    modifications = models.CharField(
        max_length=300, blank=True, help_text="What was cut, drilled or glued on it"
    )
    dry_mass_contents = models.TextField(
        blank=True, max_length=2000, help_text="What was on the scale for the mass given above"
    )
    glues = models.CharField(max_length=200, blank=True, help_text="Glues that suit the material")


class PositionShape(models.Model):
    """A place in an aircraft for one part: what it takes and how much room there is."""

    class Supply(models.TextChoices):
        UNKNOWN = "", "not known"
        NONE = "none", "needs none"
        PACK = "pack", "straight from the pack"
        BOARD_5V = "board_5v", "the flight controller's 5 V rail"
        BOARD_9V = "board_9v", "the flight controller's 9 V rail"
        SERVO_RAIL = "servo_rail", "the servo rail"

    class Turning(models.TextChoices):
        UNKNOWN = "", "not known"
        CW = "cw", "clockwise"
        CCW = "ccw", "counter-clockwise"

    key = models.SlugField(max_length=40, help_text="Short name, unique in its aircraft")
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=24, choices=kind_choices)
    is_required = models.BooleanField(default=True, help_text="Does the aircraft need it to fly")
    x_mm = measure("Centre of gravity of the part here, aft of the datum", **ALONG)
    y_mm = measure("The same, to the right of the middle", **ALONG)
    z_mm = measure("The same, above the datum", **ALONG)
    x_min_mm = measure("Foremost place along a tray or rail", **ALONG)
    x_max_mm = measure("Rearmost place along a tray or rail", **ALONG)
    length_mm = measure("Room: length")
    width_mm = measure("Room: width, or the slot's width for a camera")
    height_mm = measure("Room: height")
    hole_pattern_mm = NumberListField(help_text="Pitches of the holes here")
    plate_mm = measure("Thickness that screws here go through before they reach the part")
    axis_to_airframe_mm = measure(
        "Propellers: from the axis to the nearest part of the airframe beside the disc"
    )
    axis_to_ground_mm = measure("Propellers: height of the axis above the ground as it lands")
    opening_cm2 = measure("Openings that let air to a part here; 0 when it is closed in")
    aerial_clearance_mm = measure(
        "Aerials: from the live end to the nearest carbon, pack or motor wire"
    )
    aerial_angle_deg = measure("Angle between the two aerials of a part here", maximum=180)
    has_sky_view = models.BooleanField(
        null=True, blank=True, help_text="Does a GPS here see the sky"
    )
    supply = models.CharField(
        max_length=12, blank=True, choices=Supply, help_text="Where a part here gets its power"
    )
    regulator_key = models.SlugField(
        max_length=40,
        blank=True,
        help_text="Short name of the regulator position that feeds this one once one is fitted",
    )
    output = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(OUTPUTS_MAX)],
        help_text="Output of the flight controller that drives it",
    )
    serial_port = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MaxValueValidator(PORTS_MAX)],
        help_text="Serial port of the flight controller that it is wired to; 0 for none",
    )
    turning = models.CharField(
        max_length=4,
        blank=True,
        choices=Turning,
        help_text="Which way a motor here turns, seen from behind",
    )
    route_mm = measure("Way of a part's lead from here to where it plugs in")
    extension_mm = measure("Extension lead on that way")
    is_regulator_cut = models.BooleanField(
        default=False,
        help_text="The regulator of a speed controller here is cut off: its red wire is lifted",
    )

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        """Refuse a tray the wrong way round."""
        super().clean()
        check_order(self, "x_min_mm", "x_max_mm")


class TemplatePosition(PositionShape):
    """A position that every build of an airframe starts with."""

    airframe = models.ForeignKey(Airframe, models.CASCADE, related_name="template")

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("airframe", "key"), name="template_key_unique"),
        )
