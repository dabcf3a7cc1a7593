"""The API of the kit that completes a build."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import visible_build
from builds.kit.choosing import choose_kit
from builds.serializers.kit import KitAnswerSerializer, KitRequestSerializer, plain_answer
from hangar.api import StrictView


class KitView(StrictView):
    """The set of parts on hand that completes a build."""

    @extend_schema(
        request=KitRequestSerializer,
        responses=KitAnswerSerializer,
        operation_id="builds_kit_create",
    )
    def post(self, request: Request, pk: int) -> Response:
        """Choose parts for all open positions so that no warning remains, or say what clashes.

        Nothing of the build changes. A calculation is no proof: check by the maker's data.
        """
        build = visible_build(self.person, pk)
        given = KitRequestSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        answer = choose_kit(build, given.asked(), viewer=self.person)
        return Response(plain_answer(answer))
