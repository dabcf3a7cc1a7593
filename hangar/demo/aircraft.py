"""The demo's aircraft, and the ground gear they are flown with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from builds.models import Build
from builds.operations import change_build, choose_ground_gear, create_build, fit_part
from hangar.demo import material
from hangar.demo.people import ClubLife
from inventory.models import Part

SET_UP = (
    "motor_signal",
    "servo_rate_hz",
    "planned_flight_s",
    "timer_s",
    "voltage_alarm_v",
    "cell_alarm_v",
    "current_scale_mv_a",
    "gps_baud_hz",
    "overlay_standard",
    "is_usb_reachable",
    "role",
    "is_hand_launched",
    "notes",
)
GROUND_GEAR = {"builder": ("GG-01", "GG-02", "GG-04"), "keeper": ("GG-11", "GG-12", "GG-14")}
GROUND_GEAR_OF = {"A2 Tarrow 900": "GG-03", "A4 Cobnut 5": "GG-03"}
"""Builds flown with another video receiver than their owner's usual one."""


def make(life: ClubLife, parts: Mapping[str, Part]) -> None:
    """Make the builds with all that is fitted, and choose the ground gear."""
    rows = material.read("builds")["builds"]
    builds = {row["name"]: _make_build(life, parts, row) for row in rows}
    for name, codes in GROUND_GEAR.items():
        for code in codes:
            choose_ground_gear(parts[code], by=life.users[name])
    for name, code in GROUND_GEAR_OF.items():
        choose_ground_gear(parts[code], by=life.users["builder"], build=builds[name])


def _make_build(life: ClubLife, parts: Mapping[str, Part], row: Mapping[str, Any]) -> Build:
    by = life.acting_for(row["owner"])
    build = create_build(
        name=row["name"],
        by=by,
        airframe=parts[row["airframe"]],
        **{name: row[name] for name in SET_UP if name in row},
        **life.owner(row["owner"]),
    )
    positions = {position.key: position for position in build.positions.all()}
    for key, part_id in row["fitted"].items():
        part = parts[part_id]
        fit_part(positions[key], part, by=by, quantity=part.count)
    if "pack" in row:
        change_build(build, by=by, pack=parts[row["pack"]], pack_x_mm=row["pack_x_mm"])
    return build
