"""Repeatable log rows of packs that age by a stated model; the truth stands in the arguments.

The model: capacity falls and resistance rises in a straight line with the cycles, from rated and
first values to present ones. Each cycle draws 45 to 75 % of rated, is charged back with 99.5 %
efficiency to full, and is logged with 1 % noise. Every fifth cycle has a resistance reading at
21 °C, every eighth a full discharge in a tester, whose meter has 0.3 % noise.
"""

import random
from dataclasses import dataclass
from datetime import datetime, timedelta

from inventory.health.entries import Kind, LogEntry

DAY = timedelta(days=1)


@dataclass(frozen=True, kw_only=True)
class Life:
    cycles: int
    months: float
    rated_mah: float
    now_mah: float | None
    first_mohm: tuple[float, ...]
    now_mohm: tuple[float, ...]
    rest_v: tuple[float, ...]
    idle_days: float = 3.0
    random_start: int = 1


def log_of(life: Life, now: datetime) -> list[LogEntry]:
    rng = random.Random(life.random_start)
    first_at = now - timedelta(days=30 * life.months)
    last_at = now - life.idle_days * DAY
    rows = []
    for cycle in range(life.cycles):
        age = cycle / max(life.cycles - 1, 1)
        at = first_at + age * (last_at - first_at)
        is_test = life.now_mah is not None and (cycle % 8 == 3 or cycle == life.cycles - 1)
        out_mah = (
            _capacity(life, age) * rng.gauss(1, 0.003)
            if is_test
            else life.rated_mah * rng.uniform(0.45, 0.75)
        )
        rows.append(_use(cycle, at - 6 * timedelta(hours=1), out_mah * rng.gauss(1, 0.01), is_test))
        rows.append(_charge(cycle, at, out_mah / 0.995 * rng.gauss(1, 0.01)))
        if cycle % 5 == 0 or cycle == life.cycles - 1:
            rows.append(_resistance(cycle, at, life, age, rng))
    rows.append(
        LogEntry(
            id="rest-now",
            kind=Kind.REST,
            started_at=now - timedelta(hours=2),
            rest_v=life.rest_v,
            hours_since_use=24 * life.idle_days,
            temperature_c=21,
        )
    )
    return rows


def _capacity(life: Life, age: float) -> float:
    end = life.now_mah or life.rated_mah
    return life.rated_mah + age * (end - life.rated_mah)


def _use(cycle: int, at: datetime, mah: float, is_test: bool) -> LogEntry:
    return LogEntry(
        id=f"use-{cycle}",
        kind=Kind.USE,
        started_at=at,
        charge_mah=mah,
        duration_s=3600 if is_test else 420,
        temperature_c=21 if is_test else 38,
        is_capacity_test=is_test,
    )


def _charge(cycle: int, at: datetime, mah: float) -> LogEntry:
    return LogEntry(
        id=f"charge-{cycle}",
        kind=Kind.CHARGE,
        started_at=at,
        charge_mah=mah,
        duration_s=3600,
        temperature_c=21,
        is_full=True,
    )


def _resistance(cycle: int, at: datetime, life: Life, age: float, rng: random.Random) -> LogEntry:
    return LogEntry(
        id=f"resistance-{cycle}",
        kind=Kind.RESISTANCE,
        started_at=at + timedelta(hours=2),
        resistance_mohm=tuple(
            (first + age * (now - first)) * rng.gauss(1, 0.005)
            for first, now in zip(life.first_mohm, life.now_mohm, strict=True)
        ),
        method="charger",
        temperature_c=21,
    )
