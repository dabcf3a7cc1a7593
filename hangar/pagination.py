"""Lists in pages that cost the same at the end as at the beginning."""

import re
from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError as DjangoValidationError
from django.db import DataError
from django.db.models import QuerySet
from rest_framework.exceptions import NotFound, ValidationError
from rest_framework.pagination import Cursor, CursorPagination
from rest_framework.request import Request
from rest_framework.views import APIView

_BASE64 = re.compile("[A-Za-z0-9+/=]*")


class KeysetPagination(CursorPagination):
    """Pages by position, answered as `{next, previous, results}`.

    A view sets `page_ordering` where the primary key is not the order wanted.
    A `page_size` above the maximum gives the maximum, as AIP-158 asks; what is no positive whole
    number is refused.
    """

    page_size = 50
    page_size_query_param = "page_size"
    max_page_size = 200
    ordering = "pk"

    def get_page_size(self, request: Request) -> int:
        """Give the number of rows asked for, at most the maximum."""
        text = request.query_params.get(self.page_size_query_param)
        if text is None:
            return self.page_size
        if not (text.isascii() and text.isdigit()) or not text.strip("0"):
            raise ValidationError({self.page_size_query_param: "Write a whole number from 1."})
        return self.max_page_size if len(text) > 9 else min(int(text), self.max_page_size)

    def get_ordering(
        self,
        request: Request,  # noqa: ARG002
        queryset: QuerySet[Any],  # noqa: ARG002
        view: APIView,
    ) -> tuple[str, ...]:
        """Give the order of the view, ended by the primary key so that no row is lost."""
        wanted = getattr(view, "page_ordering", self.ordering)
        fields = (wanted,) if isinstance(wanted, str) else tuple(wanted)
        return fields if fields[-1].lstrip("-") in ("pk", "id") else (*fields, "pk")

    def decode_cursor(self, request: Request) -> Cursor | None:
        """Read the cursor that a page before has given."""
        # The decoder leaves out what is no letter of its alphabet, and would read the rest.
        if not _BASE64.fullmatch(request.query_params.get(self.cursor_query_param, "")):
            raise self._bad_cursor()
        try:
            return super().decode_cursor(request)
        except NotFound as error:
            raise self._bad_cursor() from error

    def paginate_queryset(
        self,
        queryset: QuerySet[Any] | Sequence[Any],
        request: Request,
        view: APIView | None = None,
    ) -> list[Any] | None:
        """Give one page; a cursor that fits no column of the order is refused."""
        try:
            return super().paginate_queryset(queryset, request, view)
        except (ValueError, DjangoValidationError, DataError) as error:
            raise self._bad_cursor() from error

    @staticmethod
    def _bad_cursor() -> ValidationError:
        return ValidationError({"cursor": "This cursor is not one that a list has given."})
