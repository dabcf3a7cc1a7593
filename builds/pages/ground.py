"""The page on which a person names their ground gear."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect

from builds import operations
from builds.forms import GroundGearForm
from hangar.requests import PersonRequest
from hangar.submissions import show, submit


@login_required
def ground_gear(request: PersonRequest) -> HttpResponse:
    """Name the transmitter, video receiver and charger that one uses."""
    form = GroundGearForm(request.POST or None, user=request.user)
    if request.method == "POST" and submit(form, lambda given: _choose(request, form, given)):
        messages.success(request, "Saved.")
        return redirect("builds:ground_gear")
    return show(request, "builds/ground_gear.html", {"form": form}, form)


@transaction.atomic
def _choose(request: PersonRequest, form: GroundGearForm, given: dict[str, Any]) -> bool:
    for role in form.changed_data:
        if given[role] is None:
            operations.forget_ground_gear(form.chosen[role], by=request.user)
        else:
            operations.choose_ground_gear(given[role], by=request.user)
    return True
