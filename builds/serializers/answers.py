"""Answers to findings, and limits of rules, as JSON."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from builds.findings import Level
from builds.models import Answer, RuleLimit
from builds.models.answers import REASON_LENGTH
from hangar.serializers import KnownKeys
from inventory.serializers.parts import PartCodeField


class AnswerSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A finding accepted for a reason, by whom and when, and whether that still stands."""

    pack = serializers.CharField(source="pack.code", read_only=True, allow_null=True)
    by = serializers.CharField(source="by.username", read_only=True)
    withdrawn_by = serializers.SerializerMethodField()
    level = serializers.ChoiceField(choices=[level.label for level in Level], read_only=True)

    class Meta:
        model = Answer
        fields = (
            "id",
            "rule",
            "position",
            "digest",
            "level",
            "message",
            "pack",
            "reason",
            "by",
            "at",
            "withdrawn_at",
            "withdrawn_by",
        )
        read_only_fields = fields

    def get_withdrawn_by(self, answer: Answer) -> str:
        """Name who took it back."""
        return answer.withdrawn_by.username if answer.withdrawn_by else ""


class NewAnswerSerializer(KnownKeys):
    """What it takes to accept a finding."""

    rule = serializers.CharField(max_length=120)
    position = serializers.CharField(
        max_length=40, required=False, allow_blank=True, default="", help_text="Short name"
    )
    reason = serializers.CharField(max_length=REASON_LENGTH)
    digest = serializers.CharField(
        max_length=32,
        required=False,
        allow_blank=True,
        default="",
        help_text="As read with the finding: 409 when it has changed since",
    )
    pack = PartCodeField(
        required=False,
        allow_null=True,
        help_text="Label code of another pack than the usual one, as asked with the findings",
    )


class LimitValueField(serializers.FloatField):
    """A number; yes and no, which Python counts as 1 and 0, are none."""

    def to_internal_value(self, data: Any) -> float:
        """Read a number."""
        if isinstance(data, bool):
            self.fail("invalid")
        return float(super().to_internal_value(data))


class RuleLimitSerializer(KnownKeys, serializers.ModelSerializer[Any]):
    """A limit of a rule as the club set it, and whether it counts now."""

    value = LimitValueField(
        allow_null=True, help_text="In the unit that ends the name; null: back to common practice"
    )
    by = serializers.CharField(source="by.username", read_only=True)
    is_newest = serializers.BooleanField(read_only=True, default=True)

    class Meta:
        model = RuleLimit
        fields = ("id", "rule", "name", "value", "note", "by", "at", "is_newest")
        read_only_fields = ("at",)


class NewRuleLimitSerializer(RuleLimitSerializer):
    """What it takes to set a limit."""

    also_shown = RuleLimitSerializer.Meta.fields

    instead_of = serializers.IntegerField(
        required=False,
        allow_null=True,
        min_value=0,
        help_text="Number of the entry that you saw, 0 for none: 409 when another came meanwhile",
    )

    class Meta(RuleLimitSerializer.Meta):
        fields = ("rule", "name", "value", "note", "instead_of")  # type: ignore[assignment]
        read_only_fields = ()  # type: ignore[assignment]
