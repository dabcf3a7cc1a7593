"""The demo's what-ifs: the small wing on six cells, and with the pool's motor."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from builds.models import Build
from builds.operations.variants import create_variant
from hangar.demo import material
from hangar.demo.people import ClubLife
from inventory.models import Part

SET_UP = ("pack_x_mm", "packs_wiring", "notes")


def make(life: ClubLife, parts: Mapping[str, Part]) -> None:
    """Make the variants; nothing of the builds changes."""
    for row in material.read("variants")["variants"]:
        _make_variant(life, parts, row)


def _make_variant(life: ClubLife, parts: Mapping[str, Part], row: Mapping[str, Any]) -> None:
    build = Build.objects.get(name=row["build"], **life.owner(row["owner"]))
    positions = {position.key: position for position in build.positions.all()}
    create_variant(
        build,
        by=life.acting_for(row["owner"]),
        name=row["name"],
        pack=parts[row["pack"]] if "pack" in row else None,
        changes=[
            {"position": positions[key], "part": parts[part]}
            for key, part in row.get("fitted", {}).items()
        ],
        **{name: row[name] for name in SET_UP if name in row},
    )
