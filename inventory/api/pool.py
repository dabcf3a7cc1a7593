"""The API of what people share: offers, claims and loans."""

from __future__ import annotations

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from hangar.api import DoorViewSet
from inventory import operations
from inventory.api.doors import refuse_unless
from inventory.filters import OpenFilterSet
from inventory.models import Claim, Loan, Offer, Part, Wait
from inventory.serializers.pool import (
    ClaimSerializer,
    ExtensionSerializer,
    LoanSerializer,
    OfferSerializer,
    ReturnSerializer,
    WaitSerializer,
)

NOT_YOURS = "This part is not yours to change."


class TenureViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, DoorViewSet):
    """Records of who has or may have a part, newest first."""

    filterset_class = OpenFilterSet
    page_ordering = ("-started_at", "-pk")


class OfferViewSet(TenureViewSet):
    """Parts offered to a club's pool."""

    queryset = Offer.objects.select_related("part", "club", "by")
    serializer_class = OfferSerializer

    def create(self, request: Request) -> Response:
        """Offer a part to a club's pool."""
        given = self.read(request)
        part = given.pop("part")
        refuse_unless(Part.objects.editable_by(self.person), part, NOT_YOURS)
        return self.made(operations.offer_part(part, by=self.person, **given))

    def destroy(self, request: Request, pk: str) -> Response:
        """Take the part out of the pool; the record stays."""
        operations.withdraw_offer(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


class ClaimViewSet(TenureViewSet):
    """Parts put aside for a member."""

    queryset = Claim.objects.select_related("part", "claimant", "by")
    serializer_class = ClaimSerializer

    def create(self, request: Request) -> Response:
        """Put a part aside for yourself or, as its owner or keeper, for another."""
        given = self.read(request)
        part = given.pop("part")
        return self.made(operations.claim_part(part, by=self.person, **given))

    def destroy(self, request: Request, pk: str) -> Response:
        """End a claim; the record stays."""
        operations.release_claim(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)

    @extend_schema(request=ExtensionSerializer, responses=ClaimSerializer)
    @action(detail=True, methods=["post"])
    def extend(self, request: Request, pk: str) -> Response:
        """Put the part aside for longer."""
        claim = self.get_object()
        given = ExtensionSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        day = given.validated_data["day"]
        claim = operations.extend_claim(claim, by=self.person, until_on=day)
        return Response(self.get_serializer(claim).data)


class WaitViewSet(TenureViewSet):
    """Who waits for a part, or asks for it."""

    queryset = Wait.objects.select_related("part", "person")
    serializer_class = WaitSerializer

    def create(self, request: Request) -> Response:
        """Wait for a part that another has, or ask its owner for it."""
        given = self.read(request)
        part = given.pop("part")
        return self.made(operations.join_queue(part, by=self.person, **given))

    def destroy(self, request: Request, pk: str) -> Response:
        """Leave the queue, or decline who waits; the record stays."""
        operations.give_up_wait(self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)

    @extend_schema(request=None, responses=WaitSerializer)
    @action(detail=True, methods=["post"])
    def grant(self, request: Request, pk: str) -> Response:
        """Agree to a request."""
        wait = operations.grant_wait(self.get_object(), by=self.person)
        return Response(self.get_serializer(wait).data)


class LoanViewSet(TenureViewSet):
    """Parts lent to a member."""

    queryset = Loan.objects.select_related("part", "borrower", "by")
    serializer_class = LoanSerializer

    def create(self, request: Request) -> Response:
        """Hand a part to a member of one of your clubs."""
        given = self.read(request)
        part, borrower = given.pop("part"), given.pop("borrower")
        refuse_unless(Part.objects.editable_by(self.person), part, NOT_YOURS)
        return self.made(operations.lend_part(part, to=borrower, by=self.person, **given))

    @extend_schema(request=ReturnSerializer, responses=LoanSerializer)
    @action(detail=True, methods=["post"], url_path="return")
    def take_back(self, request: Request, pk: str) -> Response:
        """Take the part back."""
        loan = self.get_object()
        given = ReturnSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        loan = operations.return_loan(loan, by=self.person, **given.validated_data)
        return Response(self.get_serializer(loan).data)

    @extend_schema(request=ExtensionSerializer, responses=LoanSerializer)
    @action(detail=True, methods=["post"])
    def extend(self, request: Request, pk: str) -> Response:
        """Lend for longer: its owner or keeper may, and the borrower within the club's rules."""
        found = get_object_or_404(self.get_queryset(), pk=pk)
        given = ExtensionSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        loan = operations.extend_loan(found, by=self.person, due_on=given.validated_data["day"])
        return Response(self.get_serializer(loan).data)
