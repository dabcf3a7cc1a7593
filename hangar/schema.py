"""The OpenAPI description and the page that shows it."""

from typing import Any

from drf_spectacular.contrib.knox_auth_token import KnoxTokenScheme
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularSwaggerSplitView
from rest_framework.request import Request
from rest_framework.response import Response

from hangar.errors import PROBLEM_TYPE
from hangar.middleware import POLICY_HEADER, policy

_TEXT = {"type": "string"}
_PROBLEM = {
    "type": "object",
    "description": "Problem details, RFC 9457.",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": _TEXT,
        "title": _TEXT,
        "status": {"type": "integer"},
        "detail": _TEXT,
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["pointer", "detail"],
                "properties": {"pointer": _TEXT, "detail": _TEXT},
            },
        },
    },
}


class KeyScheme(KnoxTokenScheme):
    """How a key is sent."""

    target_class = "hangar.authentication.KeyAuthentication"


_METHODS = {"get", "post", "put", "patch", "delete"}


def describe_problems(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Say of every operation that its client errors are problem details."""
    result.setdefault("components", {}).setdefault("schemas", {})["Problem"] = _PROBLEM
    answer = {
        "description": "Why it was not done.",
        "content": {PROBLEM_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    for path in result.get("paths", {}).values():
        for method, operation in path.items():
            if method in _METHODS:
                operation["responses"].setdefault("4XX", answer)
    return result


def drop_marks(result: Any, **_: Any) -> Any:
    """Take out the marks by which the generator knows choices again; they say nothing outside."""
    if isinstance(result, dict):
        result.pop("x-spec-enum-id", None)
    for inner in result.values() if isinstance(result, dict) else result:
        if isinstance(inner, dict | list):
            drop_marks(inner)
    return result


class DocsView(SpectacularSwaggerSplitView):
    """The API page; its viewer brings inline styles, but no inline script."""

    @extend_schema(exclude=True)
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Show the page, or the script that starts it."""
        response = super().get(request, *args, **kwargs)
        response[POLICY_HEADER] = policy(style_src="'self' 'unsafe-inline'")
        return response
