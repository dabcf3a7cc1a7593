"""How a page gets the part that its address names."""

from __future__ import annotations

from typing import Any

from django.http import Http404

from hangar.errors import NotAllowed
from hangar.requests import PersonRequest
from inventory.codes import CodeError, check_code
from inventory.models import Part


def visible_part(request: PersonRequest, code: str) -> Part:
    """The part of that label code with its sheet; 404 when the person may not see it."""
    return _one(Part.objects.visible_to(request.user), code)


def part_to_change(request: PersonRequest, code: str) -> Part:
    """The part of that label code; 403 when the person may see but not change it."""
    part = visible_part(request, code)
    if not may_change(request, part):
        raise NotAllowed("This part is not yours to change.")
    return part


def may_change(request: PersonRequest, part: Part) -> bool:
    """Whether the person may change the part."""
    return Part.objects.editable_by(request.user).filter(pk=part.pk).exists()


def _one(parts: Any, code: str) -> Part:
    try:
        found = parts.with_sheets().filter(code=check_code(code)).first()
    except CodeError as error:
        raise Http404(str(error)) from error
    if found is None:
        raise Http404
    return found
