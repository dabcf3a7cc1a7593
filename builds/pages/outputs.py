"""The page of the flight controller's outputs: the present map, its faults and a better one."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect

from builds.engineering.outputs import NoMap
from builds.forms.controls import OutputsForm
from builds.operations.controls import accept_outputs
from builds.output_map import outputs_of
from builds.pages import cautions
from builds.pages.doors import build_to_change, visible_build
from builds.snapshot import take_snapshot
from hangar.requests import PersonRequest
from hangar.submissions import show, submit


@login_required
def outputs(request: PersonRequest, pk: int) -> HttpResponse:
    """Show which motor and servo is on which output, and take a better map."""
    is_sent = request.method == "POST"
    build = build_to_change(request, pk) if is_sent else visible_build(request, pk)
    snapshot = take_snapshot(build)
    given = request.POST if is_sent else request.GET
    found = outputs_of(snapshot, given.getlist("fixed"))
    form = OutputsForm(
        request.POST if is_sent else None,
        outputs=found,
        initial={"fixed": found.fixed, "revision": build.revision},
    )
    if is_sent:
        changed = submit(form, lambda read: accept_outputs(build, by=request.user, **read))
        if changed:
            messages.success(request, "Written down. Now set the flight controller alike.")
            return redirect("builds:outputs", pk=build.pk)
    context = {
        "build": build,
        "found": found,
        "form": form,
        "rows": [(one, found.map.get(one.key)) for one in found.driven],
        "no_map": found.proposal if isinstance(found.proposal, NoMap) else None,
        "servo_rate_hz": build.servo_rate_hz,
        "care": (cautions.PROPELLERS, cautions.CONTROLS, cautions.ESTIMATE),
    }
    return show(request, "builds/outputs.html", context, form)
