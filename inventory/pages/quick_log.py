"""The page that logs a flight in seconds, from a phone."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from hangar.requests import PersonRequest
from hangar.submissions import sent, show, submit
from inventory import operations
from inventory.forms.quick_log import QuickLogForm
from inventory.health import cautions
from inventory.models import LogEntry


@login_required
def quick_log(request: PersonRequest) -> HttpResponse:
    """Log a flight: pack, minutes, cells at rest, charge put back."""
    form = QuickLogForm(
        sent(request), user=request.user, code=request.GET.get("pack", "").replace("\x00", "")[:20]
    )
    entries = submit(form, lambda _: _log(request, form))
    if entries is not None:
        pack = form.chosen()
        what = ", ".join(str(LogEntry.Kind(entry.kind).label) for entry in entries)
        messages.success(request, f"Logged for {pack.display_name}: {what}.")
        return redirect(f"{reverse('inventory:quick_log')}?pack={pack.code}")
    context = {"form": form, "cautions": cautions}
    return show(request, "inventory/quick_log.html", context, form)


def _log(request: PersonRequest, form: QuickLogForm) -> list[Any]:
    return operations.log_flight(form.chosen(), by=request.user, **form.values())
