"""The page on which a person names their ground gear, for all builds or for one."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect

from builds import operations
from builds.forms import GroundGearForm
from builds.models import Build
from builds.pages.doors import visible_build
from hangar.requests import PersonRequest
from hangar.submissions import show, submit


@login_required
def ground_gear(request: PersonRequest, pk: int | None = None) -> HttpResponse:
    """Name the transmitter, video receiver and charger that one uses."""
    build = None if pk is None else visible_build(request, pk)
    form = GroundGearForm(request.POST or None, user=request.user, build=build)
    if request.method == "POST" and submit(
        form, lambda given: _choose(request, form, given, build)
    ):
        messages.success(request, "Saved.")
        if build:
            return redirect("builds:build_detail", build.pk)
        return redirect("builds:ground_gear")
    return show(request, "builds/ground_gear.html", {"form": form, "build": build}, form)


@transaction.atomic
def _choose(
    request: PersonRequest, form: GroundGearForm, given: dict[str, Any], build: Build | None
) -> bool:
    for role in form.changed_data:
        if given[role] is None:
            operations.forget_ground_gear(form.chosen[role], by=request.user)
        else:
            operations.choose_ground_gear(given[role], by=request.user, build=build)
    return True
