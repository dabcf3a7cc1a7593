"""Worked cases of power, signals, ports and video: a build, and what an expert says of it.

Each starts from the aircraft without a fault, with parts, places, set-up or calculated figures
changed. Sources: `PRACTICE` where the case is arithmetic on limits that nobody published.
"""

from dataclasses import dataclass, field
from typing import Any

PRACTICE = "common practice, no source"
OHM = "Ohm's law"
COPPER = "IEC 60028 (copper) and ASTM B258 (gauge)"
BUS = "NXP UM10204, 3.1.10"
VIDEO = "ITU-R BT.1700"


@dataclass(frozen=True)
class WorkedCase:
    """What is changed in which place, and the one finding expected; level `None`: silence."""

    name: str
    rule: str
    level: str | None
    numbers: dict[str, Any] = field(default_factory=dict)
    parts: dict[str, dict[str, Any]] = field(default_factory=dict)
    places: dict[str, dict[str, Any]] = field(default_factory=dict)
    build: dict[str, Any] = field(default_factory=dict)
    figures: dict[str, float] = field(default_factory=dict)
    source: str = PRACTICE


CASES = (
    WorkedCase(
        "six cells full, 25.2 V, on a video unit for 17.0 V",
        "electrical.pack_voltage_too_high",
        "warning",
        {"full_v": 25.2, "max_v": 17.0},
        parts={"pack": {"cell_count": 6}, "video": {"voltage_max_v": 17.0}},
    ),
    WorkedCase(
        "four cells full, 16.8 of 17.0 V, leave 1.2 %",
        "electrical.pack_voltage_too_high",
        "caution",
        {"full_v": 16.8, "max_v": 17.0},
        parts={"video": {"voltage_max_v": 17.0}},
    ),
    WorkedCase(
        "three cells at landing, 9.9 V, for a regulator of 9 V with 1.2 V dropout",
        "electrical.too_little_voltage_at_landing",
        "caution",
        {"landing_v": 9.9, "min_v": 10.2},
        parts={
            "pack": {"cell_count": 3},
            "regulator": {"voltage_in_min_v": None, "dropout_v": 1.2},
        },
    ),
    WorkedCase(
        "six cells on a speed controller for two to four",
        "electrical.wrong_cell_count",
        "warning",
        {"cell_count": 6, "cells_min": 2, "cells_max": 4},
        parts={"pack": {"cell_count": 6}, "controller": {"cells_min": 2, "cells_max": 4}},
    ),
    WorkedCase(
        "61.9 A into a speed controller for 40 A",
        "power.motor_current_above_controller_rating",
        "warning",
        {"current_a": 61.9, "rating_a": 40.0},
        parts={"controller": {"current_continuous_a": 40.0}},
        figures={"motor_current_max_a": 61.9},
    ),
    WorkedCase(
        "33.8 A into a speed controller for 40 A, a margin of 1.18",
        "power.motor_current_above_controller_rating",
        "caution",
        {"margin": 1.183},
        parts={"controller": {"current_continuous_a": 40.0}},
        figures={"motor_current_max_a": 33.8},
    ),
    WorkedCase(
        "92.8 A through a motor for 32 A",
        "power.motor_overloaded",
        "warning",
        {"current_a": 92.8, "max_a": 32.0},
        parts={"motor": {"current_max_a": 32.0}},
        figures={"motor_current_max_a": 92.8},
    ),
    WorkedCase(
        "1363 W into a motor for 900 W",
        "power.motor_overloaded",
        "warning",
        {"power_w": 1363.0, "max_w": 900.0},
        parts={"motor": {"power_max_w": 900.0}},
        figures={"motor_current_max_a": 40.0, "power_max_w": 1363.0},
    ),
    WorkedCase(
        "37 A from a lithium-ion pack for 20 A, 9.3C of 5C",
        "power.pack_current_too_high",
        "warning",
        {"current_a": 37.0, "rating_a": 20.0},
        parts={"pack": {"capacity_mah": 4000.0, "continuous_c_rate": 5.0}},
        figures={"pack_current_each_max_a": 37.0},
    ),
    WorkedCase(
        "gauge 18, 0.6 m there and back, 34 A: 0.43 V and 14.5 W",
        "leads.main_lead_overloaded",
        "caution",
        {"drop_v": 0.427, "heat_w": 14.53},
        parts={"lead": {"gauge_awg": 18.0, "loop_length_mm": 600.0}, "pack": {"cell_count": 3}},
        figures={"current_max_a": 34.0},
        source=f"{COPPER}; {OHM}",
    ),
    WorkedCase(
        "34 A through a plug for 30 A",
        "plugs.plug_overloaded",
        "caution",
        {"current_a": 34.0, "rating_a": 30.0},
        parts={"pack": {"plug_rating_a": 30.0}},
        figures={"pack_current_each_max_a": 34.0, "current_max_a": 34.0},
    ),
    WorkedCase(
        "50 A through a plug for 30 A, over one and a half times as much",
        "plugs.plug_overloaded",
        "warning",
        {"current_a": 50.0, "rating_a": 30.0},
        parts={"pack": {"plug_rating_a": 30.0}},
        figures={"pack_current_each_max_a": 50.0, "current_max_a": 50.0},
    ),
    WorkedCase(
        "two sockets that cannot mate",
        "leads.pack_does_not_plug_in",
        "caution",
        {"plug": "T60"},
        parts={"lead": {"plug_a_gender": "socket"}},
    ),
    WorkedCase(
        "a pack soldered the other way round",
        "plugs.polarity_reversed",
        "warning",
        {"pack": "reversed", "lead": "usual"},
        parts={"pack": {"plug_polarity": "reversed"}},
    ),
    WorkedCase(
        "32 cm of lead and 0 µF at the speed controller",
        "leads.long_lead_without_capacitor",
        "caution",
        {"length_mm": 320.0, "capacitor_uf": 0},
        parts={"lead": {"loop_length_mm": 640.0}, "controller": {"capacitor_uf": 0.0}},
    ),
    WorkedCase(
        "a capacitor for 25 V on a pack of 25.2 V",
        "electrical.capacitor_voltage_too_low",
        "warning",
        {"capacitor_v": 25.0, "full_v": 25.2},
        parts={"pack": {"cell_count": 6}, "controller": {"capacitor_voltage_v": 25.0}},
    ),
    WorkedCase(
        "a capacitor for 35 V on a pack of 25.2 V",
        "electrical.capacitor_voltage_too_low",
        None,
        parts={"pack": {"cell_count": 6}, "controller": {"capacitor_voltage_v": 35.0}},
    ),
    WorkedCase(
        "the receiver on a rail of 9 V, made for 8.4 V",
        "rails.rail_voltage_unsuitable",
        "warning",
        {"supply_v": 9.0, "max_v": 8.4},
        places={"receiver": {"supply": "board_9v"}},
    ),
    WorkedCase(
        "a regulator of 5 V on 16.8 V at 1 A: 11.8 W",
        "rails.linear_regulator_hot",
        "warning",
        {"heat_w": 11.8, "current_a": 1.0},
        parts={
            "regulator": {"topology": "linear", "voltage_out_v": 5.0},
            "video": {"current_ma": 1000.0},
        },
        source="(input - output) × current",
    ),
    WorkedCase(
        "2.0 A from a 9 V pad for 1.5 A",
        "rails.rail_overloaded",
        "warning",
        {"current_a": 2.0, "limit_a": 1.5},
        parts={"board": {"rail_9v_a": 1.5}, "camera": {"current_ma": 2000.0}},
        places={"camera": {"supply": "board_9v"}},
    ),
    WorkedCase(
        "the board's and the speed controller's regulator on one rail",
        "sources.two_sources_on_one_rail",
        "warning",
        {"source_count": 2},
        parts={"controller": {"has_regulator": True}},
    ),
    WorkedCase(
        "the camera on the servos' rail",
        "sources.video_shares_rail_with_servos",
        "note",
        {"servo_count": 2},
        places={"camera": {"supply": "servo_rail"}},
    ),
    WorkedCase(
        "a sensor scale set at half of the sheet's, so 78 A are logged for 40 A",
        "drive.current_scale_differs",
        "caution",
        {"set_mv_a": 20.5, "sheet_mv_a": 40.0},
        build={"current_scale_mv_a": 20.5},
    ),
    WorkedCase(
        "25.2 V on an input that senses 18 V",
        "electrical.pack_voltage_beyond_sensing",
        "warning",
        {"full_v": 25.2, "max_v": 18.0},
        parts={"pack": {"cell_count": 6}, "board": {"sense_voltage_max_v": 18.0}},
    ),
    WorkedCase(
        "8.2 kg on one source of power",
        "sources.single_source_of_power",
        "note",
        {"mass_g": 8200.0, "source_count": 1},
        figures={"auw_g": 8200.0},
    ),
    WorkedCase(
        "a receiver of family J for a transmitter of family K",
        "signal.link_family_differs",
        "warning",
        {"receiver": "J", "transmitter": "K"},
        parts={"receiver": {"link_family": "J"}},
    ),
    WorkedCase(
        "a receiver of version 2 for a transmitter of version 3",
        "signal.link_version_differs",
        "warning",
        {"receiver": 2, "transmitter": 3},
        parts={"receiver": {"link_version": 2}},
    ),
    WorkedCase(
        "a servo of 760 µs where 1500 µs are sent",
        "signal.pulse_centre_differs",
        "warning",
        {"centre_us": 760.0, "sent_us": 1500.0},
        parts={"servo_left": {"pulse_centre_us": 760.0}},
    ),
    WorkedCase(
        "servos on a motor's output of the board as delivered",
        "outputs.map_differs_from_usual",
        "note",
        {"usual": (1, 6), "outputs": (1,)},
        parts={"board": {"motor_outputs": [[1], [6]]}},
    ),
    WorkedCase(
        "3.3 V into a servo that wants 0.7 of 5 V",
        "buses.signal_level_too_low",
        "caution",
        {"signal_v": 3.3, "min_v": 3.5},
        parts={"servo_left": {"signal_min_v": 3.5}},
    ),
    WorkedCase(
        "5 V into an input for 3.6 V",
        "buses.signal_level_too_high",
        "warning",
        {"signal_v": 5.0, "max_v": 3.6},
        parts={"receiver": {"signal_v": 5.0}, "board": {"signal_max_v": 3.6}},
    ),
    WorkedCase(
        "a GPS that sends at 9600 Bd where 115200 Bd are set",
        "buses.gps_speed_differs",
        "caution",
        {"sent_hz": 9600.0, "set_hz": 115200.0},
        parts={"gps": {"baud_hz": 9600.0}},
    ),
    WorkedCase(
        "a compass and an airspeed sensor of one address on one bus",
        "buses.address_clash",
        "warning",
        {"address": 13, "device_count": 2, "bus_count": 1},
        parts={
            "gps": {"has_compass": True, "compass_address": 13},
            "screws": {"purpose": "airspeed sensor", "bus_address": 13},
        },
        source=BUS,
    ),
    WorkedCase(
        "an alarm of 14.0 V on six cells, 2.33 V each",
        "alarms.voltage_alarm_wrong",
        "warning",
        {"cell_v": 2.333},
        parts={"pack": {"cell_count": 6}},
        build={"voltage_alarm_v": 14.0, "cell_alarm_v": None},
    ),
    WorkedCase(
        "an alarm of 14.0 V on four cells, 3.50 V each",
        "alarms.voltage_alarm_wrong",
        None,
        build={"voltage_alarm_v": 14.0, "cell_alarm_v": None},
    ),
    WorkedCase(
        "a timer of 8:00 for a charge of 6:10",
        "alarms.timer_too_long",
        "caution",
        {"timer_s": 480.0, "usable_s": 370.0},
        build={"timer_s": 480.0},
        figures={"endurance_min": 370 / 60},
    ),
    WorkedCase(
        "a plan of 20 min for a charge of 16.8 min",
        "alarms.charge_too_short_for_plan",
        "note",
        {"planned_s": 1200.0, "usable_s": 1008.0},
        build={"planned_flight_s": 1200.0},
        figures={"endurance_min": 16.8},
    ),
    WorkedCase(
        "three parts for two serial ports",
        "ports.too_few_serial_ports",
        "warning",
        {"have": 2, "wanted": 3},
        parts={"board": {"serial_port_count": 2}},
    ),
    WorkedCase(
        "GPS and receiver on one serial port",
        "ports.two_parts_on_one_port",
        "warning",
        {"port": 1, "part_count": 2},
        places={"gps": {"serial_port": 1}},
    ),
    WorkedCase(
        "a lead of 110 mm for a way of 120 mm and 15 mm of slack",
        "reach.lead_too_short",
        "caution",
        {"reach_mm": 110.0, "wanted_mm": 135.0},
        parts={"camera": {"lead_length_mm": 110.0}},
        places={"camera": {"route_mm": 120.0}},
    ),
    WorkedCase(
        "a camera of 625 lines under an overlay of 525 lines",
        "video.standard_differs",
        "caution",
        {"camera": "625/50", "overlay": "525/60"},
        build={"overlay_standard": "525/60"},
        source=VIDEO,
    ),
    WorkedCase(
        "200 mW on the bench from a unit that needs moving air",
        "video.hot_when_standing",
        "note",
        {"power_mw": 200.0, "standing_mw": 25.0},
        parts={"video": {"power_mw": 200.0, "needs_airflow": True}},
    ),
    WorkedCase(
        "six cells instead of four: 1.5³ = 3.4 times the power",
        "drive.more_cells_than_usual",
        "warning",
        {"power_ratio": 3.375, "kv_rpm_v": 1266.7},
        parts={"pack": {"cell_count": 6}},
        figures={"motor_current_max_a": 61.9},
        source="power goes with the cube of the voltage, at one propeller",
    ),
    WorkedCase(
        "thrust of 0.45 of the weight in an aeroplane",
        "power.thrust_too_low",
        "caution",
        {"thrust_to_weight": 0.45, "wanted": 0.5},
        build={"is_hand_launched": False},
        figures={"thrust_to_weight": 0.45},
    ),
    WorkedCase(
        "tips at 277 m/s, 0.81 of the speed of sound",
        "propeller.tip_too_fast",
        "caution",
        {"mach": 0.81},
        figures={"tip_mach": 0.81},
    ),
    WorkedCase(
        "a clockwise propeller on a motor that turns counter-clockwise",
        "propeller.turns_the_wrong_way",
        "warning",
        {"propeller": "cw", "motor": "ccw"},
        parts={"propeller": {"hand": "cw"}},
    ),
    WorkedCase(
        "a cell of 13.75 mΩ at 40 A: 3.70 - 0.55 = 3.15 V",
        "drive.sag_at_end_of_flight",
        "caution",
        {"cell_v": 3.15, "wanted_v": 3.3},
        parts={"pack": {"cell_resistance_mohm": [4.0, 13.75, 4.0, 4.0]}},
        figures={"pack_current_each_max_a": 40.0},
        source=OHM,
    ),
)
