"""People, clubs, who belongs to which in what role, and the limits a club has set."""

from __future__ import annotations

import secrets

from django.contrib.auth.models import AbstractUser
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from hangar.clubs.querysets import (
    ClubQuerySet,
    InvitationQuerySet,
    MembershipQuerySet,
)
from hangar.fields import MeasureField, NameField, measure

NAME_TAKEN = "Somebody has this name already."


class User(AbstractUser):
    """A person with an account, and the units they like to read."""

    class MassUnit(models.TextChoices):
        GRAM = "g", "grams"
        OUNCE = "oz", "ounces"

    class LengthUnit(models.TextChoices):
        MILLIMETRE = "mm", "millimetres"
        INCH = "in", "inches"

    username = models.CharField(
        "name to sign in with",
        max_length=150,
        unique=True,
        validators=[RegexValidator(r"\A[A-Za-z0-9._-]+\Z", "Use letters, digits, . _ and - only.")],
        error_messages={"unique": NAME_TAKEN},
    )
    mass_unit = models.CharField(max_length=2, choices=MassUnit, default=MassUnit.GRAM)
    length_unit = models.CharField(max_length=2, choices=LengthUnit, default=LengthUnit.MILLIMETRE)

    class Meta(AbstractUser.Meta):
        constraints = (
            models.UniqueConstraint(
                Lower("username"),
                name="one_user_of_a_name",
                violation_error_message=NAME_TAKEN,
            ),
        )


FIELD_COLUMNS = ("field_latitude_deg", "field_longitude_deg", "field_elevation_m")
"""Columns of a club that say where it flies."""


class Club(models.Model):
    """A club whose members share a pool of parts."""

    name = NameField(max_length=80, unique=True)
    slug = models.SlugField(max_length=80, unique=True)
    mass_line_g = measure(
        "A take-off mass above which the club's own or local rules change", positive=True
    )
    field_elevation_m = measure("Elevation of the flying field", minimum=-500, maximum=6000)
    field_latitude_deg = measure("Latitude of the flying field, north", minimum=-90, maximum=90)
    field_longitude_deg = measure("Longitude of the flying field, east", minimum=-180, maximum=180)
    created_at = models.DateTimeField(auto_now_add=True)
    members = models.ManyToManyField(User, through="Membership", related_name="clubs")

    objects = ClubQuerySet.as_manager()

    class Meta:
        ordering = ("name",)
        constraints = (
            models.CheckConstraint(
                condition=Q(mass_line_g__isnull=True) | Q(mass_line_g__gt=0),
                name="club_mass_line_positive",
            ),
        )

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    """What a member may do in a club."""

    MEMBER = "member", "member"
    KEEPER = "keeper", "keeper"
    OFFICER = "officer", "officer"


class Membership(models.Model):
    """One person in one club, from when until when."""

    user = models.ForeignKey(User, models.PROTECT, related_name="memberships")
    club = models.ForeignKey(Club, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=8, choices=Role, default=Role.MEMBER)
    joined_at = models.DateTimeField(auto_now_add=True)
    left_at = models.DateTimeField(null=True, blank=True)

    objects = MembershipQuerySet.as_manager()

    class Meta:
        ordering = ("club", "joined_at", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("user", "club"),
                condition=Q(left_at__isnull=True),
                name="one_current_membership",
            ),
        )

    def __str__(self) -> str:
        return f"{self.user} in {self.club} ({self.role})"


def new_invitation_token() -> str:
    """A secret of 192 random bits for an invitation link."""
    return secrets.token_urlsafe(24)


class Invitation(models.Model):
    """A link by which people join a club."""

    club = models.ForeignKey(Club, models.CASCADE, related_name="invitations")
    token = models.CharField(max_length=64, unique=True, default=new_invitation_token)
    role = models.CharField(max_length=8, choices=Role, default=Role.MEMBER)
    created_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    uses = models.PositiveIntegerField(default=0)
    uses_max = models.PositiveIntegerField(default=1)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        ordering = ("-created_at",)
        constraints = (
            models.CheckConstraint(
                condition=Q(uses__lte=models.F("uses_max")), name="invitation_not_overused"
            ),
        )

    def __str__(self) -> str:
        return f"invitation to {self.club} until {self.expires_at:%Y-%m-%d}"


class RadioLimit(models.Model):
    """A band and its radiated power, as the club entered it for its field."""

    club = models.ForeignKey(Club, models.CASCADE, related_name="radio_limits")
    band_min_mhz = MeasureField(minimum=0)
    band_max_mhz = MeasureField(minimum=0)
    is_allowed = models.BooleanField(default=True)
    radiated_power_max_mw = measure()
    source = models.CharField(max_length=200, blank=True, help_text="Who says so, and when.")

    class Meta:
        ordering = ("club", "band_min_mhz")
        constraints = (
            models.CheckConstraint(
                condition=Q(band_min_mhz__lte=models.F("band_max_mhz")), name="band_in_order"
            ),
            models.CheckConstraint(
                condition=Q(radiated_power_max_mw__isnull=True) | Q(radiated_power_max_mw__gte=0),
                name="radiated_power_not_negative",
            ),
        )

    def __str__(self) -> str:
        return f"{self.band_min_mhz:g} to {self.band_max_mhz:g} MHz"


ONE_OWNER = models.CheckConstraint(
    condition=Q(person__isnull=True, club__isnull=False)
    | Q(person__isnull=False, club__isnull=True),
    name="%(app_label)s_%(class)s_one_owner",
    violation_error_message="The owner is a person or a club, never both.",
)


class Owned(models.Model):
    """A thing that belongs to a person or to a club; each concrete model adds `ONE_OWNER`."""

    person = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="%(class)s_set"
    )
    club = models.ForeignKey(
        Club, models.PROTECT, null=True, blank=True, related_name="%(class)s_set"
    )

    class Meta:
        abstract = True

    @property
    def owner_name(self) -> str:
        """The owner's name; both relations must have been loaded."""
        return str(self.club or self.person)
