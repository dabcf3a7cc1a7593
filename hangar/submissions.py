"""From a form that a person sent to one operation, and back with what was wrong."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from http import HTTPStatus
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import render

from hangar.errors import PROBLEM_TYPE, UserError, pointed, problem

Done = TypeVar("Done")
ROWS = 50
PAGES_MAX = 10_000


def sent(request: HttpRequest) -> QueryDict | None:
    """What a form sent, or None when the page is only asked for."""
    return request.POST if request.method == "POST" else None


def submit(form: BaseForm, operation: Callable[[dict[str, Any]], Done]) -> Done | None:
    """Run the operation on what a valid form read; what it refuses is told at the form.

    Answers what the operation gave, or None when the form has errors.
    """
    if not form.is_valid():
        return None
    try:
        return operation(form.cleaned_data)
    except UserError as error:
        form.add_error(error.field if error.field in form.fields else None, error.message)
    except ValidationError as error:
        _add_errors(form, error)
    return None


def _add_errors(form: BaseForm, error: ValidationError) -> None:
    if not hasattr(error, "error_dict"):
        form.add_error(None, error.messages)
        return
    for name, messages in error.message_dict.items():
        form.add_error(name if name in form.fields else None, messages)


def show(
    request: HttpRequest, template: str, context: dict[str, Any], *forms: BaseForm
) -> HttpResponse:
    """Answer a page; with 400 when one of its forms was sent and not accepted.

    A program that does not read HTML gets a problem document that names the fields instead.
    """
    refused = [form for form in forms if form.is_bound and form.errors]
    if not refused:
        return render(request, template, context)
    if request.accepts("text/html"):
        return render(request, template, context, status=HTTPStatus.BAD_REQUEST)
    errors = [error for form in refused for error in pointed(dict(form.errors))]
    body = problem(HTTPStatus.BAD_REQUEST, "The form was not accepted.", errors)
    return JsonResponse(body, status=HTTPStatus.BAD_REQUEST, content_type=PROBLEM_TYPE)


def page_of(
    request: HttpRequest, rows: QuerySet[Any] | Sequence[Any], size: int = ROWS
) -> Page[Any]:
    """One page of a list; a number that is none, or too high, gives the nearest page."""
    text = request.GET.get("page", "1")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 1
    return Paginator(rows, size).get_page(min(number, PAGES_MAX))


def query_without_page(request: HttpRequest) -> str:
    """The rest of the address, for links to other pages of the same list."""
    query = request.GET.copy()
    query.pop("page", None)
    return f"{query.urlencode()}&" if query else ""
