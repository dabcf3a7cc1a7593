"""The API of what-ifs: make, change, judge, apply and delete them."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import mixins, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import CODE, NOT_YOURS, OfBuildViewSet, visible_build
from builds.api.reports import check_query
from builds.comparisons import CHANGES, compare_variants
from builds.forms.variants import BesideForm
from builds.models import Variant
from builds.operations import applying
from builds.operations import variants as operations
from builds.serializers import plain_figures
from builds.serializers.variants import (
    ComparisonSerializer,
    VariantReportSerializer,
    VariantSerializer,
    plain_comparison,
    plain_judgement,
    plain_options,
    plain_throws,
)
from hangar.api import DoorViewSet, StrictView
from hangar.errors import Missing

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
        return Response(
            {
                "figures": plain_figures(option.figures),
                "findings": plain_judgement(option.judgement),
                "compared": plain_comparison(present, option),
                "throws": plain_throws((present, option)),
            }
        )

    @extend_schema(request=None, responses=VariantSerializer)
    @action(detail=True, methods=["post"])
    def apply(self, request: Request, pk: int) -> Response:
        """Make the build what it says, all of it or nothing.

        A part that has gone elsewhere, is out of service or is not yours to fit answers 409.
        """
        applying.apply_variant(self.get_object(), by=self.person)
        return Response(self.get_serializer(self.get_object()).data)

    @extend_schema(request=None, responses=VariantSerializer)
    @action(detail=True, methods=["post"])
    def undo(self, request: Request, pk: int) -> Response:
        """Put the build back as it was before this was applied, all of it or nothing.

        A part that has gone elsewhere, or what has been changed again since, answers 409.
        """
        applying.undo_variant(self.get_object(), by=self.person)
        return Response(self.get_serializer(self.get_object()).data)


class VariantsBesideView(StrictView):
    """What-ifs and packs beside the build as it is."""

    parameters = ("variant", "pack")

    @extend_schema(
        parameters=[
            OpenApiParameter("variant", int, many=True, description="Numbers of variants"),
            OpenApiParameter("pack", str, many=True, description="Label codes of packs"),
        ],
        responses=ComparisonSerializer,
        operation_id="builds_variants_compare_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Set up to three variants and packs beside the build as it is.

        A calculation is no proof: measure and check by the maker's data before a flight.
        """
        asked = BesideForm(request.query_params)
        check_query(asked)
        build = visible_build(self.person, pk)
        ids, codes = asked.cleaned_data["variant"], asked.cleaned_data["pack"]
        found = {variant.pk: variant for variant in VARIANTS.filter(build=build, pk__in=ids)}
        if len(found) < len(ids):
            raise Missing("No such variant of this build.")
        options = compare_variants(
            build, viewer=self.person, variants=[found[one] for one in ids], packs=codes
        )
        return Response(plain_options(options))
