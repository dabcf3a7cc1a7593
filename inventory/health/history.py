"""How a pack got where it is: capacity, resistance and spread of its cells through its log."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import hypot

import numpy as np

from inventory.health.capacity import COVERAGE, Estimate, estimates
from inventory.health.cells import Spread, is_comparable, spread
from inventory.health.consistency import doubtful_ids, find_contradictions
from inventory.health.entries import LogEntry, PackFacts, in_order
from inventory.health.fade import fit_fade
from inventory.health.pairs import find_pairs
from inventory.health.resistance import Reading, comparable
from inventory.health.stops import rest_readings
from inventory.health.trend import FEWEST_ESTIMATES, HORIZON_SPANS

STEPS = 40


@dataclass(frozen=True)
class Faded:
    """Capacity by the fade at one place of it, with the 90 % interval; not measured if ahead."""

    cycles: float
    capacity_mah: float
    low_mah: float
    high_mah: float
    is_ahead: bool


@dataclass(frozen=True)
class History:
    """Capacity estimates and the fade through them, comparable resistances, spreads at rest."""

    capacity: tuple[Estimate, ...]
    fade: tuple[Faded, ...]
    resistance: tuple[Reading, ...]
    spreads: tuple[Spread, ...]


def history(facts: PackFacts, entries: Iterable[LogEntry], now: datetime) -> History:
    """What a log tells of a pack through its life.

    Parameters
    ----------
    facts : the pack; rated capacity [mAh]
    entries : its log, in any order [-]
    now : time of asking [-]

    Returns
    -------
    capacity [mAh] by equivalent cycles, resistance at 25 °C [mohm], spread at rest [V]

    Source
    ------
    As for capacity, fade, resistance and cells.
    """
    rows = in_order(entries)
    doubtful = doubtful_ids(find_contradictions(rows, facts, now))
    believed = [row for row in rows if row.id not in doubtful]
    pairs, _ = find_pairs(rows, facts, doubtful)
    found = sorted(estimates(pairs, rated_mah=facts.capacity_mah), key=lambda one: one.cycles)
    read, _ = comparable(believed, facts)
    rested = [row for row in rest_readings(believed, facts) if is_comparable(row, facts)]
    spreads = (spread(row, facts) for row in rested)
    return History(
        capacity=tuple(found),
        fade=_fade(found, facts.capacity_mah),
        resistance=read,
        spreads=tuple(one for one in spreads if one is not None),
    )


def _fade(found: Sequence[Estimate], rated_mah: float) -> tuple[Faded, ...]:
    if len(found) < FEWEST_ESTIMATES or found[-1].cycles <= found[0].cycles:
        return ()
    fade = fit_fade([one.cycles for one in found], [one.capacity_mah / rated_mah for one in found])
    first, last = found[0].cycles, found[-1].cycles
    places = np.linspace(first, last + HORIZON_SPANS * (last - first), STEPS + 1)
    value, sd = fade.at(places)
    common = hypot(fade.recovery_sd(), max(one.shared_sd for one in found))
    half = fade.width_factor(COVERAGE) * np.hypot(sd, common)
    rows = zip(places, value, half, strict=True)
    return tuple(
        Faded(
            float(at), float(v) * rated_mah, float(v - h) * rated_mah, float(v + h) * rated_mah,
            bool(at > last),
        )
        for at, v, h in rows
    )  # fmt: skip
