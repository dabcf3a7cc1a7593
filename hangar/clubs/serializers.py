"""People and clubs as JSON."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from hangar.clubs.models import (
    FIELD_COLUMNS,
    Club,
    Invitation,
    Membership,
    Owned,
    RadioLimit,
    Role,
    User,
)
from hangar.related import VisibleRelatedField
from hangar.serializers import HangarModelSerializer, KnownKeys

_OWNER = {
    "type": "object",
    "required": ["kind", "name"],
    "properties": {
        "kind": {"type": "string", "enum": ["person", "club"]},
        "name": {"type": "string"},
        "slug": {"type": "string", "description": "Short name, of a club only"},
    },
}


@extend_schema_field(_OWNER)
class OwnerField(serializers.Field[Any, Any, Any, Any]):
    """Whose a thing is; both relations must have been loaded."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(source="*", read_only=True, **kwargs)

    def to_representation(self, thing: Owned) -> dict[str, str]:
        """Give kind and name of the owner."""
        if thing.club:
            return {"kind": "club", "name": thing.club.name, "slug": thing.club.slug}
        return {"kind": "person", "name": thing.owner_name}


class OwningClubField(VisibleRelatedField):
    """The club that a new thing is for; without it the thing is the person's own."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("slug_field", "slug")
        kwargs.setdefault("queryset", Club.objects.all())
        kwargs.setdefault("required", False)
        kwargs.setdefault("write_only", True)
        kwargs.setdefault("help_text", "Short name of the club it is for; without it, you.")
        super().__init__(**kwargs)


class ClubSerializer(HangarModelSerializer):
    """A club."""

    set_later = ("name", "slug")

    class Meta:
        model = Club
        fields = ("slug", "name", "mass_line_g", *FIELD_COLUMNS, "created_at")
        read_only_fields = ("slug", "name")


class NewClubSerializer(KnownKeys):
    """What it takes to found a club."""

    also_shown = ClubSerializer.Meta.fields

    name = serializers.CharField(max_length=80)


class MembershipSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A member and their role."""

    user = serializers.CharField(source="user.username", read_only=True)
    club = serializers.CharField(source="club.slug", read_only=True)

    class Meta:
        model = Membership
        fields = ("id", "user", "club", "role", "joined_at")
        extra_kwargs = {"role": {"required": True}}


class InvitationSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A link by which people join a club."""

    created_by = serializers.CharField(source="created_by.username", read_only=True)
    role = serializers.ChoiceField(choices=Role.choices, default=Role.MEMBER)
    uses_max = serializers.IntegerField(min_value=1, max_value=200, default=1)
    days = serializers.IntegerField(
        min_value=1, max_value=90, default=14, write_only=True, help_text="How long it lasts"
    )

    class Meta:
        model = Invitation
        fields = (
            "id",
            "token",
            "role",
            "uses",
            "uses_max",
            "days",
            "created_by",
            "created_at",
            "expires_at",
            "withdrawn_at",
        )
        read_only_fields = ("token", "uses", "expires_at", "withdrawn_at")


class RadioLimitSerializer(HangarModelSerializer):
    """A band and its radiated power, as the club entered it for its field."""

    set_later = ("club",)

    class Meta:
        model = RadioLimit
        fields = (
            "id",
            "band_min_mhz",
            "band_max_mhz",
            "is_allowed",
            "radiated_power_max_mw",
            "source",
        )


class MeSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """The person who asks, and the units they like to read."""

    name = serializers.CharField(source="username", read_only=True)

    class Meta:
        model = User
        fields = ("name", "mass_unit", "length_unit")


class KeySerializer(serializers.Serializer[Any]):
    """A key for scripts; the secret itself is shown once, when it is made."""

    token_key = serializers.CharField(read_only=True, help_text="The secret's first characters")
    created = serializers.DateTimeField(read_only=True)
    expiry = serializers.DateTimeField(read_only=True)


class NewKeySerializer(KeySerializer):
    """A new key with its secret."""

    token = serializers.CharField(read_only=True, help_text="Send it as `Authorization: Bearer …`")
