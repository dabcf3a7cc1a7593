"""The page of the balance: packs and their places, ballast, inertia, and the scale."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from builds.balance import balance_of
from builds.drawing.pack_balance import draw_pack_balance, places_mm
from builds.figures.mass import FORGOTTEN
from builds.forms.balance import BalanceForm, WeighInForm
from builds.models import Build
from builds.operations import weighing
from builds.pack_options import packs_in_reach
from builds.pages import cautions
from builds.pages.balance_rows import ballast_rows, curve_rows, pack_place_rows, weigh_in_rows
from builds.pages.doors import build_to_change, chosen_pack, packs_on_hand, visible_build
from builds.pages.wording import Reader
from builds.snapshot import Picture, take_picture
from hangar.requests import PersonRequest
from hangar.submissions import show, submit

LEAD = ("auw_g", "cg_x_mm", "cg_min_x_mm", "cg_max_x_mm", "cg_target_x_mm", "pack_x_wanted_mm")
MARGIN = (
    "cg_percent",
    "neutral_point_mm",
    "static_margin_percent",
    "cg_suggested_min_x_mm",
    "cg_suggested_max_x_mm",
    "cg_for_margin_mm",
    "pack_x_for_margin_mm",
)
INERTIA = ("inertia_roll_kg_m2", "inertia_pitch_kg_m2", "inertia_yaw_kg_m2")
SCALE = ("weighed_difference_g", "balance_point_difference_mm")


@login_required
def balance(request: PersonRequest, pk: int) -> HttpResponse:
    """Show where each pack must sit, what ballast does, and the sum against the scale."""
    build = visible_build(request, pk)
    return _show_balance(request, build, _picture(request, build))


@login_required
@require_POST
def weigh_in_add(request: PersonRequest, pk: int) -> HttpResponse:
    """Write down what the finished aircraft weighed."""
    build = build_to_change(request, pk)
    picture = _picture(request, build)
    form = WeighInForm(
        request.POST, user=request.user, snapshot=picture.snapshot, packs=packs_on_hand(picture)
    )
    done = submit(form, lambda given: weighing.record_weigh_in(build, by=request.user, **given))
    if done is None:
        return _show_balance(request, build, picture, form)
    messages.success(request, "The weigh-in is written down; it leads over the sum of the parts.")
    return redirect("builds:balance", pk=build.pk)


def _picture(request: PersonRequest, build: Build) -> Picture:
    return take_picture(build, viewer=request.user, others=packs_in_reach(request.user))


def _show_balance(
    request: PersonRequest, build: Build, picture: Picture, weigh_in: WeighInForm | None = None
) -> HttpResponse:
    on_hand = packs_on_hand(picture)
    pack = chosen_pack(on_hand, request.GET.get("pack", ""))
    snapshot = picture.snapshot
    if pack is not None:
        snapshot = snapshot.with_pack(pack, build.pack_x_mm)
    look = BalanceForm(request.GET, snapshot=snapshot)
    sheet = balance_of(snapshot, on_hand.values(), build.pack_x_mm, look.choice())
    reader = Reader(request.user)
    figures = sheet.figures
    cg_range = sheet.cg_range
    context: dict[str, Any] = {
        "build": build,
        "snapshot": snapshot,
        "look": look,
        "sheet": sheet,
        "packs": pack_place_rows(sheet, reader),
        "cg_range": [reader.length(end) for end in cg_range] if cg_range else None,
        "lead": [reader.figure(figures[name]) for name in LEAD],
        "margin": [reader.figure(figures[name]) for name in MARGIN],
        "inertia": [reader.figure(figures[name]) for name in INERTIA],
        "scale": [reader.figure(figures[name]) for name in SCALE],
        "ballast": ballast_rows(sheet, reader),
        "shift": reader.figure(figures["cg_shift_mm"]) if sheet.choice.move else None,
        "chart": draw_pack_balance(sheet),
        "chart_places": [reader.length(place) for place in places_mm(sheet)],
        "chart_rows": curve_rows(sheet, reader),
        "forgotten": FORGOTTEN,
        "care": (cautions.ESTIMATE, cautions.PROPELLERS),
        **_weigh_ins(request, picture, weigh_in, reader),
    }
    return show(request, "builds/balance.html", context, look, context["form"])


def _weigh_ins(
    request: PersonRequest,
    picture: Picture,
    form: WeighInForm | None,
    reader: Reader,
) -> dict[str, Any]:
    snapshot = picture.snapshot
    usual = {"pack": snapshot.pack.code} if snapshot.pack else {}
    rows = weigh_in_rows(snapshot, reader)
    return {
        "form": form
        or WeighInForm(
            user=request.user, snapshot=snapshot, packs=packs_on_hand(picture), initial=usual
        ),
        "weigh_ins": rows,
        "is_stale": bool(rows) and snapshot.weigh_in is None,
    }
