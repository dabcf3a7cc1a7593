"""The API of parts, their measurements and history, and of places."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django_filters.rest_framework import FilterSet
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_view
from rest_framework import mixins, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from hangar.api import DoorViewSet
from hangar.clubs.models import User
from inventory import operations
from inventory.api.doors import OfPartViewSet, code_in_address, listed_parts
from inventory.filters import PartFilterSet, PlaceFilterSet, parts_of_kind
from inventory.models import Measurement, Part, PartEvent, Place, Source
from inventory.serializers.parts import (
    MASS_GIVEN,
    ChangedPartSerializer,
    EventSerializer,
    InspectionSerializer,
    MeasurementSerializer,
    NewPartSerializer,
    PartSerializer,
    PlaceSerializer,
    ReasonSerializer,
)

NEW_PART = OpenApiExample(
    "a weighed servo",
    {"sheet": 12, "mass_g": 9.1, "mass_uncertainty_g": 0.1, "place": 3, "condition": "new"},
    request_only=True,
)


@extend_schema_view(
    list=extend_schema(
        description=(
            "Parts you may see. With `kind`, the figures of that kind are filters too, as in "
            "`?kind=servo&torque_kgcm__gte=1.0&height_mm__lte=12`; they are those of "
            "`/sheets/{kind}/`. Numbers may carry a unit: `mass_g__lt=6.4 oz`."
        )
    ),
)
class PartViewSet(mixins.ListModelMixin, DoorViewSet):
    """Parts: single things, and bags of alike pieces."""

    queryset = Part.objects.all()
    serializer_class = PartSerializer
    filterset_class = PartFilterSet
    lookup_field = "code"
    lookup_value_converter = "str"
    not_yours = "This part is not yours to change."

    def choose_filterset_class(self) -> type[FilterSet]:
        """Add the figures of the kind asked for."""
        if getattr(self, "swagger_fake_view", False):
            return PartFilterSet
        return parts_of_kind(self.request.query_params.get("kind", ""))

    def get_queryset(self) -> Any:
        """Give rows for a list, and parts for all else."""
        if self.action == "list":
            return listed_parts(self.person)
        return Part.objects.visible_to(self.person).select_related("sheet")

    def get_object(self) -> Part:
        """Give the part of the label code in the address."""
        self.kwargs["code"] = code_in_address(self.kwargs["code"])
        return super().get_object()

    def ask_to_change(self, obj: Any) -> None:
        """Let whoever sees damage say so; all else is for the part's owner."""
        if self.action != "take_out_of_service":
            super().ask_to_change(obj)

    def retrieve(self, request: Request, code: str) -> Response:
        """Show a part."""
        return Response(self._shown(self.get_object()))

    @extend_schema(request=NewPartSerializer, responses={201: PartSerializer}, examples=[NEW_PART])
    def create(self, request: Request) -> Response:
        """Add a part, yours or a club's; a mass given with it is recorded as a measurement."""
        given = NewPartSerializer(data=request.data, context=self.get_serializer_context())
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        values["person"] = None if values.setdefault("club", None) else self.person
        part = operations.add_part(by=self.person, **values)
        return Response(self._shown(part), status=status.HTTP_201_CREATED)

    @extend_schema(request=ChangedPartSerializer(partial=True), responses=PartSerializer)
    def partial_update(self, request: Request, code: str) -> Response:
        """Change a part; a mass is recorded as a measurement."""
        part = self.get_object()
        given = ChangedPartSerializer(
            part, data=request.data, partial=True, context=self.get_serializer_context()
        )
        given.is_valid(raise_exception=True)
        change_part(part, given.validated_data, by=self.person)
        return Response(self._shown(part))

    def destroy(self, request: Request, code: str) -> Response:
        """Retire a part: it stays in the records and can no longer be used."""
        operations.retire_part(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)

    @extend_schema(request=ReasonSerializer, responses=PartSerializer)
    @action(detail=True, methods=["post"], url_path="take-out-of-service")
    def take_out_of_service(self, request: Request, code: str) -> Response:
        """Mark a part as not to be used; one that is not yours to stop is reported as suspect."""
        part = self.get_object()
        given = ReasonSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        operations.take_out_of_service(part, by=self.person, **given.validated_data)
        return Response(self._shown(part))

    @extend_schema(request=InspectionSerializer, responses=PartSerializer)
    @action(detail=True, methods=["post"], url_path="return-to-service")
    def return_to_service(self, request: Request, code: str) -> Response:
        """Record your own inspection, which puts the part back into service."""
        part = self.get_object()
        given = InspectionSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        operations.return_to_service(part, by=self.person, **given.validated_data)
        return Response(self._shown(part))

    def _shown(self, part: Part) -> Any:
        return PartSerializer(listed_parts(self.person).get(pk=part.pk)).data


def change_part(part: Part, values: dict[str, Any], *, by: User) -> None:
    """Change a part's columns and record its mass: both or neither."""
    mass = {name: values[name] for name in MASS_GIVEN if name in values}
    columns = {name: value for name, value in values.items() if name not in mass}
    with transaction.atomic():
        if columns:
            operations.change_part(part, by=by, **columns)
        if mass:
            operations.record_measurement(
                part,
                by=by,
                name="mass_g",
                value=mass["mass_g"],
                source=mass.get("mass_source", Source.WEIGHED),
                uncertainty=mass.get("mass_uncertainty_g"),
            )


class MeasurementViewSet(mixins.ListModelMixin, OfPartViewSet):
    """Figures found on one part, newest first. A later one supersedes, none is changed."""

    queryset = Measurement.objects.all()
    serializer_class = MeasurementSerializer
    page_ordering = ("-measured_at", "-pk")

    def get_queryset(self) -> Any:
        """Give the part's measurements."""
        return self.part.measurements.select_related("by")

    @extend_schema(
        examples=[
            OpenApiExample("by callipers", {"name": "height_mm", "value": 31.4}, request_only=True),
            OpenApiExample(
                "in ounces",
                {"name": "mass_g", "value": "1.2 oz", "source": "weighed"},
                request_only=True,
            ),
        ]
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Record a figure."""
        part = self.part_to_change()
        given = self.read(request)
        return self.made(operations.record_measurement(part, by=self.person, **given))


class HistoryViewSet(mixins.ListModelMixin, OfPartViewSet):
    """What happened to one part, newest first."""

    queryset = PartEvent.objects.all()
    serializer_class = EventSerializer
    page_ordering = ("-at", "-pk")

    def get_queryset(self) -> Any:
        """Give the part's history."""
        seen = PartEvent.objects.visible_to(self.person)
        return seen.filter(part=self.part).select_related("by")


class PlaceViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, DoorViewSet):
    """Places: boxes, drawers, bags, shelves."""

    queryset = Place.objects.select_related("person", "club")
    serializer_class = PlaceSerializer
    filterset_class = PlaceFilterSet
    not_yours = "This place is not yours to change."

    def create(self, request: Request) -> Response:
        """Add a place, yours or a club's."""
        given = self.read(request)
        club = given.pop("club", None)
        place = Place(person=None if club else self.person, club=club, **given)
        return self.made(operations.save_place(place, by=self.person))

    def partial_update(self, request: Request, pk: str) -> Response:
        """Rename a place or move it, with all that is inside it."""
        place = self.get_object()
        for name, value in self.read(request, place, partial=True).items():
            if name != "club":
                setattr(place, name, value)
        operations.save_place(place, by=self.person)
        return Response(self.get_serializer(place).data)

    def destroy(self, request: Request, pk: str) -> Response:
        """Remove an empty place."""
        operations.delete_place(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)
