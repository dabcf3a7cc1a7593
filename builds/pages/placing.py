"""The page of the placing: compass, radio links and aerials."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.utils import timezone

from builds.figures.results import Labelled
from builds.flying_field import field_of
from builds.forms.placing import PlacingForm
from builds.pages import cautions
from builds.pages.doors import visible_build
from builds.pages.power_rows import group_rows
from builds.pages.wording import Reader, rounded
from builds.placing import placing_report
from builds.snapshot import take_snapshot
from hangar.requests import PersonRequest
from hangar.submissions import show

TENTHS = 1


@login_required
def placing(request: PersonRequest, pk: int) -> HttpResponse:
    """Show what the places of the parts do to the compass and to the radio."""
    build = visible_build(request, pk)
    look = PlacingForm(request.GET)
    asked = look.asked(field_of(build, timezone.localdate()))
    report = placing_report(take_snapshot(build, viewer=request.user), **asked)
    reader = Reader(request.user)
    context = {
        "build": build,
        "look": look,
        "asked": asked,
        "compasses": group_rows(report.compasses, reader),
        "links": group_rows(tuple(_to_a_tenth(one) for one in report.links), reader),
        "aerials": group_rows(report.aerials, reader),
        "care": (cautions.RADIO, cautions.ESTIMATE),
    }
    return show(request, "builds/placing.html", context, look)


def _to_a_tenth(link: Labelled) -> Labelled:
    return link._replace(figure=rounded(link.figure, TENTHS))
