"""The API of answers to findings, and of the limits that clubs set for rules."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, status
from rest_framework.request import Request
from rest_framework.response import Response

from builds.api.builds import OfBuildViewSet
from builds.models import Answer, RuleLimit
from builds.operations import answers, rule_limits
from builds.serializers.answers import (
    AnswerSerializer,
    NewAnswerSerializer,
    NewRuleLimitSerializer,
    RuleLimitSerializer,
)
from hangar.clubs.api import OfClubViewSet


class AnswerViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfBuildViewSet):
    """What was accepted in one build and why, newest first; also what was taken back."""

    queryset = Answer.objects.select_related("by", "withdrawn_by", "pack")
    serializer_class = AnswerSerializer
    page_ordering = ("-at", "-pk")

    @extend_schema(
        request=NewAnswerSerializer,
        responses={201: AnswerSerializer},
        examples=[
            OpenApiExample(
                "a loose camera",
                {
                    "rule": "fit.camera_loose_in_slot",
                    "position": "camera",
                    "reason": "Foam tape at both sides.",
                },
                request_only=True,
            )
        ],
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Accept what a rule says of a place; it holds until something it rests on changes.

        A warning that must be put right answers 409. An accepted finding stays listed.
        """
        build = self.build_to_change()
        given = NewAnswerSerializer(data=request.data, context=self.get_serializer_context())
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        places = {values.pop("position"): values.pop("digest")}
        (made,) = answers.accept_findings(build, by=self.person, places=places, **values)
        return self.made(made)

    def destroy(self, request: Request, **_: Any) -> Response:
        """Take an answer back; the record of it stays."""
        answer = self.get_object()
        answer.build = self.build
        answers.withdraw_answer(answer, by=self.person)
        return Response(status=status.HTTP_204_NO_CONTENT)


class RuleLimitViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfClubViewSet):
    """Limits of rules that the club has set, newest first; the newest of a name counts."""

    queryset = RuleLimit.objects.with_is_newest().select_related("by")
    serializer_class = RuleLimitSerializer
    page_ordering = ("-at", "-pk")

    @extend_schema(
        request=NewRuleLimitSerializer,
        responses={201: RuleLimitSerializer},
        examples=[
            OpenApiExample(
                "more room to swell",
                {
                    "rule": "fit.pack_without_room_to_swell",
                    "name": "spare_mm",
                    "value": 3,
                    "note": "Agreed at the meeting in May.",
                },
                request_only=True,
            )
        ],
    )
    def create(self, request: Request, **_: Any) -> Response:
        """Set a limit, within its bounds; earlier entries stay. Only an officer may."""
        club = self.club_to_change()
        given = NewRuleLimitSerializer(data=request.data, context=self.get_serializer_context())
        given.is_valid(raise_exception=True)
        made = rule_limits.set_rule_limit(club=club, by=self.person, **given.validated_data)
        return self.made(made)
