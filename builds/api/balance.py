"""The API of the balance: packs and their places, ballast, and weigh-ins."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import mixins
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import OfBuildViewSet, visible_build
from builds.api.reports import PACK, ReportView, check_query
from builds.balance import balance_of
from builds.forms.balance import BalanceForm
from builds.models import WeighIn
from builds.operations import weighing
from builds.pack_options import packs_in_reach
from builds.serializers.balance import BalanceSerializer, WeighInSerializer, plain_balance
from builds.snapshot import take_picture


class BalanceView(ReportView):
    """The balance of a build."""

    parameters = ("pack", "margin_percent", "ballast_x_mm", "move", "move_mm")

    @extend_schema(
        parameters=[
            PACK,
            OpenApiParameter("margin_percent", float, description="Static margin to look at"),
            OpenApiParameter("ballast_x_mm", float, description="Place of ballast"),
            OpenApiParameter("move", str, description="Short name of a position to move"),
            OpenApiParameter("move_mm", float, description="How far to move it, aft"),
        ],
        responses=BalanceSerializer,
        operation_id="builds_balance_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Work out where each pack in reach must sit, and what ballast and moves do.

        A calculation is no proof: balance the finished aircraft before a flight.
        """
        build = visible_build(self.person, pk)
        others = packs_in_reach(self.person)
        picture = take_picture(build, viewer=self.person, pack=self._pack(), others=others)
        snapshot = picture.snapshot
        look = BalanceForm(request.query_params, snapshot=snapshot)
        check_query(look)
        own = [snapshot.pack] if snapshot.pack else []
        packs = {record.id: record for record in (*own, *picture.others.values())}
        sheet = balance_of(snapshot, packs.values(), build.pack_x_mm, look.choice())
        return Response(plain_balance(sheet))


class WeighInViewSet(mixins.ListModelMixin, OfBuildViewSet):
    """Weigh-ins of one build, newest first; one of an older revision counts no longer."""

    queryset = WeighIn.objects.select_related("by", "pack")
    serializer_class = WeighInSerializer
    page_ordering = ("-at", "-pk")

    @extend_schema(
        examples=[
            OpenApiExample(
                "without the hatch",
                {
                    "revision": 18,
                    "mass_g": 519.5,
                    "cg_x_mm": 133,
                    "pack": "2D8YMX5",
                    "left_off": ["hatch"],
                },
                request_only=True,
            )
        ]
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Write down a weigh-in; it leads over the sum of the parts until the build changes."""
        build = self.build_to_change()
        return self.made(weighing.record_weigh_in(build, by=self.person, **self.read(request)))
