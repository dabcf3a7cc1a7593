"""Answers to errors outside a view: a page for people, problem details below /api/."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views import defaults
from django.views.csrf import csrf_failure as csrf_failure_page

from hangar.errors import PROBLEM_TYPE, problem


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer a request that cannot be read (400)."""
    if _is_api(request):
        return _problem(HTTPStatus.BAD_REQUEST, "The request cannot be read.")
    return defaults.bad_request(request, exception)


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer a request for something not allowed (403)."""
    if _is_api(request):
        return _problem(HTTPStatus.FORBIDDEN, "You may not do this.")
    return defaults.permission_denied(request, exception)


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer an address that leads nowhere (404)."""
    if _is_api(request):
        return _problem(HTTPStatus.NOT_FOUND, "There is nothing at this address.")
    return defaults.page_not_found(request, exception)


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer a fault of our own (500); its cause goes to the log, never to the user."""
    if _is_api(request):
        return _problem(
            HTTPStatus.INTERNAL_SERVER_ERROR, "The server failed at this. The fault is in its log."
        )
    return defaults.server_error(request)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form sent without its token (403), with the page 403_csrf.html."""
    if _is_api(request):
        return _problem(HTTPStatus.FORBIDDEN, reason or "The request carries no valid CSRF token.")
    return csrf_failure_page(request, reason=reason)


def _is_api(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def _problem(status: int, detail: str) -> HttpResponse:
    return JsonResponse(problem(status, detail), status=status, content_type=PROBLEM_TYPE)
