"""Worked cases of builders: a state of the build, and the finding that it must bring.

Every case is common practice, no source, where its line names none. Numbers are worked by hand
from the figures in the line.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

import pytest

from builds.records import BuildSnapshot, Value
from tests.builds.controls.surfaces import elevon, wing
from tests.builds.records_builder import (
    aircraft,
    judge,
    with_ground,
    with_part,
    with_place,
    without,
)


class Case(NamedTuple):
    """What was found at a bench, and what an expert says of it."""

    told: str
    build: BuildSnapshot
    rule: str
    level: str
    numbers: dict[str, Any]
    figures: dict[str, float] = {}


def fitted(key: str, **changes: Any) -> BuildSnapshot:
    """The good aircraft with another part in one place."""
    return with_part(aircraft(), key, **changes)


def placed(key: str, **changes: Any) -> BuildSnapshot:
    """The good aircraft with one place changed."""
    return with_place(aircraft(), key, **changes)


def bag(purpose: str, count: int) -> BuildSnapshot:
    """The good aircraft with a bag of that many in the place of the screws."""
    build = fitted("screws", purpose=purpose)
    return with_place(build, "screws", part=replace(build.at("screws").part, count=count))


CASES = (
    Case(
        "A camera of 20.0 mm in a slot of 21.6 mm rattles: 0.8 mm at each side (geometry).",
        with_place(fitted("camera", width_mm=20.0), "camera", width_mm=21.6),
        "fit.camera_loose_in_slot", "note", {"slot_mm": 21.6, "camera_mm": 20.0, "shim_mm": 0.8},
    ),
    Case(
        "A board of 25.5 mm on posts of 30.5 mm (geometry).",
        with_place(fitted("board", hole_pattern_mm=[25.5]), "board", hole_pattern_mm=(30.5,)),
        "fit.hole_pattern_differs", "warning", {"part_mm": (25.5,), "place_mm": (30.5,)},
    ),
    Case(
        "A servo of 12.2 mm for a pocket of 12.0 mm can be sanded in.",
        with_place(fitted("servo_left", width_mm=12.2), "servo_left", width_mm=12.0),
        "fit.part_larger_than_room", "caution", {"width_over_mm": 0.2},
    ),
    Case(
        "Motor screws of 8 mm through 3 mm of plate go 5 mm deep; 4 mm is the winding (geometry).",
        fitted("screws", length_mm=8.0),
        "fit.motor_screw_of_wrong_length", "warning", {"reach_mm": 5.0, "allowed_mm": 4.0},
    ),
    Case(
        "A spar of 5.0 mm in a bore of 5.4 mm is loose.",
        with_part(fitted("screws", purpose="spar", diameter_mm=5.0), "airframe",
                  spar_diameter_mm=5.4),
        "fit.spar_does_not_fit", "caution", {"spar_mm": 5.0, "bore_mm": 5.4},
    ),
    Case(
        "A pack of 32 mm in a bay of 32 mm has no room to swell.",
        with_part(placed("pack", height_mm=32.0, width_mm=37.0), "pack", height_mm=32.0),
        "fit.pack_without_room_to_swell", "caution", {"spare_mm": 0.0},
    ),
    Case(
        "An arm of 25 teeth was pressed on a spline of 21 (the makers' sheets).",
        fitted("servo_right", arm_spline_teeth=25),
        "joints.arm_spline_differs", "warning", {"spline_teeth": 21, "arm_spline_teeth": 25},
    ),
    Case(
        "A hatch screw of 3 mm holds by 2 mm of thread.",
        fitted("screws", purpose="hatch screws", engaged_mm=2.0, diameter_mm=3.0),
        "joints.screw_holds_by_too_little", "caution", {"engaged_mm": 2.0, "wanted_mm": 3.0},
    ),
    Case(
        "Four motor screws went in dry.",
        fitted("screws", is_locked=False),
        "joints.screw_not_locked", "caution", {"is_locked": False},
    ),
    Case(
        "The only strap is on the aircraft.",
        bag("battery strap", 1),
        "joints.retainer_without_spare", "note", {"fitted_count": 1, "spare_count": 0},
    ),
    Case(
        "A blade passes the motor pod by 3 mm: 79.2 less half of 152.4.",
        placed("propeller", axis_to_airframe_mm=79.2),
        "clearance.propeller_near_airframe", "caution", {"gap_mm": 3.0, "wanted_mm": 5.0},
    ),
    Case(
        "A propeller of 8 in on an axis 97.6 mm high digs 4 mm into the grass (geometry).",
        with_part(placed("propeller", axis_to_ground_mm=97.6), "propeller", diameter_mm=203.2),
        "clearance.propeller_near_ground", "warning", {"gap_mm": -4.0, "wanted_mm": 10.0},
    ),
    Case(
        "A video unit closed into foam gets no air.",
        placed("video", opening_cm2=0.0),
        "placing.hot_part_closed_in", "caution", {"opening_cm2": 0.0, "wanted_cm2": 1.0},
    ),
    Case(
        "The two aerials of a receiver stand at 30 degrees.",
        with_place(fitted("receiver", antenna_count=2), "receiver", aerial_angle_deg=30.0),
        "aerials.diversity_pair_parallel", "caution", {"angle_deg": 30.0, "wanted_deg": 60.0},
    ),
    Case(
        "The live end of the receiver's aerial lies 12 mm from a carbon spar.",
        placed("receiver", aerial_clearance_mm=12.0),
        "aerials.aerial_near_carbon_or_wire", "caution",
        {"clearance_mm": 12.0, "wanted_mm": 20.0},
    ),
    Case(
        "The receiver sits 70 mm from the video aerial.",
        placed("aerial", z_mm=70.0),
        "aerials.receiver_near_video_aerial", "caution", {"apart_mm": 70.0, "wanted_mm": 100.0},
    ),
    Case(
        "Video at 1220 MHz has its second harmonic in a receiver's 2440 MHz (physics).",
        with_part(fitted("receiver", band_mhz=2440.0), "video", band_mhz=1220.0),
        "aerials.video_unit_in_receiver_band", "caution",
        {"video_mhz": 1220.0, "receiver_mhz": 2440.0, "times": 2},
    ),
    Case(
        "A video unit would get power without its aerial.",
        without(aircraft(), "aerial"),
        "radio.unit_without_aerial", "warning", {},
    ),
    Case(
        "An aerial for 5.8 GHz hangs on a unit for 2.4 GHz (physics).",
        fitted("video", band_mhz=2400.0),
        "radio.aerial_for_another_band", "warning",
        {"band_min_mhz": 5600.0, "band_max_mhz": 6000.0, "band_mhz": (2400.0,)},
    ),
    Case(
        "A GPS 30 mm behind the video unit.",
        placed("gps", x_mm=72.0),
        "placing.gps_near_video_unit", "caution", {"distance_mm": 30.0, "wanted_mm": 50.0},
    ),
    Case(
        "A hatch magnet 60 mm from the compass.",
        with_part(with_place(fitted("screws", is_magnetic=True), "screws", x_mm=172.0), "gps",
                  has_compass=True),
        "placing.magnet_near_compass", "caution", {"distance_mm": 60.0, "wanted_mm": 100.0},
    ),
    Case(
        "It balances at 143 mm; 129.4 to 138.6 mm are allowed (the airframe maker's range).",
        aircraft(),
        "weight.balance_out_of_range", "warning",
        {"cg_x_mm": 143.0, "cg_min_x_mm": 129.4, "cg_max_x_mm": 138.6}, {"cg_x_mm": 143.0},
    ),
    Case(
        "640 g against a limit of 600 g.",
        aircraft(takeoff_mass_max_g=600.0),
        "weight.too_heavy", "warning", {"auw_g": 640.0, "max_g": 600.0}, {"auw_g": 640.0},
    ),
    Case(
        "A wing to learn on carries 53.0 g/dm2.",
        aircraft(role="trainer"),
        "aerodynamics.wing_loaded_beyond_role", "note",
        {"wing_loading_g_dm2": 53.0, "usual_g_dm2": 45.0}, {"wing_loading_g_dm2": 53.0},
    ),
    Case(
        "Left side heavy: 480 g, 4 mm left of the middle, half a span of 320 mm: 6 g (moments).",
        aircraft(),
        "aerodynamics.one_side_heavier", "note",
        {"tip_g": 6.0, "cg_y_mm": -4.0}, {"auw_g": 480.0, "cg_y_mm": -4.0},
    ),
    Case(
        "A throw of 60 mm from a chord of 40 mm cannot be (geometry).",
        fitted("airframe", throw_roll_mm=60.0, surface_chord_mm=40.0),
        "controls.throw_larger_than_surface", "warning", {"throw_mm": 60.0, "chord_mm": 40.0},
    ),
    Case(
        "An elevon has 1.6 mm of play on a chord of 36 mm: 2 % are 0.72 mm.",
        wing(elevon(play_mm=1.6)),
        "surfaces.too_much_play", "caution", {"play_mm": 1.6, "allowed_mm": 0.72},
    ),
    Case(
        "0.6 mm of play would do at 30 m/s; at 40 m/s 0.54 mm are the most.",
        wing(elevon(play_mm=0.6), speed_max_m_s=40.0),
        "surfaces.play_at_high_speed", "caution",
        {"play_mm": 0.6, "allowed_mm": 0.54, "speed_max_m_s": 40.0},
    ),
    Case(
        "A servo arm stands 8 degrees off square.",
        wing(elevon(arm_angle_deg=82.0)),
        "surfaces.arm_or_horn_not_square", "note", {"arm_off_deg": 8.0},
    ),
    Case(
        "A pack of 29 mm is 34 mm thick now.",
        fitted("pack", height_mm=34.0),
        "packs.pack_swollen", "warning", {"height_mm": 34.0, "rated_mm": 29.0},
    ),
    Case(
        "One cell reads 2.61 V at rest.",
        fitted("pack", cell_rest_v=[3.81, 3.8, 2.61, 3.81]),
        "cells.cell_too_low", "warning", {"lowest_v": 2.61, "least_v": 3.0},
    ),
    Case(
        "Cells stand 55 mV apart.",
        fitted("pack", cell_rest_v=[3.85, 3.795, 3.85, 3.85]),
        "cells.cells_apart", "caution", {"spread_mv": 55.0, "low_cell": 2},
    ),
    Case(
        "One cell has 1.49 times the resistance of the others.",
        fitted("pack", cell_resistance_mohm=[4.0, 5.96, 4.0, 4.0]),
        "cells.cell_of_high_resistance", "caution", {"worst_mohm": 5.96, "ratio": 1.49},
    ),
    Case(
        "77.5 % of the rated capacity are left.",
        fitted("pack", capacity_percent=77.5),
        "ageing.capacity_low", "caution", {"capacity_percent": 77.5},
    ),
    Case(
        "The resistance is 2.72 times the first.",
        fitted("pack", resistance_ratio=2.72),
        "ageing.resistance_risen", "caution", {"resistance_ratio": 2.72},
    ),
    Case(
        "1720 mAh out of a pack of 1500 mAh.",
        fitted("pack", log_contradictions=("1720 mAh out of a pack of 1500 mAh.",)),
        "ageing.log_contradicts_itself", "caution", {"contradiction_count": 1},
    ),
    Case(
        "A worn pack for a hand launch.",
        fitted("pack", health_verdict="retire"),
        "ageing.worn_pack_for_hard_duty", "warning", {"health_verdict": "retire"},
    ),
    Case(
        "Full for 41 days.",
        fitted("pack", stored_days=41, stored_high_v=4.19),
        "care.stored_full", "caution", {"stored_days": 41, "cell_v": 4.19},
    ),
    Case(
        "At 3.31 V for 97 days.",
        fitted("pack", stored_days=97, stored_low_v=3.31),
        "care.stored_empty", "caution", {"stored_days": 97, "cell_v": 3.31},
    ),
    Case(
        "2.6 A into a pack of 1.3 Ah.",
        fitted("pack", charge_current_a=2.6),
        "care.charged_too_fast", "caution", {"charge_current_a": 2.6, "most_a": 1.3},
    ),
    Case(
        "63 degrees after the flight.",
        fitted("pack", use_temperature_c=63.0),
        "care.hot_after_flight", "warning", {"temperature_c": 63.0},
    ),
    Case(
        "A charger set to 4.35 V for cells of 4.20 V.",
        with_ground(aircraft(), "charger", cell_full_v=4.35),
        "packs.charger_set_to_another_voltage", "warning", {"charger_v": 4.35, "full_v": 4.2},
    ),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.told for case in CASES])
def test_an_expert_would_say_so(case):
    (found,) = judge(case.rule, case.build, **case.figures).findings
    assert (found.level.label, dict(found.numbers)) == (
        case.level,
        {name: pytest.approx(value) if isinstance(value, float) else value
         for name, value in case.numbers.items()},
    )  # fmt: skip


# The same states, with the threshold that a club has set on the other side of the number.
@pytest.mark.parametrize(
    ("build", "limit", "value"),
    [
        (placed("pack", height_mm=30.0, width_mm=37.0), "fit.pack_without_room_to_swell"
         ".spare_mm", 0),
        (placed("gps", x_mm=72.0), "placing.gps_near_video_unit.apart_mm", 30),
        (placed("video", opening_cm2=0.5), "placing.hot_part_closed_in.opening_cm2", 0.5),
        (placed("aerial", z_mm=70.0), "aerials.receiver_near_video_aerial.apart_mm", 60),
        (placed("propeller", axis_to_airframe_mm=79.2), "clearance.propeller_near_airframe"
         ".airframe_mm", 3),
        (wing(elevon(arm_angle_deg=82.0)), "surfaces.arm_or_horn_not_square.off_deg", 10),
        (wing(elevon(arm_radius_mm=12.0)), "controls.travel_too_small.travel_percent", 40),
        (fitted("pack", capacity_percent=85.0), "ageing.capacity_low.watch_percent", 84),
        (fitted("pack", cell_rest_v=[3.85, 3.8, 3.85, 3.85]), "cells.cells_apart.watch_mv", 60),
        (fitted("pack", charge_current_a=2.6), "care.charged_too_fast.charge_c_rate", 2),
    ],
)  # fmt: skip
def test_a_club_may_set_the_threshold(build, limit, value):
    rule = limit.rpartition(".")[0]
    assert judge(rule, build).findings
    own = replace(build, rule_limits={limit: Value(value, "club")})
    assert judge(rule, own).findings == ()
