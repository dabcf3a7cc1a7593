"""Made logs of packs that age by a stated model; the truth stands in the written material.

The model: capacity falls and resistance rises in a straight line with the cycles, from rated and
first values to present ones. Each cycle draws 45 to 75 % of rated, is charged back in full at
99.5 % efficiency, and is logged with 1 % noise. Every fifth cycle has a resistance reading at
21 °C by one charger, with 0.5 % noise; every eighth is a full discharge in a tester, whose meter
has 0.3 % noise. The last cycle shows the present values as they are.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from inventory.kinds import Pack

DAY = timedelta(days=1)
ROOM_C = 21
METHOD = "charger C6, balance lead"
TESTER = "tester, down to the maker's cut-off"
EFFICIENCY = 0.995
DRAWN = (0.45, 0.75)
METER_NOISE, LOG_NOISE, READING_NOISE = 0.003, 0.01, 0.005
CYCLES_PER_TEST, CYCLES_PER_READING = 8, 5
FLIGHT_S, TESTER_S = 420, 3600
AFTER_FLIGHT_C = 38
IDLE_DAYS = 3
USED_AT, CHARGED_AT, READ_AT = 15, 19, 21
SAG = {"li_ion": (2.95, 3.2)}
SAG_OTHERWISE = (3.4, 3.6)

Row = dict[str, Any]


def log_of(life: Mapping[str, Any], sheet: Pack, now: datetime) -> list[Row]:
    """Rows of one pack's log in the order of time, as the columns of a log entry."""
    rng = random.Random(life["id"])  # noqa: S311 - repeatable, not secret
    rows: list[Row] = []
    for cycle in range(life["cycles"]):
        rows += _cycle(life, sheet, now, cycle, rng)
    rows.append(_rest(life, _at(now - DAY, READ_AT)))
    if "idle_days" not in life:
        rows.append(_storage(now))
    rows += [_own(row, now) for row in life.get("rows", ())]
    return sorted(rows, key=lambda row: row["started_at"])


def _at(day: datetime, hour: float) -> datetime:
    return day.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(hours=hour)


def _cycle(
    life: Mapping[str, Any], sheet: Pack, now: datetime, cycle: int, rng: random.Random
) -> list[Row]:
    last = life["cycles"] - 1
    is_last = cycle == last
    age = cycle / max(last, 1)
    first_day = now - 30 * life["months"] * DAY
    last_day = now - life.get("idle_days", IDLE_DAYS) * DAY
    day = first_day + age * (last_day - first_day)
    is_test = "now_mah" in life and (cycle % CYCLES_PER_TEST == 3 or is_last)
    noise = 0.0 if is_last else 1.0
    drawn_mah = (
        _capacity_mah(life, sheet, age) * rng.gauss(1, METER_NOISE * noise)
        if is_test
        else sheet.capacity_mah * rng.uniform(*DRAWN)
    )
    rows = [_use(sheet, day, drawn_mah, is_test, rng), _charge(day, drawn_mah, rng)]
    if cycle % CYCLES_PER_READING == 0 or is_last:
        rows.append(_resistance(life, day, age, READING_NOISE * noise, rng))
    return rows


def _capacity_mah(life: Mapping[str, Any], sheet: Pack, age: float) -> float:
    return sheet.capacity_mah + age * (life["now_mah"] - sheet.capacity_mah)


def _use(sheet: Pack, day: datetime, drawn_mah: float, is_test: bool, rng: random.Random) -> Row:
    row: Row = {"kind": "use", "started_at": _at(day, USED_AT)}
    if is_test:
        return row | {
            "charge_mah": round(drawn_mah),
            "duration_s": TESTER_S,
            "temperature_c": ROOM_C,
            "is_capacity_test": True,
            "method": TESTER,
        }
    sag_v = rng.uniform(*SAG.get(sheet.chemistry, SAG_OTHERWISE))
    return row | {
        "charge_mah": round(drawn_mah * rng.gauss(1, LOG_NOISE)),
        "duration_s": FLIGHT_S,
        "temperature_c": AFTER_FLIGHT_C,
        "voltage_min_v": round(sheet.cell_count * sag_v, 2),
    }


def _charge(day: datetime, drawn_mah: float, rng: random.Random) -> Row:
    return {
        "kind": "charge",
        "started_at": _at(day, CHARGED_AT),
        "charge_mah": round(drawn_mah / EFFICIENCY * rng.gauss(1, LOG_NOISE)),
        "duration_s": TESTER_S,
        "temperature_c": ROOM_C,
        "is_full": True,
    }


def _resistance(
    life: Mapping[str, Any], day: datetime, age: float, noise: float, rng: random.Random
) -> Row:
    first = life["first_mohm"]
    return {
        "kind": "resistance",
        "started_at": _at(day, READ_AT),
        "resistance_mohm": [
            round((first + age * (cell - first)) * rng.gauss(1, noise), 2)
            for cell in life["now_mohm"]
        ],
        "method": METHOD,
        "temperature_c": ROOM_C,
    }


def _rest(life: Mapping[str, Any], at: datetime) -> Row:
    return {
        "kind": "rest",
        "started_at": at,
        "rest_v": life["rest_v"],
        "rested_h": 24 * (life.get("idle_days", IDLE_DAYS) - 1),
        "temperature_c": ROOM_C,
    }


def _storage(now: datetime) -> Row:
    return {
        "kind": "storage",
        "started_at": _at(now - IDLE_DAYS * DAY, READ_AT + 1),
        "note": "discharged to storage voltage by the charger",
    }


def _own(row: Mapping[str, Any], now: datetime) -> Row:
    columns = dict(row)
    started_at = _at(now + columns.pop("day") * DAY, columns.pop("hour"))
    return {**columns, "started_at": started_at}
