"""Imports as JSON."""

from __future__ import annotations

from typing import Any

from django.db.models import Model
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from hangar.clubs.serializers import OwnerField, OwningClubField
from hangar.serializers import KnownKeys
from inventory.imports.models import ImportRun
from inventory.imports.plans import Outcome, Plan
from inventory.imports.table import FILE_BYTES_MAX

ROWS_SHOWN = 1000
MATCHING = {
    "columns": {"Gewicht": "mass_g", "Name": "name"},
    "units": {"Gewicht": "oz"},
    "kinds": {"Regler": "speed_controller"},
    "kind": "",
}


class NewImportSerializer(KnownKeys):
    """A list: a file, or a file name and its text; and how its columns are matched."""

    file = serializers.FileField(required=False, help_text="CSV, XLSX or ODS")
    file_name = serializers.CharField(max_length=120, required=False)
    text = serializers.CharField(
        required=False,
        trim_whitespace=False,
        max_length=FILE_BYTES_MAX,
        help_text="The list as text, instead of a file",
    )
    matching = serializers.JSONField(
        required=False,
        help_text="columns: header to field; units: header to unit; kinds: word to kind; kind: of "
        "rows that name none. A dry run without it suggests one.",
    )
    club = OwningClubField()
    dry_run = serializers.BooleanField(default=False, help_text="Only say what would happen")

    def validate_file(self, file: Any) -> Any:
        """Refuse a file that is too large before it is read."""
        if file.size > FILE_BYTES_MAX:
            raise serializers.ValidationError("The file is too large.")
        return file

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Ask for the list, once."""
        if ("file" in attrs) == ("text" in attrs):
            raise serializers.ValidationError({"file": "Send a file, or the list as text."})
        return attrs

    def data_given(self) -> tuple[str, bytes]:
        """Name and bytes of the list."""
        given = self.validated_data
        if "file" in given:
            return given.get("file_name") or given["file"].name, given["file"].read()
        try:
            return given.get("file_name", "list.csv"), given["text"].encode()
        except UnicodeEncodeError as error:
            raise serializers.ValidationError({"text": "This is no text."}) from error


class CountsSerializer(serializers.Serializer[Any]):
    """How many rows meet which end, and how much is made."""

    rows = serializers.IntegerField()
    rows_adding = serializers.IntegerField()
    rows_imported_before = serializers.IntegerField()
    rows_left_out = serializers.IntegerField()
    rows_with_errors = serializers.IntegerField()
    parts = serializers.IntegerField()
    sheets = serializers.IntegerField()
    places = serializers.IntegerField()


class ImportSerializer(serializers.ModelSerializer[Any]):
    """A list that was imported, or waits for it; the owner must have been loaded."""

    owner = OwnerField()
    counts = serializers.SerializerMethodField()

    class Meta:
        model: type[Model] = ImportRun
        fields = (
            "id",
            "file_name",
            "owner",
            "matching",
            "counts",
            "uploaded_at",
            "imported_at",
        )
        read_only_fields = fields

    @extend_schema_field(CountsSerializer(allow_null=True))
    def get_counts(self, run: ImportRun) -> dict[str, int] | None:
        """Give what became of the rows; nothing before the import."""
        return run.counts or None


class RowProblemSerializer(serializers.Serializer[Any]):
    """Why a row cannot be imported."""

    row = serializers.IntegerField(help_text="Line of the file")
    column = serializers.CharField()
    reason = serializers.CharField()


class PlannedRowSerializer(serializers.Serializer[Any]):
    """A row and what becomes of it."""

    row = serializers.IntegerField(source="number", help_text="Line of the file")
    outcome = serializers.ChoiceField(choices=[outcome.value for outcome in Outcome])
    kind = serializers.CharField()
    name = serializers.CharField(source="title")
    parts = serializers.IntegerField(source="pieces")
    place = serializers.CharField(source="place_name")
    notes = serializers.ListField(child=serializers.CharField())


class PreviewSerializer(serializers.Serializer[Any]):
    """What would become of a list."""

    file_name = serializers.CharField()
    matching = serializers.JSONField()
    counts = CountsSerializer()
    problems = RowProblemSerializer(many=True)
    problems_left_off = serializers.IntegerField()
    rows = PlannedRowSerializer(many=True)
    rows_left_off = serializers.IntegerField()


def preview_of(run: ImportRun, plan: Plan) -> dict[str, Any]:
    """What `PreviewSerializer` shows of a plan, within bounds."""
    return {
        "file_name": run.file_name,
        "matching": run.matching,
        "counts": plan.counts,
        "problems": plan.problems[:ROWS_SHOWN],
        "problems_left_off": max(0, len(plan.problems) - ROWS_SHOWN),
        "rows": plan.rows[:ROWS_SHOWN],
        "rows_left_off": max(0, len(plan.rows) - ROWS_SHOWN),
    }
