"""A whole aircraft as plain records, with nothing wrong with it, and ways to spoil it."""

from collections import ChainMap
from dataclasses import replace

import builds.rules  # noqa: F401
from builds.figures import Figure, Unknown, figures_of
from builds.findings import book
from builds.records import BuildSnapshot, PartRecord, PositionRecord, RadioLimit, Value

WEIGHED = "weighed"
USUAL_MOHM = 6000 / 1300
"""What the figures take for a cell of 1300 mAh that nobody measured."""

SHEETS = {
    "airframe": {
        "mass_g": 177.0,
        "layout": "flying_wing",
        "dry_mass_contents": "shell, spars and hatch",
        "cg_min_x_mm": 129.4,
        "cg_max_x_mm": 138.6,
        "cg_target_x_mm": 134.0,
        "takeoff_mass_max_g": 700.0,
        "propeller_diameter_max_mm": 160.0,
        "throw_roll_mm": 14.0,
        "throw_pitch_mm": 10.0,
        "surface_chord_mm": 36.0,
        "wing_stations": [
            {"y_mm": 0.0, "leading_edge_x_mm": 60.0, "chord_mm": 190.0, "z_mm": 0.0},
            {"y_mm": 320.0, "leading_edge_x_mm": 155.0, "chord_mm": 110.0, "z_mm": 0.0},
        ],
    },
    "motor": {
        "mass_g": 33.6,
        "cells_min": 3,
        "cells_max": 6,
        "kv_rpm_v": 1900.0,
        "resistance_mohm": 60.0,
        "no_load_current_a": 1.2,
        "current_max_a": 45.0,
        "hole_pattern_mm": [16.0, 19.0],
        "screw_depth_max_mm": 4.0,
        "screw_diameter_mm": 3.0,
        "shaft_diameter_mm": 5.0,
        "propeller_fixing": "lock nut",
    },
    "speed_controller": {
        "mass_g": 18.5,
        "cells_min": 3,
        "cells_max": 6,
        "voltage_max_v": 26.0,
        "current_continuous_a": 50.0,
        "protocols": ["pulse", "digital"],
        "signal_min_v": 2.5,
        "capacitor_uf": 470.0,
        "capacitor_voltage_v": 35.0,
        "resistance_mohm": 4.0,
        "has_regulator": False,
    },
    "propeller": {
        "mass_g": 4.4,
        "diameter_mm": 152.4,
        "pitch_mm": 114.3,
        "blade_count": 2,
        "bore_mm": 5.0,
        "hand": "ccw",
        "mounting": "either",
        "speed_max_rpm": 30000.0,
    },
    "servo": {
        "mass_g": 9.6,
        "length_mm": 23.0,
        "width_mm": 12.0,
        "height_mm": 24.0,
        "torque_kgcm": 1.7,
        "speed_s_60deg": 0.1,
        "direction": "cw",
        "pulse_centre_us": 1500.0,
        "voltage_min_v": 4.8,
        "voltage_max_v": 6.0,
        "current_working_ma": 250.0,
        "current_stall_ma": 900.0,
        "frame_rate_max_hz": 333.0,
        "signal_min_v": 2.5,
        "lead_length_mm": 250.0,
        "spline_teeth": 21,
        "arm_spline_teeth": 21,
    },
    "receiver": {
        "mass_g": 3.1,
        "link_family": "K",
        "link_version": 3,
        "band_mhz": 2400.0,
        "channel_count": 12,
        "output_protocols": ["serial"],
        "is_output_inverted": False,
        "signal_v": 3.3,
        "voltage_min_v": 4.5,
        "voltage_max_v": 8.4,
        "current_ma": 100.0,
    },
    "flight_controller": {
        "mass_g": 24.0,
        "voltage_min_v": 7.0,
        "voltage_max_v": 30.0,
        "sense_voltage_max_v": 36.0,
        "current_ma": 150.0,
        "rail_5v_a": 2.0,
        "servo_rail_v": 5.0,
        "servo_rail_a": 4.0,
        "servo_rail_peak_a": 6.0,
        "serial_port_count": 4,
        "accepts_inverted": True,
        "input_protocols": ["serial", "pulse train"],
        "motor_protocols": ["pulse", "digital"],
        "timer_groups": [[1, 2], [3, 4, 5], [6]],
        "motor_outputs": [[6]],
        "signal_v": 3.3,
        "signal_max_v": 5.5,
        "gps_messages": ["nmea-0183", "binary"],
        "bus_count": 1,
        "has_compass": False,
        "current_sensor_max_a": 120.0,
        "current_sensor_mv_a": 40.0,
        "overlay": "analogue",
    },
    "gps": {
        "mass_g": 6.6,
        "baud_hz": 115200.0,
        "messages": ["binary"],
        "has_compass": False,
        "voltage_min_v": 3.3,
        "voltage_max_v": 5.5,
        "current_ma": 40.0,
    },
    "camera": {
        "mass_g": 8.2,
        "width_mm": 20.0,
        "video_system": "A",
        "video_standard": "625/50",
        "lead_length_mm": 150.0,
        "plug": "three pins",
        "hardware_revision": "2",
        "voltage_min_v": 5.0,
        "voltage_max_v": 26.0,
        "current_ma": 120.0,
    },
    "video_unit": {
        "mass_g": 15.8,
        "video_system": "A",
        "band_mhz": 5800.0,
        "power_mw": 25.0,
        "voltage_min_v": 7.0,
        "voltage_max_v": 26.0,
        "current_ma": 300.0,
        "control_bus": "serial",
        "hardware_revision": "3",
        "antenna_connector": "snap",
        "antenna_gender": "socket",
    },
    "antenna": {
        "mass_g": 3.6,
        "band_min_mhz": 5600.0,
        "band_max_mhz": 6000.0,
        "gain_dbi": 1.0,
        "polarisation": "right",
        "connector": "snap",
        "connector_gender": "plug",
    },
    "lead": {
        "mass_g": 24.0,
        "gauge_awg": 12.0,
        "loop_length_mm": 300.0,
        "plug_a": "T60",
        "plug_a_gender": "plug",
        "plug_polarity": "usual",
        "current_rating_a": 60.0,
    },
    "hardware": {
        "mass_g": 6.2,
        "purpose": "motor screws",
        "is_locked": True,
        "length_mm": 6.0,
        "diameter_mm": 3.0,
        "is_magnetic": False,
    },
    "regulator": {
        "mass_g": 4.8,
        "voltage_in_min_v": 7.0,
        "voltage_in_max_v": 28.0,
        "voltage_out_v": 9.0,
        "dropout_v": 0.5,
        "current_continuous_a": 2.0,
        "current_peak_a": 3.0,
        "topology": "switching",
    },
    "pack": {
        "mass_g": 158.0,
        "chemistry": "lipo",
        "cell_count": 4,
        "capacity_mah": 1300.0,
        "cell_full_v": 4.2,
        "continuous_c_rate": 75.0,
        "length_mm": 75.0,
        "width_mm": 34.0,
        "height_mm": 29.0,
        "plug": "T60",
        "plug_gender": "socket",
        "plug_polarity": "usual",
        "plug_rating_a": 60.0,
        "cell_resistance_mohm": [USUAL_MOHM] * 4,
        "health_verdict": "fit",
        "capacity_percent": 97.0,
        "resistance_ratio": 1.05,
        "cell_rest_v": [3.85, 3.84, 3.85, 3.85],
    },
    "transmitter": {"link_family": "K", "link_version": 3, "band_mhz": 2400.0},
    "video_receiver": {"video_system": "A", "polarisation": "right"},
    "charger": {"chemistries": ["lipo", "lipo_hv"], "cells_max": 6},
}
NAMES = {
    "motor": "Ostrelka 2207",
    "speed_controller": "Ostrelka 50",
    "servo": "Fennarick F9M",
    "flight_controller": "Pellowick W3",
    "video_unit": "Corrimuir A25",
    "camera": "Corrimuir A19",
    "pack": "Dunmarrow 4×1300",
}
PLACES = {
    "airframe": {"kind": "airframe", "x_mm": 172.0},
    "motor": {
        "kind": "motor",
        "x_mm": 258.0,
        "hole_pattern_mm": (16.0, 19.0),
        "plate_mm": 3.0,
        "output": 6,
        "turning": "ccw",
    },
    "controller": {
        "kind": "speed_controller",
        "x_mm": 190.0,
        "supply": "pack",
        "output": 6,
        "opening_cm2": 4.0,
    },
    "propeller": {"kind": "propeller", "x_mm": 276.0},
    "servo_left": {"kind": "servo", "output": 1},
    "servo_right": {"kind": "servo", "output": 2},
    "receiver": {
        "kind": "receiver",
        "x_mm": 150.0,
        "supply": "board_5v",
        "serial_port": 1,
        "aerial_clearance_mm": 30.0,
    },
    "board": {"kind": "flight_controller", "x_mm": 128.0, "supply": "pack"},
    "gps": {
        "kind": "gps",
        "x_mm": 112.0,
        "supply": "board_5v",
        "serial_port": 2,
        "has_sky_view": True,
    },
    "camera": {
        "kind": "camera",
        "x_mm": 16.0,
        "width_mm": 20.1,
        "supply": "pack",
        "route_mm": 130.0,
    },
    "video": {
        "kind": "video_unit",
        "x_mm": 42.0,
        "supply": "pack",
        "regulator_key": "regulator",
        "serial_port": 3,
        "opening_cm2": 4.0,
    },
    "regulator": {"kind": "regulator", "x_mm": 60.0, "supply": "pack", "is_required": False},
    "aerial": {"kind": "antenna", "x_mm": 150.0, "z_mm": 105.0, "aerial_clearance_mm": 40.0},
    "lead": {"kind": "lead", "x_mm": 122.0},
    "screws": {"kind": "hardware", "x_mm": 215.0},
    "pack": {
        "kind": "pack",
        "x_mm": 66.0,
        "x_min_mm": 58.0,
        "x_max_mm": 78.0,
        "length_mm": 80.0,
        "width_mm": 38.0,
        "height_mm": 36.0,
    },
}
SERVO_POCKET = {
    "x_mm": 196.0,
    "length_mm": 23.2,
    "width_mm": 12.2,
    "height_mm": 30.0,
    "supply": "servo_rail",
    "route_mm": 180.0,
}


