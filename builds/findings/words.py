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
    "burst_c_rate": "burst rating (C)",
    "cell_resistance_mohm": "resistance of each cell (mΩ)",
    "continuous_c_rate": "continuous rating (C)",
    "kv_rpm_v": "speed constant (rpm/V)",
    "packs_wiring": "how the packs are joined",
    "plug_a": "plug a",
    "rail_5v_a": "5 V rail (A)",
    "rail_9v_a": "9 V rail (A)",
    "speed_s_60deg": "seconds for 60 degrees",
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
