"""Errors whose text a user may read, and the problem details (RFC 9457) that the API answers."""

import logging
import math
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.core.exceptions import ValidationError as DjangoValidationError
from django.db import IntegrityError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response

PROBLEM_TYPE = "application/problem+json"
_WHOLE = {"non_field_errors", "__all__"}
_log = logging.getLogger(__name__)


class UserError(Exception):
    """Something a user asked for cannot be done; the message says why, in words they may read.

    `field` names the input at fault, where there is one.
    """

    status = HTTPStatus.BAD_REQUEST

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field


class Conflict(UserError):
    """Someone else was first, or the thing is not in the state that this needs (409)."""

    status = HTTPStatus.CONFLICT


class NotAllowed(UserError):
    """The user may see this but may not do that with it (403)."""

    status = HTTPStatus.FORBIDDEN


class Missing(UserError):
    """There is no such thing, or none that this user may see (404)."""

    status = HTTPStatus.NOT_FOUND


def problem(status: int, detail: str, errors: list[dict[str, str]] | None = None) -> dict[str, Any]:
    """Give the members of a problem details object (RFC 9457, section 3.1).

    The type is about:blank, so the title is the status phrase (section 4.2.1).
    """
    body: dict[str, Any] = {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": int(status),
        "detail": detail,
    }
    return body | {"errors": errors} if errors else body


def problem_response(error: Exception, context: dict[str, Any]) -> Response | None:
    """Answer an exception raised in an API view; None leaves it to the server-error page."""
    if isinstance(error, UserError):
        return _answer_user_error(error)
    if isinstance(error, DjangoValidationError):
        return _answer_fields(HTTPStatus.BAD_REQUEST, _field_messages(error))
    if isinstance(error, IntegrityError):
        _log.warning("Refused by the database in %s: %s", context.get("view"), error)
        return _answer(
            HTTPStatus.CONFLICT, "This clashes with what is recorded already. Look again and retry."
        )
    if isinstance(error, RequestDataTooBig):
        return _answer(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "The request is too large.")
    if isinstance(error, Http404):
        error = exceptions.NotFound()
    elif isinstance(error, PermissionDenied):
        error = exceptions.PermissionDenied()
    if isinstance(error, exceptions.APIException):
        return _answer_api_exception(error)
    return None


def _answer(
    status: int, detail: str, errors: list[dict[str, str]] | None = None, **headers: str
) -> Response:
    return Response(
        problem(status, detail, errors), status=status, headers=headers, content_type=PROBLEM_TYPE
    )


def _answer_user_error(error: UserError) -> Response:
    if error.field is None:
        return _answer(error.status, error.message)
    return _answer(error.status, error.message, pointed({error.field: error.message}))


def _answer_fields(status: int, detail: Any) -> Response:
    errors = pointed(detail)
    if len(errors) == 1:
        return _answer(status, errors[0]["detail"], errors)
    return _answer(status, f"{len(errors)} values were not accepted.", errors)


def _answer_api_exception(error: exceptions.APIException) -> Response:
    if isinstance(error.detail, (dict, list)):
        return _answer_fields(error.status_code, error.detail)
    response = _answer(error.status_code, str(error.detail))
    challenge, wait = getattr(error, "auth_header", None), getattr(error, "wait", None)
    if challenge:
        response["WWW-Authenticate"] = challenge
    if wait:
        response["Retry-After"] = str(math.ceil(wait))
    return response


def _field_messages(error: DjangoValidationError) -> dict[str, list[str]] | list[str]:
    return error.message_dict if hasattr(error, "error_dict") else error.messages


def pointed(detail: Any, pointer: str = "#") -> list[dict[str, str]]:
    """Flatten nested messages to `{pointer, detail}`, the pointer as in RFC 6901, section 6."""
    if isinstance(detail, dict):
        return [
            item for key, value in detail.items() for item in pointed(value, _below(pointer, key))
        ]
    if isinstance(detail, (list, tuple)):
        return [
            item
            for place, value in enumerate(detail)
            for item in _pointed_at(value, pointer, place)
        ]
    return [{"pointer": pointer, "detail": str(detail)}]


def _pointed_at(value: Any, pointer: str, place: int) -> list[dict[str, str]]:
    # A list of texts holds the messages of one field; a list of objects follows a list sent.
    if isinstance(value, (dict, list)):
        return pointed(value, f"{pointer}/{place}")
    return pointed(value, pointer)


def _below(pointer: str, key: Any) -> str:
    if key in _WHOLE:
        return pointer
    return f"{pointer}/{str(key).replace('~', '~0').replace('/', '~1')}"
