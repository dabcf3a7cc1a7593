"""What is added to every answer, and what becomes of an error that no page caught."""

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse
from django.template import TemplateDoesNotExist, loader

from hangar.errors import Missing, UserError

_POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data: blob:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "manifest-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}

POLICY_HEADER = "Content-Security-Policy"


def policy(**changes: str) -> str:
    """Give the content security policy as header text; `style_src="'self' x"` changes one part."""
    parts = _POLICY | {name.replace("_", "-"): value for name, value in changes.items()}
    return "; ".join(f"{name} {value}" for name, value in parts.items())


class ContentSecurityPolicyMiddleware:
    """Forbid inline script and foreign hosts; a view may set a policy of its own."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Add the policy to the answer."""
        response = self.get_response(request)
        response.headers.setdefault(POLICY_HEADER, policy())
        return response


class UserErrorMiddleware:
    """Show the text of a UserError that a page let through, instead of a server error."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Answer a UserError with its page; leave every other exception alone."""
        if not isinstance(error, UserError):
            return None
        if isinstance(error, Missing):
            raise Http404(error.message)
        names = [f"{error.status}.html", "400.html"]
        try:
            template = loader.select_template(names)
        except TemplateDoesNotExist:
            return HttpResponse(error.message, status=error.status, content_type="text/plain")
        return HttpResponse(
            template.render({"message": error.message}, request), status=error.status
        )
