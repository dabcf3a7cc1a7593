"""The log of one pack."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from hangar.errors import NotAllowed
from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, sent, show, submit
from inventory import operations
from inventory.forms.packs import COLUMNS, LogForm, values_to_correct
from inventory.health import cautions
from inventory.models import LogEntry, Part
from inventory.pages.doors import visible_part
from inventory.stored_health import health_of

LOG_ROWS = 30


@login_required
def pack_log(request: PersonRequest, code: str) -> HttpResponse:
    """Show a pack's log, and add an entry or correct one by a new entry."""
    pack = visible_part(request, code)
    if pack.kind != "pack":
        raise Http404
    earlier = _entry_to_correct(request, pack)
    kind = earlier.kind if earlier else request.GET.get("kind", "use")
    if kind not in COLUMNS:
        raise Http404
    may_log = Part.objects.loggable_by(request.user).filter(pk=pack.pk).exists()
    if request.method == "POST" and not may_log:
        raise NotAllowed("The log is kept by the pack's owner or keeper, and by who has it now.")
    form = LogForm(
        sent(request),
        kind=kind,
        initial=values_to_correct(earlier) if earlier else None,
    )
    if _log(request, pack, form, earlier):
        messages.success(request, "Logged.")
        return redirect("inventory:pack_log", code=pack.code)
    entries = pack.log.select_related("by", "corrected_by", "corrects", "log_file").defer(
        "log_file__state", "log_file__problems", "log_file__recipe", "log_file__headers"
    )
    context = {
        "pack": pack,
        "form": form,
        "may_log": may_log,
        "kind": kind,
        "kinds": LogEntry.Kind.choices,
        "earlier": earlier,
        "page": page_of(request, entries, LOG_ROWS),
        "report": health_of(pack),
        "query": query_without_page(request),
        "cautions": cautions,
    }
    return show(request, "inventory/pack_log.html", context, form)


def _log(request: PersonRequest, pack: Part, form: LogForm, earlier: LogEntry | None) -> Any:
    return submit(
        form,
        lambda _: operations.add_log_entry(
            pack, by=request.user, corrects=earlier, **form.values()
        ),
    )


def _entry_to_correct(request: PersonRequest, pack: Part) -> LogEntry | None:
    text = request.GET.get("corrects")
    if not text:
        return None
    try:
        wanted = UUID(text)
    except ValueError as error:
        raise Http404 from error
    return get_object_or_404(pack.log.standing(), pk=wanted)
