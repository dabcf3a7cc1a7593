"""Names of columns and roles in words. Plain Python."""

from __future__ import annotations

from functools import lru_cache

from hangar.units import unit_label, unit_of

GROUND_WORDS = {
    "transmitter": "radio transmitter",
    "video_receiver": "video receiver",
    "charger": "charger",
}
WORDS = {
    "aerial_angle_deg": "angle between its two aerials (°)",
    "aerial_clearance_mm": "live end of the aerial to carbon, pack or motor wire (mm)",
    "arm_spline_teeth": "teeth of the arm on it",
    "axis_to_airframe_mm": "propeller's axis to the nearest part of the airframe (mm)",
    "axis_to_ground_mm": "height of the propeller's axis above the ground (mm)",
    "burst_c_rate": "burst rating (C)",
    "capacity_percent": "capacity left, of rated (%)",
    "cell_resistance_mohm": "resistance of each cell (mΩ)",
    "cell_rest_v": "rest voltage of each cell (V)",
    "continuous_c_rate": "continuous rating (C)",
    "gps_baud_hz": "serial speed set for the GPS (Hz)",
    "gps_messages": "GPS messages it reads",
    "has_sky_view": "does it see the sky",
    "is_hand_launched": "is it thrown to take off",
    "is_locked": "are they locked",
    "is_regulator_cut": "is the red wire of its regulator lifted",
    "is_usb_reachable": "is the USB socket within reach",
    "kv_rpm_v": "speed constant (rpm/V)",
    "messages": "GPS messages it sends",
    "motor_outputs": "outputs meant for motors",
    "opening_cm2": "openings for air (cm²)",
    "packs_wiring": "how the packs are joined",
    "play_mm": "play at the edge (mm)",
    "plug_a": "plug a",
    "plug_polarity": "plus and minus in the plug, by a meter",
    "rail_5v_a": "5 V rail (A)",
    "rail_9v_a": "9 V rail (A)",
    "role": "what it is flown for",
    "route_mm": "way of its lead (mm)",
    "speed_s_60deg": "seconds for 60 degrees",
    "turning": "which way its motor turns",
    "usual_cell_count": "cells of the usual pack",
    "usual_drive": "motor and propeller as recorded",
}


@lru_cache(maxsize=1024)
def words_of(column: str) -> str:
    """The name of a column in words, its unit in brackets."""
    if column in WORDS:
        return WORDS[column]
    unit = unit_of(column)
    if unit is None or not unit_label(unit):
        return column.replace("_", " ")
    return f"{column.removesuffix(f'_{unit}').replace('_', ' ')} ({unit_label(unit)})"
