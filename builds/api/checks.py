"""The API of checks, crashes and sheets for the field."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, status
from rest_framework.request import Request
from rest_framework.response import Response

from builds.answers import answered
from builds.api.builds import NOT_YOURS, OfBuildViewSet, visible_build
from builds.api.reports import PACK, ReportView
from builds.field_sheets import draw_up
from builds.models import Build, CheckDone, Crash, FieldSheet
from builds.operations import checks as operations
from builds.rechecks import due_checks
from builds.reports import report_on
from builds.serializers.checks import (
    ChecksSerializer,
    CrashSerializer,
    DraftSheetSerializer,
    FieldSheetSerializer,
    NewChecksSerializer,
    NewCrashSerializer,
    NewFieldSheetSerializer,
    plain_checks,
    plain_sheet,
)
from builds.snapshot import take_snapshot
from hangar.api import StrictView
from hangar.errors import NotAllowed

CODE = "2D8YMX5"


class ChecksView(StrictView):
    """What must be checked again on a build, and what was checked last."""

    @extend_schema(responses=ChecksSerializer, operation_id="builds_checks_retrieve")
    def get(self, request: Request, pk: int) -> Response:
        """List the checks that are due, and the newest of each kind that was made."""
        return Response(self._told(visible_build(self.person, pk)))

    @extend_schema(
        request=NewChecksSerializer,
        responses={201: ChecksSerializer},
        operation_id="builds_checks_create",
        examples=[
            OpenApiExample(
                "after a new servo",
                {"kinds": ["surface_directions", "throws"], "revision": 18},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, pk: int) -> Response:
        """Write down checks made on the present revision; a later change makes them due again."""
        build = visible_build(self.person, pk)
        if not Build.objects.editable_by(self.person).filter(pk=pk).exists():
            raise NotAllowed(NOT_YOURS)
        given = NewChecksSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        operations.record_checks(build, by=self.person, **given.validated_data)
        return Response(self._told(build), status=status.HTTP_201_CREATED)

    def _told(self, build: Build) -> dict[str, Any]:
        snapshot = take_snapshot(build)
        done = CheckDone.objects.filter(build=build).newest().select_related("by")
        return plain_checks(snapshot.revision, due_checks(snapshot), done)


class CrashViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfBuildViewSet):
    """Crashes of one build, newest first."""

    queryset = Crash.objects.select_related("by")
    serializer_class = CrashSerializer
    page_ordering = ("-at", "-pk")

    @extend_schema(
        request=NewCrashSerializer,
        responses={201: CrashSerializer},
        examples=[
            OpenApiExample(
                "into a hedge",
                {
                    "note": "Stalled on the approach, into the hedge.",
                    "revision": 18,
                    "positions": ["servo_left", "servo_right", "propeller"],
                    "pack": CODE,
                },
                request_only=True,
            )
        ],
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Write down a crash: its parts become suspect, its pack goes out of service.

        Checks fall due; the inspection is recorded among the checks.
        """
        build = self.build_to_change()
        given = NewCrashSerializer(data=request.data, context=self.get_serializer_context())
        given.is_valid(raise_exception=True)
        made = operations.record_crash(build, by=self.person, **given.validated_data)
        return self.made(made)


class FieldSheetViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfBuildViewSet):
    """Sheets for the field as they were signed, newest first; none is ever changed."""

    queryset = FieldSheet.objects.select_related("by")
    serializer_class = FieldSheetSerializer
    page_ordering = ("-at", "-pk")

    @extend_schema(
        request=NewFieldSheetSerializer,
        responses={201: FieldSheetSerializer},
        examples=[
            OpenApiExample(
                "gone through",
                {"digest": "5f0c", "ticked": ["pack-1", "pack-2"], "note": "Calm, dry."},
                request_only=True,
            )
        ],
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Sign the sheet that was gone through; what is not ticked is recorded as not ticked.

        While a warning stands that must be put right this answers 409. A signed sheet is no
        clearance to fly.
        """
        build = self.build_to_change()
        given = NewFieldSheetSerializer(data=request.data, context=self.get_serializer_context())
        given.is_valid(raise_exception=True)
        made = operations.sign_field_sheet(build, by=self.person, **given.validated_data)
        return self.made(made)


class SheetView(ReportView):
    """The sheet for the field, drawn up from the build as it is."""

    parameters = ("pack",)

    @extend_schema(
        parameters=[PACK],
        responses=DraftSheetSerializer,
        operation_id="builds_field_sheet_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Draw up the sheet with the usual pack or another; its digest is needed to sign it."""
        build = visible_build(self.person, pk)
        report = report_on(build, viewer=self.person, pack=self._pack())
        is_first = not FieldSheet.objects.filter(build=build).exists()
        return Response(plain_sheet(draw_up(report, answered(build, report), is_first=is_first)))
