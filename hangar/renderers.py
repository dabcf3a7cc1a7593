"""Writing JSON."""

from collections.abc import Mapping
from typing import Any

from rest_framework.renderers import JSONRenderer

DIGITS = 12


class RoundedJSONRenderer(JSONRenderer):
    """JSON whose numbers carry 12 significant digits: the rest is the dust of binary fractions."""

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """Give the bytes."""
        return super().render(rounded(data), accepted_media_type, renderer_context)


def rounded(data: Any) -> Any:
    """The data with every float in it rounded to 12 significant digits."""
    if isinstance(data, float):
        return float(f"{data:.{DIGITS}g}")
    if isinstance(data, Mapping):
        return {key: rounded(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [rounded(value) for value in data]
    return data
