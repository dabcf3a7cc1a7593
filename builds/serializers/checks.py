"""Checks, crashes and sheets for the field, as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

from builds.field_sheets import Sheet
from builds.findings import Level
from builds.models import CheckDone, Crash, FieldSheet
from builds.operations.checks import NOTE_LENGTH
from builds.rechecks import CHECKS, DueCheck
from hangar.serializers import KnownKeys
from inventory.serializers.parts import PartCodeField

KEYS = [(check.key, check.name) for check in CHECKS]
LEVELS = [level.label for level in Level]
REVISION_MAX = 2**31 - 1
LINES_MAX = 400


class DueCheckSerializer(serializers.Serializer[Any]):
    """A check that is due."""

    kind = serializers.ChoiceField(choices=KEYS)
    name = serializers.CharField()
    task = serializers.CharField(help_text="What to do")
    level = serializers.ChoiceField(choices=LEVELS)
    since_revision = serializers.IntegerField()
    done_revision = serializers.IntegerField(
        allow_null=True, help_text="Revision on which it was last made; null: never recorded"
    )


class CheckDoneSerializer(serializers.ModelSerializer[Any]):
    """A check that somebody made."""

    by = serializers.CharField(source="by.username", read_only=True)

    class Meta:
        model = CheckDone
        fields = ("id", "kind", "revision", "at", "by", "note")
        read_only_fields = fields


class ChecksSerializer(serializers.Serializer[Any]):
    """What is due on a build, and what was checked last."""

    revision = serializers.IntegerField()
    due = DueCheckSerializer(many=True)
    done = CheckDoneSerializer(many=True)


class NewChecksSerializer(KnownKeys):
    """What it takes to write down checks made."""

    kinds = serializers.ListField(
        child=serializers.ChoiceField(choices=KEYS), min_length=1, max_length=len(CHECKS)
    )
    revision = serializers.IntegerField(
        min_value=0,
        max_value=REVISION_MAX,
        help_text="Revision of the build that you checked: 409 when it has changed since",
    )
    note = serializers.CharField(
        max_length=NOTE_LENGTH, required=False, allow_blank=True, default=""
    )


class HarmedSerializer(serializers.Serializer[Any]):
    """A part that was in a crash."""

    position = serializers.CharField(allow_blank=True, help_text="Short name of its place then")
    part = serializers.CharField(help_text="Label code")
    name = serializers.CharField()


class CrashSerializer(serializers.ModelSerializer[Any]):
    """A crash, and what was in it."""

    by = serializers.CharField(source="by.username", read_only=True)
    harmed = HarmedSerializer(many=True, read_only=True)

    class Meta:
        model = Crash
        fields = ("id", "at", "by", "revision", "note", "harmed")
        read_only_fields = fields


class NewCrashSerializer(KnownKeys):
    """What it takes to write down a crash."""

    note = serializers.CharField(max_length=NOTE_LENGTH, help_text="What happened")
    revision = serializers.IntegerField(
        min_value=0,
        max_value=REVISION_MAX,
        help_text="Revision of the build that crashed: 409 when it has changed since",
    )
    positions = serializers.ListField(
        child=serializers.CharField(max_length=40),
        max_length=LINES_MAX,
        help_text="Short names of the places whose parts were harmed, or may be",
    )
    pack = PartCodeField(
        required=False, allow_null=True, help_text="Label code of the pack that was aboard"
    )
    at = serializers.DateTimeField(required=False, help_text="Now, where nothing is given")


class FactSerializer(serializers.Serializer[Any]):
    """Something to read off."""

    name = serializers.CharField()
    text = serializers.CharField()
    note = serializers.CharField(allow_blank=True)


class SheetLineSerializer(serializers.Serializer[Any]):
    """Something to look at and tick."""

    key = serializers.CharField()
    text = serializers.CharField()
    is_ticked = serializers.BooleanField()


class SheetSectionSerializer(serializers.Serializer[Any]):
    """Facts and lines that belong together."""

    key = serializers.CharField()
    title = serializers.CharField()
    facts = FactSerializer(many=True)
    lines = SheetLineSerializer(many=True)


class OpenFindingSerializer(serializers.Serializer[Any]):
    """A warning or a caution that stands."""

    level = serializers.ChoiceField(choices=LEVELS)
    text = serializers.CharField()
    remedy = serializers.CharField()
    is_final = serializers.BooleanField(help_text="The sheet cannot be signed while it stands")
    accepted_because = serializers.CharField(allow_blank=True)
    accepted_by = serializers.CharField(allow_blank=True)


class SheetContentSerializer(serializers.Serializer[Any]):
    """A sheet for the field."""

    build = serializers.CharField()
    revision = serializers.IntegerField()
    pack = serializers.CharField(allow_blank=True, help_text="Name and label code")
    is_first_flight = serializers.BooleanField()
    sections = SheetSectionSerializer(many=True)
    findings = OpenFindingSerializer(many=True)
    not_judged = serializers.IntegerField()
    cautions = serializers.ListField(child=serializers.CharField())


class DraftSheetSerializer(serializers.Serializer[Any]):
    """A sheet that is not signed yet; signing it needs its digest."""

    digest = serializers.CharField()
    content = SheetContentSerializer()


class FieldSheetSerializer(serializers.ModelSerializer[Any]):
    """A sheet as it was signed; it is never changed."""

    by = serializers.CharField(source="by.username", read_only=True)
    content = SheetContentSerializer(read_only=True)

    class Meta:
        model = FieldSheet
        fields = ("id", "at", "by", "revision", "note", "digest", "content")
        read_only_fields = fields


class NewFieldSheetSerializer(KnownKeys):
    """What it takes to sign a sheet."""

    digest = serializers.CharField(
        max_length=64, help_text="That of the sheet you went through: 409 when it reads otherwise"
    )
    ticked = serializers.ListField(
        child=serializers.CharField(max_length=80),
        max_length=LINES_MAX,
        help_text="Keys of the lines that you ticked",
    )
    note = serializers.CharField(
        max_length=NOTE_LENGTH, required=False, allow_blank=True, default=""
    )
    pack = PartCodeField(
        required=False,
        allow_null=True,
        help_text="Label code of another pack than the usual one, as asked with the sheet",
    )


def plain_checks(
    revision: int, due: Iterable[DueCheck], done: Iterable[CheckDone]
) -> dict[str, Any]:
    """Give what is due and what was checked last as JSON."""
    return {
        "revision": revision,
        "due": [
            {
                "kind": one.check.key,
                "name": one.check.name,
                "task": one.check.task,
                "level": one.check.level.label,
                "since_revision": one.since_revision,
                "done_revision": one.done_revision,
            }
            for one in due
        ],
        "done": CheckDoneSerializer(done, many=True).data,
    }


def plain_sheet(sheet: Sheet) -> dict[str, Any]:
    """Give a sheet that is not signed yet as JSON."""
    return {"digest": sheet.digest, "content": sheet.content(set())}
