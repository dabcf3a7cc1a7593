"""The API of log files."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from drf_spectacular.utils import OpenApiExample, OpenApiResponse, extend_schema
from rest_framework import mixins, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.doors import OfPartViewSet, refuse_unless
from inventory.log_files import importing, receiving
from inventory.log_files.models import LogFile
from inventory.log_files.recipes import Recipe, check_recipe
from inventory.log_files.serializers import (
    RECIPE,
    LogFileSerializer,
    LogPreviewSerializer,
    NewLogFileSerializer,
    preview_of,
)
from inventory.models import Part


class LogFileViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfPartViewSet):
    """Files of chargers and loggers received for one pack, the latest first."""

    queryset = LogFile.objects.all()
    serializer_class = LogFileSerializer
    page_ordering = ("-uploaded_at", "-pk")
    part_kind = "pack"

    def get_queryset(self) -> Any:
        """Give the pack's files."""
        files = LogFile.objects.visible_to(self.person).filter(pack=self.part)
        return files.select_related("pack__sheet__pack").defer("state")

    @extend_schema(
        request=NewLogFileSerializer,
        responses={
            200: OpenApiResponse(LogPreviewSerializer, description="A dry run: nothing is stored."),
            201: LogFileSerializer,
        },
        examples=[
            OpenApiExample(
                "a charger's list",
                {
                    "file_name": "charger.csv",
                    "text": "Datum;Art;Ladung\n3.5.2026 18:20;laden;1,02\n",
                    "recipe": RECIPE,
                    "dry_run": True,
                },
                request_only=True,
            )
        ],
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Receive a file and import it, a long one in part: then ask to go on until it ends.

        The same file again, and the same event in another file, adds nothing.
        """
        form = NewLogFileSerializer(data=request.data, context=self.get_serializer_context())
        form.is_valid(raise_exception=True)
        pack = self._pack_to_log()
        if form.validated_data["dry_run"]:
            return self._preview(pack, form)
        file = self._receive(pack, form)
        if not file.is_started:
            recipe = self._recipe(file, form)
            file = importing.choose_recipe(file, recipe, by=self.person)
        return self.made(importing.import_some(file, by=self.person))

    @extend_schema(request=None, responses=LogFileSerializer)
    @action(detail=True, methods=["post"], url_path="go-on")
    def go_on(self, *_: Any, **__: Any) -> Response:
        """Import the next part of a file; it is at its end when `finished_at` is given."""
        self._pack_to_log()
        file = importing.import_some(self.get_object(), by=self.person)
        return Response(self.get_serializer(file).data)

    def _pack_to_log(self) -> Part:
        refuse_unless(
            Part.objects.loggable_by(self.person),
            self.part,
            "Only its owner or keeper, or who has it on loan or put aside, logs this pack.",
        )
        return self.part

    def _preview(self, pack: Part, form: NewLogFileSerializer) -> Response:
        with transaction.atomic():
            file = self._receive(pack, form)
            recipe = self._recipe(file, form)
            check_recipe(recipe, file.headers, importing.cells_of(file))
            file.recipe = recipe.to_json()
            found = importing.preview(file, by=self.person)
            transaction.set_rollback(True)
        context = self.get_serializer_context()
        return Response(LogPreviewSerializer(preview_of(recipe, found), context=context).data)

    def _receive(self, pack: Part, form: NewLogFileSerializer) -> LogFile:
        file_name, stream = form.stream_given()
        try:
            file = receiving.receive_file(pack, by=self.person, file_name=file_name, stream=stream)
        except receiving.LogFileProblem as error:
            place = "file" if "file" in form.validated_data else "text"
            raise serializers.ValidationError({place: error.message}) from error
        # Once loaded anew, the pack comes with its sheet.
        return self.get_queryset().get(pk=file.pk)

    def _recipe(self, file: LogFile, form: NewLogFileSerializer) -> Recipe:
        given = form.validated_data
        if "recipe" in given:
            return Recipe.from_json(given["recipe"])
        if not given["dry_run"] and not importing.is_known(file, by=self.person):
            raise serializers.ValidationError(
                {"recipe": "Say how the rows are read; a dry run suggests it."}
            )
        return importing.recipe_of(file, by=self.person)
