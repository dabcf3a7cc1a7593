"""The demo's aircraft on the scale and on the bench."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from builds.models import Build
from builds.operations.power import record_power_reading
from builds.operations.weighing import record_weigh_in
from hangar.demo import material
from hangar.demo.people import ClubLife
from inventory.models import Part


def make(life: ClubLife, parts: Mapping[str, Part]) -> None:
    """Write down what was measured; nothing of the builds changes."""
    for row in material.read("measured")["builds"]:
        build = Build.objects.get(name=row["name"])
        by = life.users[row["by"]]
        for columns in row["power_readings"]:
            record_power_reading(build, by=by, **columns)
        for columns in row["weigh_ins"]:
            _weigh(life, build, parts, row["by"], columns)


def _weigh(
    life: ClubLife, build: Build, parts: Mapping[str, Part], name: str, row: Mapping[str, Any]
) -> None:
    columns = dict(row)
    pack = parts[columns.pop("pack")]
    record_weigh_in(build, by=life.users[name], revision=build.revision, pack=pack, **columns)
