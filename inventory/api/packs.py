"""The API of packs: the log and the judged health."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError as DjangoValidationError
from django.db import transaction
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from hangar.api import StrictView
from hangar.errors import Conflict, UserError
from inventory import operations
from inventory.api.doors import OfPartViewSet, refuse_unless, visible_part
from inventory.filters import LogFilterSet
from inventory.health import cautions
from inventory.models import LogEntry, Part
from inventory.pack_health import PackReport
from inventory.serializers.packs import HealthSerializer, LogEntrySerializer
from inventory.stored_health import health_of

EXAMPLES = [
    OpenApiExample(
        "a flight",
        {"kind": "use", "charge_mah": 980, "duration_s": 420, "voltage_min_v": 13.6},
        request_only=True,
    ),
    OpenApiExample(
        "a rest reading",
        {"kind": "rest", "rest_v": [3.84, 3.85, 3.84, 3.85], "rested_h": 2, "temperature_c": 21},
        request_only=True,
    ),
]


class LogViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, OfPartViewSet):
    """The log of one pack, newest first. An entry is never changed: a later one corrects it."""

    queryset = LogEntry.objects.all()
    serializer_class = LogEntrySerializer
    filterset_class = LogFilterSet
    page_ordering = ("-started_at", "-recorded_at", "pk")
    part_kind = "pack"
    lookup_value_converter = "uuid"

    def get_queryset(self) -> Any:
        """Give the pack's log."""
        return self.part.log.select_related("by")

    @extend_schema(examples=EXAMPLES)
    def create(self, request: Request, **_: Any) -> Response:
        """Log one thing, or a list of up to 1,000: then all of them or none."""
        pack = self._pack_to_log()
        many = isinstance(request.data, list)
        given = self.get_serializer(data=request.data, many=many)
        given.is_valid(raise_exception=True)
        if many:
            entries: Any = self._log_all(pack, given.validated_data)
        else:
            entries = operations.add_log_entry(pack, by=self.person, **given.validated_data)
        shown = self.get_serializer(entries, many=many).data
        return Response(shown, status=status.HTTP_201_CREATED)

    @extend_schema(responses={200: LogEntrySerializer, 201: LogEntrySerializer}, examples=EXAMPLES)
    def update(self, request: Request, pk: UUID, **_: Any) -> Response:
        """Log one thing under your own id; the same again changes nothing."""
        pack = self._pack_to_log()
        given = self.read(request)
        if given.setdefault("id", pk) != pk:
            raise UserError("This is not the id in the address.", field="id")
        is_known = LogEntry.objects.filter(pk=pk).exists()
        entry = operations.add_log_entry(pack, by=self.person, **given)
        answer = status.HTTP_200_OK if is_known else status.HTTP_201_CREATED
        return Response(self.get_serializer(entry).data, status=answer)

    def _pack_to_log(self) -> Part:
        refuse_unless(
            Part.objects.loggable_by(self.person),
            self.part,
            "Only its owner or keeper, or who has it on loan or put aside, logs this pack.",
        )
        return self.part

    def _log_all(self, pack: Part, rows: list[dict[str, Any]]) -> list[LogEntry]:
        with transaction.atomic():
            return [self._log_row(pack, place, row) for place, row in enumerate(rows)]

    def _log_row(self, pack: Part, place: int, row: dict[str, Any]) -> LogEntry:
        try:
            return operations.add_log_entry(pack, by=self.person, **row)
        except Conflict:
            raise
        except UserError as error:
            raise _at_row(place, {error.field or "non_field_errors": [error.message]}) from error
        except DjangoValidationError as error:
            raise _at_row(place, error.message_dict) from error


def _at_row(place: int, messages: dict[str, list[str]]) -> serializers.ValidationError:
    return serializers.ValidationError([{}] * place + [messages])


class HealthView(StrictView):
    """The judged health of a pack."""

    @extend_schema(responses=HealthSerializer)
    def get(self, request: Request, code: str) -> Response:
        """Judge the pack from its log: an estimate, with its reasons. It cannot see damage."""
        report = health_of(visible_part(self.person, code, "pack"))
        return Response(HealthSerializer(_as_plain(report)).data)


def _as_plain(report: PackReport) -> dict[str, Any]:
    health = report.health
    return {
        "verdict": report.verdict,
        "reasons": report.reasons,
        "cycles": report.cycles.counted,
        "equivalent_cycles": report.cycles.equivalent,
        "cycles_are_lower_bound": report.cycles.is_lower_bound,
        "capacity_mah": health.capacity_mah if health else None,
        "end_of_life": health.end_of_life if health else None,
        "why_no_capacity": health.why_no_capacity if health else "",
        "capacity_percent": health.capacity_percent if health else None,
        "why_no_end_of_life": health.why_no_end_of_life if health else "",
        "resistance_mohm": health.resistance_mohm if health else (),
        "resistance_ratio": health.resistance_ratio if health else None,
        "current_limit_a": health.current.limit_a if health and health.current else None,
        "energy_wh": health.energy_wh if health else None,
        "left_out": health.left_out if health else (),
        "care": health.care if health else (),
        "caution": cautions.ESTIMATE,
    }
