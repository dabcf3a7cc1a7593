"""Log files as JSON."""

from __future__ import annotations

import io
from typing import IO, Any

from django.db.models import Model
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from hangar.serializers import KnownKeys
from inventory.log_files.importing import Preview
from inventory.log_files.models import LogFile
from inventory.log_files.receiving import FILE_BYTES_MAX
from inventory.log_files.recipes import Recipe
from inventory.serializers.packs import LogEntrySerializer

ROWS_SHOWN = 1000
TEXT_LENGTH_MAX = 2_000_000
RECIPE = Recipe(
    shape="summary",
    columns={"Datum": "moment", "Art": "kind", "Ladung": "charge_mah"},
    units={"Ladung": "Ah"},
    zone="Europe/Berlin",
    decimal=",",
).to_json()


class NewLogFileSerializer(KnownKeys):
    """A file, or a file name and its text; and how its rows are read."""

    file = serializers.FileField(required=False, help_text="CSV, or a MAVLink telemetry recording")
    file_name = serializers.CharField(max_length=120, required=False)
    text = serializers.CharField(
        required=False,
        trim_whitespace=False,
        max_length=TEXT_LENGTH_MAX,
        help_text="The log as text, instead of a file",
    )
    recipe = serializers.JSONField(
        required=False,
        help_text="shape: summary or samples; columns: header to field; units: header to unit; "
        "kind, zone, day_order, decimal, counts_in, starts_at, wants_rest, wants_resistance. "
        "Without it that of your last file with these headers; a dry run suggests one.",
    )
    dry_run = serializers.BooleanField(default=False, help_text="Only say what would happen")

    def validate_file(self, file: Any) -> Any:
        """Refuse a file that is too large before it is read."""
        if file.size > FILE_BYTES_MAX:
            raise serializers.ValidationError("The file is too large.")
        return file

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Ask for the log, once."""
        if ("file" in attrs) == ("text" in attrs):
            raise serializers.ValidationError({"file": "Send a file, or the log as text."})
        return attrs

    def stream_given(self) -> tuple[str, IO[bytes]]:
        """Name and bytes of the log."""
        given = self.validated_data
        if "file" in given:
            return given.get("file_name") or given["file"].name, given["file"]
        try:
            return given.get("file_name", "log.csv"), io.BytesIO(given["text"].encode())
        except UnicodeEncodeError as error:
            raise serializers.ValidationError({"text": "This is no text."}) from error


class LogFileCountsSerializer(serializers.Serializer[Any]):
    """What became of the rows."""

    rows = serializers.IntegerField()
    entries_added = serializers.IntegerField()
    entries_known = serializers.IntegerField()
    rows_refused = serializers.IntegerField()
    rows_left_out = serializers.IntegerField()
    notes = serializers.IntegerField()


class LogFileProblemSerializer(serializers.Serializer[Any]):
    """Why a row was refused, or what is odd about it."""

    row = serializers.IntegerField(help_text="Line of the file")
    column = serializers.CharField()
    reason = serializers.CharField()


class LogFileSerializer(serializers.ModelSerializer[Any]):
    """A file that was received, and how far it is imported."""

    counts = serializers.SerializerMethodField()
    problems = serializers.SerializerMethodField()
    percent = serializers.IntegerField(read_only=True)

    class Meta:
        model: type[Model] = LogFile
        fields = (
            "id",
            "file_name",
            "byte_count",
            "recipe",
            "percent",
            "counts",
            "problems",
            "uploaded_at",
            "finished_at",
        )
        read_only_fields = fields

    @extend_schema_field(LogFileCountsSerializer(allow_null=True))
    def get_counts(self, file: LogFile) -> dict[str, int] | None:
        """Give what became of the rows; nothing before the import."""
        return file.counts or None

    @extend_schema_field(LogFileProblemSerializer(many=True))
    def get_problems(self, file: LogFile) -> list[dict[str, Any]]:
        """Give the rows to look at."""
        return [dict(zip(("row", "column", "reason"), one, strict=True)) for one in file.problems]


class LogPreviewSerializer(serializers.Serializer[Any]):
    """What the first part of a file would become."""

    recipe = serializers.JSONField()
    rows = serializers.IntegerField()
    is_whole = serializers.BooleanField(help_text="Whether that part is the whole file")
    entries_known = serializers.IntegerField()
    entries = LogEntrySerializer(many=True, read_only=True)
    problems = LogFileProblemSerializer(many=True)
    notes = LogFileProblemSerializer(many=True)


def preview_of(recipe: Recipe, preview: Preview) -> dict[str, Any]:
    """What `LogPreviewSerializer` shows, within bounds."""
    return {
        "recipe": recipe.to_json(),
        "rows": preview.rows,
        "is_whole": preview.is_whole,
        "entries_known": preview.known,
        "entries": preview.entries[:ROWS_SHOWN],
        "problems": preview.problems[:ROWS_SHOWN],
        "notes": preview.notes[:ROWS_SHOWN],
    }
