"""The API of people and clubs."""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_view
from knox.models import AuthToken
from rest_framework import mixins, status
from rest_framework.request import Request
from rest_framework.response import Response

from hangar.api import DoorViewSet, StrictView
from hangar.clubs import operations
from hangar.clubs.models import FIELD_COLUMNS, Club, Invitation, Membership, RadioLimit
from hangar.clubs.serializers import (
    ClubSerializer,
    InvitationSerializer,
    KeySerializer,
    MembershipSerializer,
    MeSerializer,
    NewClubSerializer,
    NewKeySerializer,
    RadioLimitSerializer,
)


class MeView(StrictView):
    """The person who asks."""

    @extend_schema(responses=MeSerializer)
    def get(self, request: Request) -> Response:
        """Show name and units."""
        return Response(MeSerializer(self.person).data)

    @extend_schema(request=MeSerializer(partial=True), responses=MeSerializer)
    def patch(self, request: Request) -> Response:
        """Choose other units."""
        serializer = MeSerializer(self.person, data=request.data, partial=True)
        serializer.is_valid(raise_exception=True)
        serializer.save()
        return Response(serializer.data)


class KeyViewSet(mixins.ListModelMixin, mixins.DestroyModelMixin, DoorViewSet):
    """The person's own keys for scripts."""

    queryset = AuthToken.objects.all()
    serializer_class = KeySerializer
    lookup_field = "token_key"
    lookup_value_converter = "str"
    page_ordering = ("-created", "pk")

    def get_queryset(self) -> Any:
        """Give the person's own keys."""
        return AuthToken.objects.filter(user=self.person)

    def ask_to_change(self, obj: Any) -> None:
        """A person sees no key but their own."""

    @extend_schema(request=None, responses={201: NewKeySerializer})
    def create(self, request: Request) -> Response:
        """Make a key. Its secret is shown this once."""
        key, token = AuthToken.objects.create(self.person)
        shown = {
            "token": token,
            "token_key": key.token_key,
            "created": key.created,
            "expiry": key.expiry,
        }
        return Response(NewKeySerializer(shown).data, status=status.HTTP_201_CREATED)


@extend_schema_view(
    list=extend_schema(description="Clubs of which you are a member."),
)
class ClubViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, DoorViewSet):
    """Clubs."""

    queryset = Club.objects.all()
    serializer_class = ClubSerializer
    lookup_field = "slug"
    lookup_value_converter = "slug"
    not_yours = "Only an officer of the club changes it."

    @extend_schema(request=NewClubSerializer, responses={201: ClubSerializer})
    def create(self, request: Request) -> Response:
        """Found a club; you become its first officer."""
        given = NewClubSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        club = operations.found_club(by=self.person, **given.validated_data)
        return Response(self.get_serializer(club).data, status=status.HTTP_201_CREATED)

    @extend_schema(
        examples=[OpenApiExample("a mass line", {"mass_line_g": 250}, request_only=True)]
    )
    def partial_update(self, request: Request, slug: str) -> Response:
        """Set the take-off mass above which the club's own rules change, and where its field is."""
        club = self.get_object()
        given = self.get_serializer(club, data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        place = {name: values[name] for name in FIELD_COLUMNS if name in values}
        if "mass_line_g" in values:
            line = values["mass_line_g"]
            club = operations.change_mass_line(club=club, by=self.person, mass_line_g=line)
        if place:
            club = operations.change_field(club=club, by=self.person, **place)
        return Response(self.get_serializer(club).data)


class OfClubViewSet(DoorViewSet):
    """Records of one club."""

    not_yours = "Only an officer of the club does this."

    @cached_property
    def club(self) -> Club:
        """The club that the address names, if the person may see it."""
        clubs = Club.objects.visible_to(self.person)
        return get_object_or_404(clubs, slug=self.kwargs["slug"])

    def get_queryset(self) -> Any:
        """Give the club's records that the person may see."""
        return super().get_queryset().filter(club=self.club)

    def club_to_change(self) -> Club:
        """The club, if the person is an officer of it."""
        self.ask_to_change(self.club)
        return self.club


class MemberViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfClubViewSet):
    """Who belongs to a club, in what role."""

    queryset = Membership.objects.all()
    serializer_class = MembershipSerializer

    def get_queryset(self) -> Any:
        """Give today's members."""
        return super().get_queryset().current().select_related("user", "club")

    def ask_to_change(self, obj: Any) -> None:
        """Let a person end their own membership; all else is for officers."""
        if self.action == "destroy" and obj.user == self.person:
            return
        super().ask_to_change(obj)

    def partial_update(self, request: Request, **_: Any) -> Response:
        """Give a member another role."""
        membership = self.get_object()
        role = self.read(request)["role"]
        changed = operations.change_role(membership=membership, role=role, by=self.person)
        return Response(self.get_serializer(changed).data)

    def destroy(self, request: Request, **_: Any) -> Response:
        """Leave the club, or remove a member."""
        operations.end_membership(membership=self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


class InvitationViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfClubViewSet):
    """Invitations to a club, for its officers."""

    queryset = Invitation.objects.select_related("created_by")
    serializer_class = InvitationSerializer
    page_ordering = ("-created_at", "pk")

    def create(self, request: Request, **_: Any) -> Response:
        """Make an invitation."""
        club = self.club_to_change()
        return self.made(operations.invite(club=club, by=self.person, **self.read(request)))

    def destroy(self, request: Request, **_: Any) -> Response:
        """Withdraw an invitation."""
        operations.withdraw_invitation(invitation=self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


class RadioLimitViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfClubViewSet):
    """Bands and powers that the club entered for its field. The law of the place comes first."""

    queryset = RadioLimit.objects.all()
    serializer_class = RadioLimitSerializer

    def get_queryset(self) -> Any:
        """Give the limits of a club the person may see."""
        return RadioLimit.objects.filter(club=self.club)

    def ask_to_change(self, obj: Any) -> None:
        """Ask for the club."""
        super().ask_to_change(self.club)

    def create(self, request: Request, **_: Any) -> Response:
        """Enter a limit."""
        club = self.club_to_change()
        limit = operations.add_radio_limit(club=club, by=self.person, **self.read(request))
        return self.made(limit)

    def destroy(self, request: Request, **_: Any) -> Response:
        """Remove a limit."""
        operations.remove_radio_limit(limit=self.get_object(), by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


class AcceptView(StrictView):
    """Joining a club by its invitation."""

    @extend_schema(request=None, responses={201: MembershipSerializer})
    def post(self, request: Request, token: str) -> Response:
        """Join the club."""
        membership = operations.join_club(token=token, user=self.person)
        shown = MembershipSerializer(membership).data
        return Response(shown, status=status.HTTP_201_CREATED)
