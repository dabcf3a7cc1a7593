"""The page of the power: operating points, ratings, the flight, readings, wiring."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from builds.drawing.power import draw_current, draw_endurance, draw_thrust
from builds.forms.power import FlightForm, PackRunningForm, PowerReadingForm
from builds.models import Build
from builds.operations import change_build
from builds.operations.power import record_power_reading
from builds.pack_options import packs_in_reach
from builds.pages import cautions
from builds.pages.doors import build_to_change, pack_of, visible_build
from builds.pages.power_rows import (
    duty_rows,
    group_rows,
    minute_rows,
    point_rows,
    rating_rows,
    reading_rows,
    settled_rows,
)
from builds.pages.wording import Reader
from builds.powering import power_report
from builds.snapshot import take_snapshot
from hangar.requests import PersonRequest
from hangar.submissions import show, submit


@login_required
def power(request: PersonRequest, pk: int) -> HttpResponse:
    """Show what the drive draws and gives, how long a charge lasts, and what the wires lose."""
    return _show_power(request, visible_build(request, pk))


@login_required
@require_POST
def power_reading_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Write down a reading on the bench."""
    build = build_to_change(request, pk)
    form = PowerReadingForm(request.POST)
    done = submit(form, lambda given: record_power_reading(build, by=request.user, **given))
    if done is None:
        return _show_power(request, build, form)
    messages.success(request, "The reading is written down; the figures rest on it now.")
    return redirect("builds:power", pk=build.pk)


@login_required
@require_POST
def power_flight(request: PersonRequest, pk: int) -> HttpResponse:
    """Change the flight that the endurance is worked out for."""
    build = build_to_change(request, pk)
    form = FlightForm(request.POST, instance=build, auto_id="flight_%s")
    done = submit(form, lambda _: change_build(build, by=request.user, **form.changes()))
    if done is None:
        return _show_power(request, build, flight_form=form)
    messages.success(request, "Saved: the endurance is worked out for this flight.")
    return redirect("builds:power", pk=build.pk)


def _show_power(
    request: PersonRequest,
    build: Build,
    form: PowerReadingForm | None = None,
    flight_form: FlightForm | None = None,
) -> HttpResponse:
    packs = list(packs_in_reach(request.user))
    look = PackRunningForm(request.GET, packs=packs, auto_id="look_%s")
    snapshot = take_snapshot(
        build, viewer=request.user, pack=pack_of(packs, request.GET.get("pack", ""))
    )
    report = power_report(look.in_air(snapshot), **look.running())
    reader = Reader(request.user)
    context: dict[str, Any] = {
        "build": build,
        "snapshot": snapshot,
        "look": look,
        "points": point_rows(report, reader),
        "ratings": rating_rows(report, reader),
        "flight": [reader.figure(figure) for figure in report.flight.values()],
        "leads": group_rows(report.leads, reader),
        "rails": group_rows(report.rails, reader),
        "thrust_chart": draw_thrust(report),
        "current_chart": draw_current(report),
        "duty_rows": duty_rows(report, reader),
        "endurance_chart": draw_endurance(report),
        "minute_rows": minute_rows(report, reader),
        "readings": reading_rows(report, reader),
        "settled": settled_rows(report, reader),
        "form": form or PowerReadingForm(),
        "flight_form": flight_form or FlightForm(instance=build, auto_id="flight_%s"),
        "care": (cautions.PROPELLERS, cautions.ESTIMATE),
    }
    forms = (look, context["form"], context["flight_form"])
    return show(request, "builds/power.html", context, *forms)