def part(kind, *, id=1, name=None, condition="good", out_of_service="", rated=None, **changes):
    """One part with all the values of its sheet; a value of None takes it away."""
    bare = {**SHEETS[kind], **changes}
    values = {
        key: value if isinstance(value, Value) else Value(value, _source(kind, key))
        for key, value in bare.items()
        if value is not None
    }
    true_kind = kind if kind not in ("transmitter", "video_receiver", "charger") else "ground_gear"
    return PartRecord(
        id=id,
        code=f"P{id}",
        kind=true_kind,
        name=name or NAMES.get(kind, kind.replace("_", " ")),
        condition=condition,
        out_of_service=out_of_service,
        values=values,
        rated={key: Value(value) for key, value in (rated or SHEETS[kind]).items()},
    )


def _source(kind, key):
    if key == "mass_g":
        return WEIGHED
    return "measured" if (kind, key) == ("pack", "height_mm") else "sheet"


def aircraft(**changes):
    """A flying wing with nothing wrong; `changes` are columns of the build."""
    positions = []
    for number, (key, shape) in enumerate(PLACES.items(), start=1):
        pocket = SERVO_POCKET if shape["kind"] == "servo" else {}
        fitted = None if key == "regulator" else part(shape["kind"], id=number)
        name = key.replace("_", " ").capitalize()
        positions.append(
            PositionRecord(
                id=number,
                key=key,
                name=name,
                part=fitted,
                **{"y_mm": 0.0, "z_mm": 0.0, **pocket, **shape},
            )
        )
    build = BuildSnapshot(
        id=1,
        name="Wing",
        positions=tuple(positions),
        ground={role: part(role) for role in ("transmitter", "video_receiver", "charger")},
        radio_limits=(
            RadioLimit(863.0, 870.0, True),
            RadioLimit(902.0, 928.0, False),
            RadioLimit(2400.0, 2483.5, True),
            RadioLimit(5725.0, 5875.0, True, 40.0),
        ),
        motor_signal="digital",
        servo_rate_hz=50.0,
        planned_flight_s=240.0,
        timer_s=240.0,
        cell_alarm_v=3.5,
        current_scale_mv_a=40.0,
        gps_baud_hz=115200.0,
        overlay_standard="auto",
        is_usb_reachable=True,
        role="sport",
        is_hand_launched=True,
        usual_cell_count=4,
        usual_drive=(2, 4),
    )
    return replace(build, **changes)


