"""The log of a pack and its judged health, as JSON."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from hangar.related import VisibleRelatedField
from hangar.serializers import HangarModelSerializer
from inventory.health import Verdict
from inventory.models import LogEntry

ENTRIES_MAX = 1000


class EntryListSerializer(serializers.ListSerializer[Any]):
    """Several entries at once."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["max_length"] = ENTRIES_MAX
        kwargs["allow_empty"] = False
        super().__init__(*args, **kwargs)


class LogEntrySerializer(HangarModelSerializer):
    """One thing that happened to a pack."""

    set_later = ("id", "pack", "by", "corrects")

    id = serializers.UUIDField(
        required=False, help_text="Your own, so that a repeated upload changes nothing"
    )
    corrects = VisibleRelatedField(
        slug_field="id",
        queryset=LogEntry.objects.all(),
        required=False,
        allow_null=True,
        help_text="Id of the entry that this one replaces",
    )
    by = serializers.CharField(source="by.username", read_only=True)

    class Meta:
        model = LogEntry
        list_serializer_class = EntryListSerializer
        fields = (
            "id",
            "kind",
            "started_at",
            "charge_mah",
            "duration_s",
            "voltage_min_v",
            "current_max_a",
            "rest_v",
            "rested_h",
            "resistance_mohm",
            "temperature_c",
            "is_full",
            "is_capacity_test",
            "counter_mah",
            "counter_cycles",
            "aircraft_cells",
            "thickness_mm",
            "incident",
            "method",
            "note",
            "corrects",
            "log_file",
            "log_file_row",
            "recorded_at",
            "by",
        )
        read_only_fields = ("log_file", "log_file_row")


class ReasonSerializer(serializers.Serializer[Any]):
    """One reason for a verdict, and what would change it."""

    verdict = serializers.ChoiceField(choices=[verdict.value for verdict in Verdict])
    about = serializers.CharField()
    message = serializers.CharField()
    would_change = serializers.CharField()


class IntervalSerializer(serializers.Serializer[Any]):
    """A value with the interval that holds it in 90 of 100 packs."""

    value = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()


class EndOfLifeSerializer(serializers.Serializer[Any]):
    """Equivalent cycles at which the pack is worn, if the trend goes on."""

    cycles = serializers.FloatField()
    cycles_low = serializers.FloatField()
    cycles_high = serializers.FloatField(allow_null=True)


class LeftOutSerializer(serializers.Serializer[Any]):
    """An entry of the log that was not used, and why."""

    row_id = serializers.CharField()
    why = serializers.CharField()


class HealthSerializer(serializers.Serializer[Any]):
    """What the log of a pack says of it. An estimate: it cannot see damage."""

    verdict = serializers.ChoiceField(choices=[verdict.value for verdict in Verdict])
    reasons = ReasonSerializer(many=True)
    cycles = serializers.IntegerField()
    equivalent_cycles = serializers.FloatField(allow_null=True)
    cycles_are_lower_bound = serializers.BooleanField()
    capacity_mah = IntervalSerializer(allow_null=True)
    why_no_capacity = serializers.CharField(allow_blank=True)
    capacity_percent = serializers.FloatField(allow_null=True)
    end_of_life = EndOfLifeSerializer(allow_null=True)
    why_no_end_of_life = serializers.CharField(allow_blank=True)
    resistance_mohm = serializers.ListField(child=serializers.FloatField())
    resistance_ratio = serializers.FloatField(allow_null=True)
    current_limit_a = serializers.FloatField(allow_null=True, help_text="Estimated, not approved")
    energy_wh = serializers.FloatField(allow_null=True, help_text="Rated energy")
    left_out = LeftOutSerializer(many=True)
    care = serializers.ListField(child=serializers.CharField())
    caution = serializers.CharField()
