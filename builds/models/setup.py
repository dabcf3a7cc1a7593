"""How a build is set up, and what was measured on it."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from builds.models.aircraft import Build, Position
from builds.querysets import BuildRecordQuerySet
from hangar.clubs.models import User
from hangar.fields import WordListField, measure
from inventory.kinds.airframe import ALONG
from inventory.models import Part, Source


class ControlSurface(models.Model):
    """One control surface and the linkage from its servo. Angles at the neutral stick."""

    class Mixing(models.TextChoices):
        AILERON = "aileron", "aileron"
        ELEVATOR = "elevator", "elevator"
        RUDDER = "rudder", "rudder"
        ELEVON = "elevon", "elevon: pitch and roll"
        V_TAIL = "v_tail", "V-tail: pitch and yaw"
        FLAP = "flap", "flap"

    build = models.ForeignKey(Build, models.CASCADE, related_name="surfaces")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=60)
    mixing = models.CharField(max_length=8, choices=Mixing)
    servo = models.ForeignKey(
        Position, models.PROTECT, null=True, blank=True, related_name="surfaces"
    )
    chord_mm = measure("Chord of the surface where the throw is measured")
    span_mm = measure("Span of the surface")
    horn_radius_mm = measure("From the hinge line to the horn's hole")
    horn_angle_deg = measure(
        "Angle between the pushrod's line and the horn at neutral; 90 is square", maximum=180
    )
    axis_distance_mm = measure("From the servo's shaft to the hinge line")
    arm_radius_mm = measure("Radius of the arm's hole in use, from the shaft's centre")
    arm_angle_deg = measure(
        "Angle between the pushrod's line and the arm at neutral; 90 is square", maximum=180
    )
    hinge_limit_deg = measure("Deflection at which the hinge or the foam stops", maximum=90)
    play_mm = measure("Play at the edge where the throw is measured, end to end")
    throw_roll_mm = measure("Throw wanted for roll, each way, if not the airframe's")
    throw_pitch_mm = measure("Throw wanted for pitch, each way, if not the airframe's")
    throw_yaw_mm = measure("Throw wanted for yaw, each way, if not the airframe's")
    since_revision = models.PositiveIntegerField(
        default=0, editable=False, help_text="Revision in which its linkage last changed"
    )

    objects = BuildRecordQuerySet.as_manager()

    class Meta:
        ordering = ("build", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("build", "key"),
                name="surface_key_unique",
                violation_error_message="This build has a surface of that short name already.",
            ),
        )

    def __str__(self) -> str:
        return self.name


class Observation(models.Model):
    """Something measured on a build, on which revision of it, when and by whom."""

    build = models.ForeignKey(Build, models.CASCADE, related_name="%(class)s_set")
    revision = models.PositiveIntegerField(editable=False)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)

    objects = BuildRecordQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} of {self.at:%Y-%m-%d}"


class ThrowRecord(Observation):
    """A throw as it was read, set or measured; two that disagree are shown, never averaged."""

    class Axis(models.TextChoices):
        ROLL = "roll", "roll"
        PITCH = "pitch", "pitch"
        YAW = "yaw", "yaw"

    surface = models.ForeignKey(ControlSurface, models.CASCADE, related_name="throws")
    axis = models.CharField(max_length=5, choices=Axis)
    up_mm = measure("Throw up, or to the right", maximum=1000)
    down_mm = measure("Throw down, or to the left", maximum=1000)
    travel_percent = measure("Servo travel set for it", maximum=200)
    source = models.CharField(max_length=8, choices=Source, default=Source.MEASURED)


class PowerReading(Observation):
    """One full-throttle reading on the bench: it settles this motor and propeller."""

    voltage_v = measure("Voltage at the speed controller", positive=True, maximum=200)
    current_a = measure("Current from the pack", positive=True, maximum=2000)
    speed_rpm = measure("Speed of the propeller", positive=True, maximum=200_000)
    thrust_g = measure("Pull on the scale, all motors", maximum=100_000)
    elevation_m = measure("Height of the bench above the sea", minimum=-500, maximum=6000)
    temperature_c = measure("Temperature of the air at the bench", minimum=-40, maximum=60)
    motor = models.ForeignKey(
        Part, models.PROTECT, null=True, blank=True, related_name="+", editable=False
    )
    propeller = models.ForeignKey(
        Part, models.PROTECT, null=True, blank=True, related_name="+", editable=False
    )


class WeighIn(Observation):
    """The finished aircraft on the scale: mass, balance point and what was on it."""

    mass_g = measure("What the scale showed", positive=True)
    uncertainty_g = measure("Standard uncertainty of the scale")
    cg_x_mm = measure("Balance point, aft of the datum", **ALONG)
    cg_uncertainty_mm = measure("Standard uncertainty of the balance point")
    pack = models.ForeignKey(
        Part,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The pack that was on the scale; none when it was weighed without",
    )
    left_off = WordListField(help_text="Short names of the positions whose part was not on it")

    class Meta(Observation.Meta):
        constraints = (
            models.CheckConstraint(condition=Q(mass_g__isnull=False), name="weigh_in_has_a_mass"),
        )
