"""The API of what is calculated and judged: figures, findings, spares, and the rule book."""

from __future__ import annotations

from typing import Any

from django.forms import BaseForm
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

import builds.rules  # noqa: F401 - registers the rules
from builds.answers import answered
from builds.api.builds import visible_build
from builds.findings import book
from builds.forms.balance import AirForm
from builds.models import Build, Position, RuleLimit
from builds.reports import Report, report_of
from builds.serializers import (
    FIGURES,
    JudgementSerializer,
    RuleSerializer,
    SpareSearchSerializer,
    plain_figures,
    plain_finding,
    plain_rule,
)
from builds.serializers.findings import plain_judgement
from builds.snapshot import take_snapshot
from builds.spares import SpareSearch, find_spares
from hangar.api import StrictView
from hangar.clubs.models import User
from hangar.errors import Missing
from inventory.codes import CodeError, check_code
from inventory.models import Part

PACK = OpenApiParameter("pack", str, description="Label code of another pack than the usual one")


AIR = (
    OpenApiParameter(
        "elevation_m", float, description="Elevation of the field; else the club's, else sea level"
    ),
    OpenApiParameter(
        "temperature_c", float, description="Temperature of the air; else the standard one"
    ),
)


def check_query(form: BaseForm) -> None:
    """Refuse query parameters that a form does not accept."""
    if not form.is_valid():
        raise serializers.ValidationError(
            {name: [str(error) for error in errors] for name, errors in form.errors.items()}
        )


class ReportView(StrictView):
    """What is said of one build, with its usual pack or with another, in the air asked for."""

    parameters: tuple[str, ...] = ("pack", "elevation_m", "temperature_c")
    build: Build

    def report(self, pk: int) -> Report:
        """Figures and findings of the build that the address names."""
        air = AirForm(self.request.query_params)
        check_query(air)
        self.build = visible_build(self.person, pk)
        snapshot = take_snapshot(self.build, viewer=self.person, pack=self._pack())
        return report_of(air.in_air(snapshot))

    def _pack(self) -> Part | None:
        text = self.request.query_params.get("pack")
        if not text:
            return None
        try:
            code = check_code(text)
        except CodeError as error:
            raise serializers.ValidationError({"pack": [str(error)]}) from error
        seen = Part.objects.visible_to(self.person)
        found = seen.filter(code=code, kind="pack").first()
        if found is None:
            raise serializers.ValidationError({"pack": ["No such pack, or none you may see."]})
        return found


class FiguresView(ReportView):
    """The figures of a build."""

    @extend_schema(
        parameters=[PACK, *AIR],
        responses=FIGURES,
        operation_id="builds_figures_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Calculate the figures by name, each with its uncertainty, or with what it lacks.

        A calculation is no proof: measure and check by the maker's data before a flight.
        """
        return Response(plain_figures(self.report(pk).figures))


class FindingsView(ReportView):
    """What the rules say of a build."""

    @extend_schema(
        parameters=[PACK, *AIR],
        responses=JudgementSerializer,
        operation_id="builds_findings_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Judge the build by all rules, gravest finding first, with what could not be judged.

        Each finding names the values it was found from, and the answer that holds for it, if any.
        `settles` lists the missing figures that would settle most of the rest, best first. No
        finding is no approval: the maker's data and local rules come first.
        """
        report = self.report(pk)
        return Response(
            plain_judgement(report.judgement, report.snapshot, answered(self.build, report))
        )


class SparesView(StrictView):
    """Spares for a position of a build."""

    parameters = ("position",)

    @extend_schema(
        parameters=[OpenApiParameter("position", int, required=True)],
        responses=SpareSearchSerializer,
        operation_id="builds_spares_retrieve",
    )
    def get(self, request: Request, pk: int) -> Response:
        """Find parts on hand that fit the position, best first, and why others do not."""
        build = visible_build(self.person, pk)
        position = self._position(build)
        return Response(_plain_search(find_spares(build, position, self.person)))

    def _position(self, build: Build) -> Position:
        text = self.request.query_params.get("position", "")
        if not (text.isascii() and text.isdigit() and len(text) <= 18):
            raise serializers.ValidationError({"position": ["Write the number of a position."]})
        found = build.positions.filter(pk=int(text)).first()
        if found is None:
            raise serializers.ValidationError({"position": ["This build has no such position."]})
        return found


def _plain_search(search: SpareSearch) -> dict[str, Any]:
    return {
        "candidates": [
            {
                "part": one.part.code,
                "kind": one.part.kind,
                "name": one.record.name,
                "owner": one.record.owner,
                "place": one.record.place,
                "condition": one.record.condition,
                "is_fittable": one.is_fittable,
                "why": one.why,
                "mass_change_g": one.mass_change_g,
                "cg_change_mm": one.cg_change_mm,
                "new_findings": [plain_finding(finding) for finding in one.new_findings],
                "cleared_findings": [plain_finding(finding) for finding in one.cleared_findings],
                "not_judged": one.not_judged,
                "is_alike": one.is_alike,
            }
            for one in search.candidates
        ],
        "rejected": [
            {
                "part": one.part.code,
                "name": one.record.name,
                "rules": [plain_finding(finding) for finding in one.rules],
                "count": one.count,
            }
            for one in search.rejected
        ],
        "fallen": [
            {"rule": one.rule, "question": one.question, "count": one.count}
            for one in search.fallen
        ],
        "has_more": search.has_more,
    }


class RuleListView(StrictView):
    """The rule book."""

    @extend_schema(
        responses={
            200: {
                "type": "object",
                "required": ["next", "previous", "results"],
                "properties": {
                    "next": {"type": "string", "nullable": True},
                    "previous": {"type": "string", "nullable": True},
                    "results": {
                        "type": "array",
                        "items": {"$ref": "#/components/schemas/Rule"},
                    },
                },
            }
        },
        operation_id="rules_list",
    )
    def get(self, request: Request) -> Response:
        """List all rules, on one page, with their limits and what your clubs have set."""
        own = list(_limits_of_clubs(self.person))
        rules = RuleSerializer([plain_rule(rule, own) for rule in book], many=True).data
        return Response({"next": None, "previous": None, "results": rules})


class RuleView(StrictView):
    """One rule."""

    @extend_schema(responses=RuleSerializer, operation_id="rules_retrieve")
    def get(self, request: Request, rule_id: str) -> Response:
        """Show a rule: what it asks, what it needs, its limits and where it comes from."""
        try:
            rule = book[rule_id]
        except KeyError as error:
            raise Missing("There is no such rule.") from error
        own = _limits_of_clubs(self.person).filter(rule=rule_id)
        return Response(RuleSerializer(plain_rule(rule, own)).data)


def _limits_of_clubs(person: User) -> Any:
    rows = RuleLimit.objects.visible_to(person).newest()
    return rows.select_related("club", "by").order_by("club__name", "pk")
