"""The API of imports."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiResponse, extend_schema, extend_schema_view
from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from hangar.api import DoorViewSet
from inventory.imports import applying
from inventory.imports.matching import Matching
from inventory.imports.models import ImportRun
from inventory.imports.plans import RowsRefused
from inventory.imports.serializers import (
    MATCHING,
    ROWS_SHOWN,
    ImportSerializer,
    NewImportSerializer,
    PreviewSerializer,
    preview_of,
)
from inventory.imports.table import ImportProblem, Table


@extend_schema_view(list=extend_schema(description="Your own imports, the latest first."))
class ImportViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, DoorViewSet):
    """Lists of parts that were imported."""

    queryset = ImportRun.objects.defer("table").select_related("person", "club")
    serializer_class = ImportSerializer
    page_ordering = ("-uploaded_at", "-pk")

    @extend_schema(
        request=NewImportSerializer,
        responses={
            200: OpenApiResponse(PreviewSerializer, description="A dry run: nothing is stored."),
            201: ImportSerializer,
        },
        examples=[
            OpenApiExample(
                "a list as text",
                {
                    "file_name": "parts.csv",
                    "text": "Art;Name;Gewicht\nRegler;F35;0,3\n",
                    "matching": {**MATCHING, "columns": {"Art": "kind", **MATCHING["columns"]}},  # type: ignore[dict-item]
                    "dry_run": True,
                },
                request_only=True,
            )
        ],
    )
    def create(self, request: Request) -> Response:
        """Import a list: all of its rows, or none. The same list again adds nothing."""
        form = NewImportSerializer(data=request.data, context=self.get_serializer_context())
        form.is_valid(raise_exception=True)
        run = self._read(request, form)
        if form.validated_data["dry_run"]:
            return Response(PreviewSerializer(preview_of(run, applying.plan_of(run))).data)
        try:
            done = applying.import_at_once(run)
        except RowsRefused as error:
            raise serializers.ValidationError(_by_row(error)) from error
        return Response(ImportSerializer(done).data, status=status.HTTP_201_CREATED)

    def _read(self, request: Request, form: NewImportSerializer) -> ImportRun:
        given = form.validated_data
        club = given.get("club")
        file_name, data = form.data_given()
        try:
            run = applying.read_list(
                by=request.user,  # type: ignore[arg-type]
                person=None if club else request.user,  # type: ignore[arg-type]
                club=club,
                file_name=file_name,
                data=data,
            )
        except ImportProblem as error:
            place = "file" if "file" in given else "text"
            raise serializers.ValidationError({place: error.message}) from error
        if "matching" in given:
            run.matching = Matching.from_json(given["matching"]).to_json()
        elif not given["dry_run"] and not _is_remembered(run):
            raise serializers.ValidationError(
                {"matching": "Say which column is what; a dry run suggests it."}
            )
        return run


def _is_remembered(run: ImportRun) -> bool:
    return applying.remembered_matching(Table.from_json(run.table), by=run.by) is not None


def _by_row(error: RowsRefused) -> dict[str, Any]:
    """The faults as the API points to values: by row, then by column."""
    rows: dict[str, dict[str, list[str]]] = {}
    for problem in error.problems[:ROWS_SHOWN]:
        columns = rows.setdefault(str(problem.row), {})
        columns.setdefault(problem.column, []).append(problem.reason)
    return {"rows": rows}
