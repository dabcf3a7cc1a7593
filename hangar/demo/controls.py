"""The demo's control surfaces, and the throws measured on them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from builds.models import Build
from builds.operations import change_build
from builds.operations.controls import add_surface, record_throw
from hangar.demo import material
from hangar.demo.people import ClubLife


def make(life: ClubLife) -> None:
    """Link the surfaces of the aircraft and record what was measured."""
    for row in material.read("controls")["builds"]:
        build = Build.objects.get(name=row["name"])
        by = life.users[row["by"]]
        change_build(build, by=by, speed_max_m_s=row["speed_max_m_s"])
        for columns in row["surfaces"]:
            _link(life, build, row["by"], columns)


def _link(life: ClubLife, build: Build, name: str, row: Mapping[str, Any]) -> None:
    by = life.users[name]
    columns = dict(row)
    throws = columns.pop("throws", [])
    servo = build.positions.get(key=columns.pop("servo"))
    surface = add_surface(build, by=by, servo=servo, **columns)
    for throw in throws:
        record_throw(surface, by=by, **throw)
