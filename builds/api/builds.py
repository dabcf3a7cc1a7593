"""The API of builds: the aircraft, its positions, fittings and revisions, and ground gear."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.db.models import Prefetch
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, status
from rest_framework.request import Request
from rest_framework.response import Response

from builds import operations
from builds.filters import BuildFilterSet, FittingFilterSet
from builds.models import Build, Fitting, GroundChoice, Position, Revision
from builds.serializers import (
    BuildSerializer,
    FittingSerializer,
    GroundChoiceSerializer,
    NewBuildSerializer,
    NewFittingSerializer,
    PositionSerializer,
    RevisionSerializer,
)
from hangar.api import DoorViewSet
from hangar.clubs.models import User
from hangar.errors import Missing, UserError

NOT_YOURS = "This build is not yours to change."
CODE = "2D8YMX5"


def visible_build(user: User, pk: int) -> Build:
    """The build of that number with its owner, if the person may see it; raises Missing."""
    builds = Build.objects.visible_to(user).select_related("club", "person", "pack")
    found = builds.filter(pk=pk).first()
    if found is None:
        raise Missing("There is no such build, or none that you may see.")
    return found


class BuildViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, DoorViewSet):
    """Builds: one for each aircraft."""

    queryset = Build.objects.select_related("person", "club", "pack")
    serializer_class = BuildSerializer
    filterset_class = BuildFilterSet
    not_yours = NOT_YOURS

    @extend_schema(
        request=NewBuildSerializer,
        responses={201: BuildSerializer},
        examples=[
            OpenApiExample("from an airframe", {"name": "A1", "airframe": CODE}, request_only=True)
        ],
    )
    def create(self, request: Request) -> Response:
        """Make a build, yours or a club's; an airframe's template gives its positions."""
        given = NewBuildSerializer(data=request.data, context=self.get_serializer_context())
        given.is_valid(raise_exception=True)
        return self.made(operations.create_build(by=self.person, **given.validated_data))

    @extend_schema(
        examples=[
            OpenApiExample("its usual pack", {"pack": CODE, "pack_x_mm": 66}, request_only=True)
        ]
    )
    def partial_update(self, request: Request, pk: int) -> Response:
        """Change the set-up of a build."""
        build = self.get_object()
        given = self.read(request, build, partial=True)
        operations.change_build(build, by=self.person, **given)
        return Response(self.get_serializer(self.get_object()).data)

    def destroy(self, request: Request, pk: int) -> Response:
        """Archive a build; its records stay, and what is fitted stays fitted."""
        operations.change_build(self.get_object(), by=self.person, is_archived=True)
        return Response(status=status.HTTP_204_NO_CONTENT)


class OfBuildViewSet(DoorViewSet):
    """Records of one build."""

    not_yours = NOT_YOURS

    @cached_property
    def build(self) -> Build:
        """The build that the address names, if the person may see it."""
        return visible_build(self.person, self.kwargs["build_pk"])

    def get_queryset(self) -> Any:
        """Give the build's records."""
        return self.queryset.filter(build=self.build)

    def build_to_change(self) -> Build:
        """The build, if the person may change it."""
        self.ask_to_change(self.build)
        return self.build


class PositionViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfBuildViewSet):
    """Positions of one build, and what is in them."""

    queryset = Position.objects.prefetch_related(
        Prefetch("fittings", Fitting.objects.open().select_related("part"), to_attr="open_fittings")
    )
    serializer_class = PositionSerializer

    def create(self, request: Request, **_: Any) -> Response:
        """Add a position."""
        build = self.build_to_change()
        given = self.read(request)
        return self.made(operations.add_position(build, by=self.person, **given))

    def partial_update(self, request: Request, **_: Any) -> Response:
        """Change a position; its kind stays while a part is in it."""
        position = self.get_object()
        given = self.read(request, position, partial=True)
        changed = operations.change_position(position, by=self.person, **given)
        return Response(self.get_serializer(changed).data)

    def destroy(self, request: Request, **_: Any) -> Response:
        """Remove a position that never held a part."""
        operations.remove_position(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


class FittingViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfBuildViewSet):
    """What is and was fitted in one build, newest first."""

    queryset = Fitting.objects.select_related("part", "fitted_by", "removed_by")
    serializer_class = FittingSerializer
    filterset_class = FittingFilterSet
    page_ordering = ("-fitted_at", "-pk")

    @extend_schema(
        request=NewFittingSerializer,
        responses={201: FittingSerializer},
        examples=[OpenApiExample("a servo", {"position": 7, "part": CODE}, request_only=True)],
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Put a part into a position. Of two people at once one wins, the other gets a 409."""
        build = self.build_to_change()
        given = NewFittingSerializer(data=request.data, context=self.get_serializer_context())
        given.is_valid(raise_exception=True)
        position = given.validated_data["position"]
        if position.build_id != build.pk:
            raise UserError("This position is not one of this build.", field="position")
        return self.made(operations.fit_part(by=self.person, **given.validated_data))

    def destroy(self, request: Request, **_: Any) -> Response:
        """Take the part out; the record of it stays."""
        operations.remove_part(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


class RevisionViewSet(mixins.ListModelMixin, OfBuildViewSet):
    """What changed in one build, newest first."""

    queryset = Revision.objects.select_related("by")
    serializer_class = RevisionSerializer
    page_ordering = ("-number", "pk")


class GroundGearViewSet(mixins.ListModelMixin, DoorViewSet):
    """Your own ground gear: transmitter, video receiver, charger."""

    queryset = GroundChoice.objects.select_related("part")
    serializer_class = GroundChoiceSerializer

    def create(self, request: Request) -> Response:
        """Name the ground gear you use; it replaces that of the same role."""
        return self.made(operations.choose_ground_gear(by=self.person, **self.read(request)))
