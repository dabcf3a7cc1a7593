"""Reading request bodies within bounds."""

import json
import re
from collections.abc import Mapping
from http import HTTPStatus
from typing import IO, Any

from django.conf import settings
from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import BaseParser, get_encoding  # type: ignore[attr-defined]

MAX_DEPTH = 32
# A string is taken in one bite, closed or not, so that the scan stays linear in the length.
_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*+"?|[\[\]{}]', re.DOTALL)

_SURROGATE = re.compile(r"\\u[dD][89a-fA-F]")


class BodyTooLarge(APIException):
    """The body is longer than the server reads (413)."""

    status_code = HTTPStatus.REQUEST_ENTITY_TOO_LARGE
    default_detail = "The body is too large."


class BoundedJSONParser(BaseParser):
    """JSON (RFC 8259) with a bound on length and on depth, and no NaN or Infinity."""

    media_type = "application/json"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,  # noqa: ARG002
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Read one JSON value.

        Raises ParseError for what is no JSON or nests too deep, BodyTooLarge for too long a body.
        """
        text = _read_text(stream, get_encoding(parser_context or {}))
        if depth_of(text) > MAX_DEPTH:
            raise ParseError(f"The JSON nests deeper than {MAX_DEPTH} levels.")
        try:
            value = json.loads(text, parse_constant=_refuse_constant)
        except ValueError as error:
            raise ParseError(f"The body is not valid JSON: {error}") from error
        if _SURROGATE.search(text):
            _refuse_half_characters(value)
        return value


def depth_of(text: str) -> int:
    """Count how deep the brackets and braces of a JSON text nest, outside its strings."""
    depth = deepest = 0
    for match in _TOKEN.finditer(text):
        if match[0] in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif match[0] in "]}":
            depth -= 1
    return deepest


def _read_text(stream: IO[Any], encoding: str) -> str:
    limit = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    body = stream.read(limit + 1)
    if len(body) > limit:
        raise BodyTooLarge(f"The body is longer than {limit} bytes.")
    try:
        return body.decode(encoding)
    except UnicodeError as error:
        raise ParseError(f"The body is not {encoding} text.") from error


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not a JSON number")


def _refuse_half_characters(value: Any) -> None:
    # RFC 7493, section 2.1: a surrogate without its pair is no text, and no database keeps it.
    try:
        json.dumps(value, ensure_ascii=False).encode()
    except UnicodeEncodeError as error:
        raise ParseError("The body holds half of a character: a surrogate alone.") from error
