"""Offers, claims and loans as JSON."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from hangar.clubs.models import Club, Membership, User
from hangar.related import VisibleRelatedField
from hangar.serializers import KnownKeys
from inventory.models import Claim, Condition, Loan, Offer, Wait
from inventory.serializers.parts import PartCodeField

ON_RETURN = [choice for choice in Condition.choices if choice[0] not in ("new", "retired")]


class ClubmateField(VisibleRelatedField):
    """A person with whom one shares a club, by their name."""

    default_error_messages = {"does_not_exist": "There is no member of that name."}

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(slug_field="username", queryset=User.objects.all(), **kwargs)

    def get_queryset(self) -> Any:
        """Give today's members of the person's clubs."""
        mates = Membership.objects.visible_to(self.context["request"].user).current()
        return User.objects.filter(pk__in=mates.values("user"))


class OfferSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A part offered to a club's pool."""

    part = PartCodeField()
    club = VisibleRelatedField(slug_field="slug", queryset=Club.objects.all())
    by = serializers.CharField(source="by.username", read_only=True)

    class Meta:
        model = Offer
        fields = (
            "id", "part", "club", "terms", "deposit", "note", "by", "started_at", "ended_at",
        )  # fmt: skip
        read_only_fields = ("started_at", "ended_at")


class ClaimSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A part put aside for a member."""

    part = PartCodeField()
    claimant = ClubmateField(required=False)
    by = serializers.CharField(source="by.username", read_only=True)

    class Meta:
        model = Claim
        fields = (
            "id", "part", "claimant", "purpose", "until_on", "note", "by", "started_at", "ended_at",
        )  # fmt: skip
        read_only_fields = ("started_at", "ended_at")


class LoanSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A part lent to a member."""

    part = PartCodeField()
    borrower = ClubmateField()
    by = serializers.CharField(source="by.username", read_only=True)

    class Meta:
        model = Loan
        fields = (
            "id",
            "part",
            "borrower",
            "due_on",
            "note",
            "condition_out",
            "condition_in",
            "count_out",
            "count_in",
            "mass_out_g",
            "mass_in_g",
            "damage",
            "deposit",
            "was_lost",
            "by",
            "started_at",
            "ended_at",
        )
        read_only_fields = (
            "condition_out", "condition_in", "count_out", "count_in", "mass_out_g", "mass_in_g",
            "damage", "was_lost", "started_at", "ended_at",
        )  # fmt: skip


class ReturnSerializer(KnownKeys):
    """How a lent part came back."""

    condition = serializers.ChoiceField(choices=ON_RETURN)
    damage = serializers.CharField(max_length=200, required=False, allow_blank=True)
    count = serializers.IntegerField(min_value=0, max_value=100_000, required=False)
    mass_g = serializers.FloatField(min_value=0, required=False)
    note = serializers.CharField(max_length=300, required=False, allow_blank=True)


class ExtensionSerializer(KnownKeys):
    """The day until which somebody has a part now."""

    day = serializers.DateField()


class WaitSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A place in the queue behind a part, or a request to its owner."""

    part = PartCodeField()
    person = ClubmateField(required=False)

    class Meta:
        model = Wait
        fields = (
            "id", "part", "person", "purpose", "days", "is_granted", "started_at", "ended_at",
        )  # fmt: skip
        # The operation refuses a second place, in words; DRF would ask for the person always.
        validators: list[Any] = []  # noqa: RUF012
        read_only_fields = ("is_granted", "started_at", "ended_at")
