"""Repeatable capacity series of packs whose true fade is known, cycle by cycle as in a laboratory.

The model: capacity falls by 0.1 to 0.25 % of rated a cycle, a little faster or slower with age
(``quickening``); a rest every 20 to 40 cycles gives back 1 to 3 %, lost again over 3 to 10 cycles;
each reading has noise of 0.3 to 1 %, some are far too low, and the meter has a gain of its own.
Shape and sizes: common practice, no source.
"""

import math
import random
from collections.abc import Callable
from dataclasses import dataclass

from inventory.health.capacity import Estimate

LIMIT = 0.80


@dataclass(frozen=True, kw_only=True)
class Fading:
    """Readings as shares of rated, one a cycle; the true share; its first cycle below 80 %."""

    readings: tuple[float, ...]
    truth: Callable[[float], float]
    end: float


@dataclass(frozen=True, kw_only=True)
class Ways:
    """How the packs of a series may fade."""

    quickening: tuple[float, float] = (0.0, 0.6)
    recovery: tuple[float, float] = (0.01, 0.03)
    odd_share: float = 0.02
    gain_sd: float = 0.02


def fading(rng: random.Random, ways: Ways) -> Fading:
    count = rng.randrange(130, 171)
    rate = rng.uniform(0.001, 0.0025)
    first = rng.uniform(0.93, 1.02)
    quickening = rng.uniform(*ways.quickening)
    noise = rng.uniform(0.003, 0.01)
    gain = rng.gauss(1, ways.gain_sd)
    recovered = _recoveries(rng, count, ways)

    def truth(cycle: float) -> float:
        return first - rate * cycle * (1 + quickening * (cycle / count - 0.3))

    readings = []
    for cycle in range(count):
        odd = rng.uniform(0.03, 0.10) if rng.random() < ways.odd_share else 0.0
        readings.append(gain * (truth(cycle) + recovered[cycle] + rng.gauss(0, noise) - odd))
    return Fading(readings=tuple(readings), truth=truth, end=_first_below(truth))


def estimates_of(readings: tuple[float, ...], shared_sd: float, rated_mah: float = 2000.0):
    return [
        Estimate(
            cycles=float(cycle),
            day=float(cycle),
            capacity_mah=share * rated_mah,
            shared_sd=shared_sd,
        )
        for cycle, share in enumerate(readings)
    ]


def first_seen_below(readings: tuple[float, ...]) -> int | None:
    """First cycle whose reading and its two neighbours on each side have a median below 80 %."""
    for cycle in range(2, len(readings) - 2):
        if sorted(readings[cycle - 2 : cycle + 3])[2] < LIMIT:
            return cycle
    return None


def _recoveries(rng: random.Random, count: int, ways: Ways) -> list[float]:
    found = [0.0] * count
    at = rng.randrange(20, 41)
    while at < count:
        size, lasts = rng.uniform(*ways.recovery), rng.uniform(3, 10)
        for cycle in range(at, count):
            found[cycle] += size * math.exp(-(cycle - at) / lasts)
        at += rng.randrange(20, 41)
    return found


def _first_below(truth: Callable[[float], float]) -> float:
    return next((cycle for cycle in range(2000) if truth(cycle) < LIMIT), math.inf)
