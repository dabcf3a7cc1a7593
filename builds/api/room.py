"""The API of what fits where."""

from __future__ import annotations

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import visible_build
from builds.api.reports import PACK, ReportView, check_query
from builds.forms.room import SIZES, RoomForm
from builds.room import room_report
from builds.serializers.room import RoomSerializer, plain_room
from builds.snapshot import take_snapshot

SCREW = "screw_length_mm"


class RoomView(ReportView):
    """Parts of a build against the room, holes, thread and bores at their places."""

    parameters = ("pack", "position", *SIZES, SCREW)

    @extend_schema(
        parameters=[
            PACK,
            OpenApiParameter("position", str, description="Short name of one place; else all"),
            *(OpenApiParameter(name, float, description="Of a part asked about") for name in SIZES),
            OpenApiParameter(SCREW, float, description="Of motor screws asked about"),
        ],
        responses=RoomSerializer,
        operation_id="builds_room_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Work out what is to spare, at worst and most likely, and what is missing to tell.

        A calculation is no proof: offer up the part itself, and leave a pack room to swell.
        """
        build = visible_build(self.person, pk)
        snapshot = take_snapshot(build, pack=self._pack())
        asked = RoomForm(request.query_params, snapshot=snapshot)
        check_query(asked)
        return Response(plain_room(room_report(snapshot, asked.question())))