def with_part(build, key, **changes):
    """The build with another part in one place: the usual one of its kind, changed."""
    place = build.at(key)
    return build.with_part(place.id, part(place.kind, id=place.id, **changes))


def with_place(build, key, **changes):
    """The build with one place changed."""
    return replace(
        build,
        positions=tuple(
            replace(place, **changes) if place.key == key else place for place in build.positions
        ),
    )


def without(build, key):
    """The build with nothing in one place."""
    return build.with_part(build.at(key).id, None)


def with_ground(build, role, **changes):
    """The build with other ground gear in one role."""
    return replace(build, ground={**build.ground, role: part(role, **changes)})


def figure(name, value, *, low=None, high=None, is_lower_bound=False, inputs=()):
    """A calculated figure of a given value."""
    return Figure(name, value, 0.0, low, high, "", inputs, "given", is_lower_bound=is_lower_bound)


def judge(rule_id, build, **figures):
    """What one rule says of a build; figures given stand in for the calculated ones."""
    given = {
        name: value if isinstance(value, Figure | Unknown) else figure(name, value)
        for name, value in figures.items()
    }
    return book.judge(build, ChainMap(given, figures_of(build)), only=[rule_id])


def levels(rule_id, build, **figures):
    """Level and place of each finding of one rule."""
    found = judge(rule_id, build, **figures).findings
    return [(finding.level.label, finding.position) for finding in found]


def missing(rule_id, build, **figures):
    """What one rule lacks, over all its subjects."""
    gaps = judge(rule_id, build, **figures).not_judged
    return [what for gap in gaps for what in gap.missing]


def numbers(rule_id, build, **figures):
    """The numbers of the only finding of one rule."""
    (found,) = judge(rule_id, build, **figures).findings
    return dict(found.numbers)
