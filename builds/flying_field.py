"""Where a build flies: the field of its club, or of a club of its owner."""

from __future__ import annotations

from datetime import date

from builds.figures.compass import Field
from builds.models import Build
from builds.placing import decimal_year
from hangar.clubs.models import Club


def field_of(build: Build, on: date) -> Field:
    """The flying field on a day; without latitude and longitude where no club has given them."""
    club = build.club or _club_of_owner(build)
    if club is None:
        return Field(year=decimal_year(on))
    return Field(
        latitude_deg=club.field_latitude_deg,
        longitude_deg=club.field_longitude_deg,
        elevation_m=club.field_elevation_m or 0.0,
        year=decimal_year(on),
    )


def _club_of_owner(build: Build) -> Club | None:
    clubs = Club.objects.filter(
        memberships__user=build.person_id,
        memberships__left_at__isnull=True,
        field_latitude_deg__isnull=False,
    )
    return clubs.order_by("name").first()
