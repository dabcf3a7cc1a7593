"""The page of what fits where: bays, slots, holes, screws and bores."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse

from builds.forms.room import RoomForm
from builds.pages import cautions
from builds.pages.doors import visible_build
from builds.pages.room_rows import place_rows
from builds.pages.wording import Reader
from builds.room import room_report
from builds.snapshot import take_snapshot
from hangar.requests import PersonRequest
from hangar.submissions import show


@login_required
def room(request: PersonRequest, pk: int) -> HttpResponse:
    """Show what fits where, and what a part or screw of other sizes would do."""
    build = visible_build(request, pk)
    snapshot = take_snapshot(build)
    look = RoomForm(request.GET, snapshot=snapshot)
    question = look.question()
    report = room_report(snapshot, question)
    reader = Reader(request.user)
    context = {
        "build": build,
        "look": look,
        "question": question,
        "places": place_rows(report.fits, reader),
        "answer": place_rows(report.answer, reader),
        "care": (cautions.ESTIMATE, cautions.PROPELLERS),
    }
    return show(request, "builds/room.html", context, look)
