"""The API of the control set-up: surfaces, throws measured and worked out, and outputs."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import NOT_YOURS, OfBuildViewSet, visible_build
from builds.controls import set_up_of
from builds.figures import figures_of
from builds.figures.surfaces import surface_figures
from builds.models import Build, ControlSurface, ThrowRecord
from builds.operations import controls
from builds.output_map import outputs_of
from builds.serializers.controls import (
    THROWS_MEASURED,
    AcceptOutputsSerializer,
    OutputsSerializer,
    SurfaceSerializer,
    ThrowRecordSerializer,
    ThrowsSerializer,
    plain_outputs,
    plain_set_up,
)
from builds.snapshot import take_snapshot
from hangar.api import StrictView
from hangar.errors import Missing, NotAllowed

FIXED = OpenApiParameter(
    "fixed",
    str,
    many=True,
    description="Short name of a position that stays on its output; once for each",
)


class SurfaceViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfBuildViewSet):
    """Control surfaces of one build."""

    queryset = ControlSurface.objects.all()
    serializer_class = SurfaceSerializer
    page_ordering = ("pk",)

    @extend_schema(
        examples=[
            OpenApiExample(
                "an elevon",
                {"name": "Left elevon", "mixing": "elevon", "servo": 7, "arm_radius_mm": 10},
                request_only=True,
            )
        ]
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Add a control surface."""
        build = self.build_to_change()
        return self.made(controls.add_surface(build, by=self.person, **self.read(request)))

    def partial_update(self, request: Request, **_: Any) -> Response:
        """Change a control surface; throws read before a change of its linkage count no longer."""
        surface = self.get_object()
        given = self.read(request, surface, partial=True)
        changed = controls.change_surface(surface, by=self.person, **given)
        return Response(self.get_serializer(changed).data)

    def destroy(self, request: Request, **_: Any) -> Response:
        """Remove a control surface on which nothing was measured."""
        controls.remove_surface(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


class ThrowRecordViewSet(mixins.ListModelMixin, OfBuildViewSet):
    """Throws of one surface as they were read, set or measured, newest first."""

    queryset = ThrowRecord.objects.select_related("by")
    serializer_class = ThrowRecordSerializer
    page_ordering = ("-at", "-pk")

    @cached_property
    def surface(self) -> ControlSurface:
        """The surface that the address names."""
        found = ControlSurface.objects.filter(build=self.build, pk=self.kwargs["surface_pk"])
        surface = found.select_related("build").first()
        if surface is None:
            raise Missing("There is no such control surface on this build.")
        return surface

    def get_queryset(self) -> Any:
        """Give the surface's records."""
        return super().get_queryset().filter(surface=self.surface)

    @extend_schema(
        examples=[
            OpenApiExample(
                "measured",
                {"axis": "roll", "up_mm": 14, "down_mm": 13.5, "travel_percent": 75},
                request_only=True,
            )
        ]
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Record a throw; earlier records stay."""
        self.build_to_change()
        given = self.read(request)
        return self.made(controls.record_throw(self.surface, by=self.person, **given))


class ThrowsView(StrictView):
    """The control set-up of a build."""

    @extend_schema(responses=ThrowsSerializer, operation_id="builds_throws_retrieve")
    def get(self, request: Request, pk: int) -> Response:
        """Work out, for each surface and each arm hole, the travel that gives the throws wanted.

        Measure the throws on the aircraft before a flight, with the propellers off.
        """
        snapshot = take_snapshot(visible_build(self.person, pk), viewer=self.person)
        whole = figures_of(snapshot)
        surfaces = [
            plain_set_up(set_up_of(snapshot, surface), surface_figures(snapshot, surface, whole))
            for surface in snapshot.surfaces
        ]
        return Response({"measured_as": THROWS_MEASURED, "surfaces": surfaces})


class OutputsView(StrictView):
    """The outputs of a build."""

    @property
    def parameters(self) -> tuple[str, ...]:  # type: ignore[override]
        """What may stand behind the address."""
        return ("fixed",) if self.request.method == "GET" else ()

    @extend_schema(
        parameters=[FIXED], responses=OutputsSerializer, operation_id="builds_outputs_retrieve"
    )
    def get(self, request: Request, pk: int) -> Response:
        """Show the present map, what is wrong with it, and a better map or why there is none."""
        build = visible_build(self.person, pk)
        fixed = request.query_params.getlist("fixed")
        found = outputs_of(take_snapshot(build), fixed)
        strange = sorted(set(fixed) - {one.key for one in found.driven})
        if strange:
            raise serializers.ValidationError({"fixed": ["There is no such motor or servo here."]})
        return Response(plain_outputs(found, build.revision))

    @extend_schema(
        request=AcceptOutputsSerializer,
        responses=OutputsSerializer,
        operation_id="builds_outputs_accept",
    )
    def post(self, request: Request, pk: int) -> Response:
        """Take the proposed map: all outputs change in one step, with one revision.

        Then set the flight controller alike, and check every direction with the propellers off.
        """
        build = visible_build(self.person, pk)
        if not Build.objects.editable_by(self.person).filter(pk=pk).exists():
            raise NotAllowed(NOT_YOURS)
        given = AcceptOutputsSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        changed = controls.accept_outputs(build, by=self.person, **given.validated_data)
        return Response(plain_outputs(outputs_of(take_snapshot(changed)), changed.revision))
