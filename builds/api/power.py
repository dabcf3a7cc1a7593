"""The API of power and placing, and of readings on the bench."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import mixins
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import OfBuildViewSet, visible_build
from builds.api.reports import AIR, PACK, ReportView, check_query
from builds.flying_field import field_of
from builds.forms.placing import LIMITS, PlacingForm
from builds.forms.power import RunningForm
from builds.models import PowerReading
from builds.operations.power import record_power_reading
from builds.placing import placing_report
from builds.powering import power_report
from builds.serializers.placing import PlacingSerializer, plain_placing
from builds.serializers.power import PowerReadingSerializer, PowerSerializer, plain_power
from builds.snapshot import take_snapshot


class PowerView(ReportView):
    """The drive of a build at full and at part throttle, its flight and its wiring."""

    parameters = ("pack", "duty", "airspeed_m_s", "elevation_m", "temperature_c")

    @extend_schema(
        parameters=[
            PACK,
            OpenApiParameter("duty", float, description="Part throttle, 0.01 to 1; else 0.5"),
            OpenApiParameter("airspeed_m_s", float, description="Else that of cruise"),
            *AIR,
        ],
        responses=PowerSerializer,
        operation_id="builds_power_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Work out currents, voltage, thrust and more, each with a range and what decides it.

        A calculation is no proof: the makers' data and a reading on the bench decide, propellers
        off until then.
        """
        asked = RunningForm(request.query_params)
        check_query(asked)
        build = visible_build(self.person, pk)
        snapshot = take_snapshot(build, viewer=self.person, pack=self._pack())
        report = power_report(asked.in_air(snapshot), **asked.running())
        return Response(plain_power(report))


class PlacingView(ReportView):
    """Compasses beside leads, radio links and aerials of a build."""

    parameters = ("pack", *LIMITS)

    @extend_schema(
        parameters=[PACK, *(OpenApiParameter(name, float) for name in LIMITS)],
        responses=PlacingSerializer,
        operation_id="builds_placing_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Work out what leads do to the compass, what the radio has in hand, and distances.

        Free-space figures are upper bounds, no promise of range.
        """
        asked = PlacingForm(request.query_params)
        check_query(asked)
        build = visible_build(self.person, pk)
        snapshot = take_snapshot(build, viewer=self.person, pack=self._pack())
        field = field_of(build, timezone.localdate())
        return Response(plain_placing(placing_report(snapshot, **asked.asked(field))))


class PowerReadingViewSet(mixins.ListModelMixin, OfBuildViewSet):
    """Readings on the bench of one build, newest first."""

    queryset = PowerReading.objects.select_related("by", "motor", "propeller")
    serializer_class = PowerReadingSerializer
    page_ordering = ("-at", "-pk")

    @extend_schema(
        examples=[
            OpenApiExample(
                "full throttle",
                {"voltage_v": 15.6, "current_a": 34.2, "speed_rpm": 25900, "thrust_g": 1480},
                request_only=True,
            )
        ]
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Write down a full-throttle reading of the motor and propeller that are fitted now."""
        build = self.build_to_change()
        return self.made(record_power_reading(build, by=self.person, **self.read(request)))
