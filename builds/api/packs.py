"""The API of the packs that suit a build."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import visible_build
from builds.pack_options import match_packs
from builds.serializers.packs import PackMatchSerializer, plain_match
from hangar.api import StrictView


class PackMatchView(StrictView):
    """The packs that suit a build."""

    @extend_schema(responses=PackMatchSerializer, operation_id="builds_packs_retrieve")
    def get(self, request: Request, pk: int) -> Response:
        """Hold all packs that you may fit or ask for against the build, best first, and say why.

        A calculation is no approval: look at the pack before each use; the maker's data and local
        rules come first. A pack out of service is listed apart and must not be used.
        """
        build = visible_build(self.person, pk)
        return Response(plain_match(match_packs(build, self.person)))
