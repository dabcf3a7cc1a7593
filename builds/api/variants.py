"""The API of what-ifs: make, change, judge, apply and delete them."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import CODE, NOT_YOURS, OfBuildViewSet
from builds.comparisons import CHANGES, compare_variants
from builds.models import Variant
from builds.operations import variants as operations
from builds.serializers import plain_figures, plain_finding, plain_gap
from builds.serializers.variants import (
    VariantReportSerializer,
    VariantSerializer,
    plain_comparison,
)
from hangar.api import DoorViewSet

VARIANTS = Variant.objects.select_related(
    "build__club", "pack", "by", "applied_by"
).prefetch_related(CHANGES)


class BuildVariantViewSet(mixins.ListModelMixin, OfBuildViewSet):
    """What-ifs for one build."""

    queryset = VARIANTS
    serializer_class = VariantSerializer
    page_ordering = ("created_at", "pk")

    @extend_schema(
        examples=[
            OpenApiExample(
                "another motor and pack",
                {"name": "6 cells", "pack": CODE, "changes": [{"position": 7, "part": CODE}]},
                request_only=True,
            )
        ]
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Make a what-if; nothing of the build changes."""
        build = self.build_to_change()
        given = self.read(request)
        made = operations.create_variant(build, by=self.person, **given)
        return self.made(VARIANTS.get(pk=made.pk))


class VariantViewSet(mixins.RetrieveModelMixin, DoorViewSet):
    """A what-if: other parts, another pack, another arm hole; nothing moves until it is applied."""

    queryset = VARIANTS
    serializer_class = VariantSerializer
    not_yours = NOT_YOURS

    def partial_update(self, request: Request, pk: int) -> Response:
        """Change a what-if; `changes` take the place of all those it had."""
        variant = self.get_object()
        given = self.read(request, variant, partial=True)
        operations.change_variant(variant, by=self.person, **given)
        return Response(self.get_serializer(self.get_object()).data)

    def destroy(self, request: Request, pk: int) -> Response:
        """Forget a what-if; the build stays as it is."""
        operations.delete_variant(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)

    @extend_schema(responses=VariantReportSerializer)
    @action(detail=True)
    def report(self, request: Request, pk: int) -> Response:
        """Judge the build as the what-if would make it, beside the build as it is.

        A calculation is no proof: measure and check by the maker's data before a flight.
        """
        variant = self.get_object()
        present, option = compare_variants(variant.build, viewer=self.person, variants=[variant])
        judgement = option.judgement
        return Response(
            {
                "figures": plain_figures(option.figures),
                "findings": {
                    "judged": judgement.judged,
                    "not_applicable": judgement.not_applicable,
                    "not_judged": [plain_gap(gap) for gap in judgement.not_judged],
                    "findings": [plain_finding(finding) for finding in judgement.findings],
                },
                "compared": plain_comparison(present, option),
            }
        )

    @extend_schema(request=None, responses=VariantSerializer)
    @action(detail=True, methods=["post"])
    def apply(self, request: Request, pk: int) -> Response:
        """Make the build what it says, all of it or nothing.

        A part that has gone elsewhere, is out of service or is not yours to fit answers 409.
        """
        operations.apply_variant(self.get_object(), by=self.person)
        return Response(self.get_serializer(self.get_object()).data)
