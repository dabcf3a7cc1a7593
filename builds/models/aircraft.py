"""Aircraft: positions, what is fitted in them, and what flew with what."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from builds.querysets import (
    BuildQuerySet,
    BuildRecordQuerySet,
    FittingQuerySet,
    GroundChoiceQuerySet,
)
from hangar.clubs.models import ONE_OWNER, Owned, User
from hangar.fields import NameField, measure
from inventory.kinds.airframe import ALONG, PositionShape, check_order
from inventory.models import Part

OVERLAY_STANDARDS = (
    ("auto", "by itself, as the camera"),
    ("625/50", "625 lines, 50 Hz"),
    ("525/60", "525 lines, 60 Hz"),
)
PACKS_WIRINGS = (("series", "in series"), ("parallel", "in parallel"))


class Build(Owned):
    """One aircraft: an airframe part and its positions."""

    class MotorSignal(models.TextChoices):
        UNKNOWN = "", "not known"
        PULSE = "pulse", "pulses, as for a servo"
        DIGITAL = "digital", "digital"

    class Role(models.TextChoices):
        UNKNOWN = "", "not known"
        TRAINER = "trainer", "learning"
        SPORT = "sport", "sport"
        LONG_RANGE = "long_range", "long range"
        RACING = "racing", "racing, speed"

    name = NameField(max_length=80)
    is_archived = models.BooleanField(default=False)
    motor_signal = models.CharField(
        max_length=8,
        blank=True,
        choices=MotorSignal,
        help_text="What the flight controller sends to the speed controllers",
    )
    servo_rate_hz = measure("Pulse rate sent to the servos", maximum=1000)
    pack = models.ForeignKey(
        Part,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="usual_in_set",
        help_text="The pack it usually flies with",
    )
    pack_x_mm = measure("Where the pack's middle sits, aft of the datum", **ALONG)
    cg_min_x_mm = measure("Foremost centre of gravity, if not the airframe's", **ALONG)
    cg_max_x_mm = measure("Rearmost centre of gravity, if not the airframe's", **ALONG)
    cg_target_x_mm = measure("Centre of gravity wanted, if not the airframe's", **ALONG)
    takeoff_mass_max_g = measure("Highest take-off mass, if not the airframe's")
    speed_max_m_s = measure("Highest speed it flies, for loads on the servos", maximum=200)
    cruise_speed_m_s = measure("Speed it cruises at", maximum=200)
    full_throttle_share_percent = measure("Share of a flight at full throttle", maximum=100)
    reserve_percent = measure("Charge kept back in the pack at landing", maximum=90)
    planned_flight_s = measure("How long a flight is planned to last", maximum=86_400)
    timer_s = measure("When the flight timer sounds", maximum=86_400)
    voltage_alarm_v = measure("Pack voltage at which the alarm sounds", maximum=200)
    cell_alarm_v = measure(
        "Cell voltage at which the alarm sounds, where it counts the cells", maximum=5
    )
    current_scale_mv_a = measure("Scale of the current sensor, as set", positive=True)
    gps_baud_hz = measure("Serial speed set for the GPS", positive=True)
    overlay_standard = models.CharField(
        max_length=8,
        blank=True,
        choices=OVERLAY_STANDARDS,
        help_text="Lines and pictures a second that the overlay is set to",
    )
    is_usb_reachable = models.BooleanField(
        null=True,
        blank=True,
        help_text="Can the flight controller's USB socket be reached once all is in",
    )
    packs_wiring = models.CharField(
        max_length=8,
        blank=True,
        choices=PACKS_WIRINGS,
        help_text="How the packs are joined, where there are two or more",
    )
    role = models.CharField(
        max_length=12, blank=True, choices=Role, help_text="What it is flown for"
    )
    is_hand_launched = models.BooleanField(
        null=True, blank=True, help_text="Is it thrown to take off"
    )
    work_planned = models.CharField(
        max_length=300, blank=True, help_text="What is still to be cut, drilled or glued on it"
    )
    revision = models.PositiveIntegerField(default=0, editable=False)
    changed_in = models.JSONField(
        default=dict,
        blank=True,
        editable=False,
        help_text="In which revision each kind of change came last",
    )
    notes = models.TextField(blank=True, max_length=4000)
    created_at = models.DateTimeField(auto_now_add=True)
    updated_at = models.DateTimeField(auto_now=True)

    objects = BuildQuerySet.as_manager()

    class Meta:
        ordering = ("name", "pk")
        constraints = (ONE_OWNER,)

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        """Refuse a range of balance the wrong way round."""
        super().clean()
        check_order(self, "cg_min_x_mm", "cg_max_x_mm")


class Position(PositionShape):
    """A position of one build."""

    build = models.ForeignKey(Build, models.CASCADE, related_name="positions")

    objects = BuildRecordQuerySet.as_manager()

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(
                fields=("build", "key"),
                name="position_key_unique",
                violation_error_message="This build has a position of that short name already.",
            ),
        )


class Revision(models.Model):
    """What changed in a build, when and by whom; set-up and proofs belong to one."""

    build = models.ForeignKey(Build, models.CASCADE, related_name="revisions")
    number = models.PositiveIntegerField()
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    text = models.CharField(max_length=300)

    objects = BuildRecordQuerySet.as_manager()

    class Meta:
        ordering = ("-number",)
        constraints = (
            models.UniqueConstraint(fields=("build", "number"), name="revision_number_unique"),
        )

    def __str__(self) -> str:
        return f"revision {self.number}: {self.text}"


class Fitting(models.Model):
    """A part in a position, from when until when."""

    build = models.ForeignKey(Build, models.PROTECT, related_name="fittings")
    position = models.ForeignKey(Position, models.PROTECT, related_name="fittings")
    part = models.ForeignKey(Part, models.PROTECT, related_name="fittings")
    quantity = models.PositiveIntegerField(default=1)
    is_whole = models.BooleanField(default=True, editable=False)
    fitted_at = models.DateTimeField(default=timezone.now)
    fitted_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    fitted_revision = models.PositiveIntegerField()
    removed_at = models.DateTimeField(null=True, blank=True)
    removed_by = models.ForeignKey(User, models.PROTECT, null=True, related_name="+")
    removed_revision = models.PositiveIntegerField(null=True, blank=True)

    objects = FittingQuerySet.as_manager()

    class Meta:
        ordering = ("position", "-fitted_at", "-pk")
        constraints = (
            models.UniqueConstraint(
                fields=("part",),
                condition=Q(removed_at__isnull=True, is_whole=True),
                name="one_open_fitting_per_part",
            ),
            models.UniqueConstraint(
                fields=("position",),
                condition=Q(removed_at__isnull=True),
                name="one_open_fitting_per_position",
            ),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="fitting_quantity_positive"),
        )
        indexes = (models.Index(fields=("build", "removed_at"), name="fitting_build_open"),)

    def __str__(self) -> str:
        return f"{self.part_id} in {self.position_id} since {self.fitted_at:%Y-%m-%d}"


class GroundChoice(models.Model):
    """The ground gear a person flies and charges with, one for each role.

    A choice for one build leads over the one for all.
    """

    class Role(models.TextChoices):
        TRANSMITTER = "transmitter", "radio transmitter"
        VIDEO_RECEIVER = "video_receiver", "video receiver"
        CHARGER = "charger", "charger"

    person = models.ForeignKey(User, models.CASCADE, related_name="ground_gear")
    role = models.CharField(max_length=16, choices=Role)
    part = models.ForeignKey(Part, models.PROTECT, related_name="ground_choices")
    build = models.ForeignKey(
        Build, models.CASCADE, null=True, blank=True, related_name="ground_choices"
    )

    objects = GroundChoiceQuerySet.as_manager()

    class Meta:
        ordering = ("person", "role")
        constraints = (
            models.UniqueConstraint(
                fields=("person", "role"),
                condition=Q(build__isnull=True),
                name="one_ground_part_per_role",
            ),
            models.UniqueConstraint(
                fields=("person", "role", "build"),
                condition=Q(build__isnull=False),
                name="one_ground_part_per_role_and_build",
            ),
        )

    def __str__(self) -> str:
        return f"{self.get_role_display()} of {self.person_id}"
