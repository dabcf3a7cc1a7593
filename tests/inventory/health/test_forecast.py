"""Whether the end that is forecast is where the pack really ends; own checks on known truth."""

import csv
import math
import random
from pathlib import Path

import pytest

from inventory.health.capacity import CUT_OFF_BIAS, METER_GAIN, Estimate
from inventory.health.trend import NoEndDate, end_of_life
from tests.inventory.health.fading import Ways, estimates_of, fading, first_seen_below

DATA = Path(__file__).parent / "data"
SHARED_SD = math.hypot(METER_GAIN, CUT_OFF_BIAS)
RATED_MAH = 2000.0


def holds(found, end):
    late = math.inf if found.cycles_high is None else found.cycles_high
    return found.cycles_low <= end <= late


def from_first_half(pack):
    half = pack.readings[: len(pack.readings) // 2]
    return end_of_life(estimates_of(half, SHARED_SD), rated_mah=RATED_MAH)


def test_the_interval_holds_the_true_end_of_500_packs_from_their_first_half():
    # Quickening fade, recovery after rest, odd readings, and a meter of unknown gain.
    rng = random.Random(20250401)
    held, told = 0, 0
    for _ in range(500):
        pack = fading(rng, Ways())
        try:
            found = from_first_half(pack)
        except NoEndDate:
            continue
        told += 1
        held += holds(found, pack.end)
    assert told >= 450
    assert 0.85 <= held / told <= 0.96


@pytest.mark.parametrize(
    "ways",
    [
        Ways(quickening=(0.0, 0.0)),
        Ways(quickening=(-0.6, 0.0)),
        Ways(quickening=(0.6, 1.2)),
        Ways(odd_share=0.15),
        Ways(recovery=(0.0, 0.0)),
    ],
    ids=["straight", "slowing", "quickening", "many odd readings", "no recovery"],
)
def test_the_interval_is_honest_for_every_way_of_fading(ways):
    rng = random.Random(20250402)
    held = []
    for _ in range(150):
        pack = fading(rng, ways)
        try:
            held.append(holds(from_first_half(pack), pack.end))
        except NoEndDate:
            continue
    assert sum(held) / len(held) >= 0.85


def test_the_end_is_seen_by_the_same_meter_where_the_first_half_foretold_it():
    # The meter that ran the first half also sees the end: its gain is no error then.
    rng = random.Random(20250403)
    held = []
    for _ in range(200):
        pack = fading(rng, Ways())
        seen = first_seen_below(pack.readings)
        if seen is not None:
            held.append(holds(from_first_half(pack), seen))
    assert len(held) > 100
    assert sum(held) / len(held) >= 0.95


def test_few_and_odd_estimates_still_give_an_honest_interval():
    # 12 estimates of 1 % noise, one in seven far too low, straight fade to 80 % at 130 cycles.
    rng = random.Random(20250404)
    held, told = 0, 0
    for _ in range(300):
        gain = rng.gauss(1, SHARED_SD)
        found = []
        for place in range(12):
            cycles = 8.0 * place + rng.uniform(0, 4)
            odd = rng.uniform(0.04, 0.10) if rng.random() < 0.15 else 0.0
            share = gain * (1 - 0.2 * cycles / 130 - odd) * rng.gauss(1, 0.01)
            found.append(Estimate(cycles, 7.0 * place, RATED_MAH * share, SHARED_SD))
        try:
            end = end_of_life(found, rated_mah=RATED_MAH)
        except NoEndDate:
            continue
        told += 1
        held += holds(end, 130)
    assert told >= 200
    assert 0.85 <= held / told <= 0.99


def layer_growth():
    with (DATA / "pybamm_sei_series.csv").open() as file:
        rows = [(float(r["cycle"]), float(r["capacity_Ah"])) for r in csv.DictReader(file)]
    first = rows[0][1]
    return [
        Estimate(cycles=cycle, day=cycle, capacity_mah=1000 * capacity / first, shared_sd=0.0)
        for cycle, capacity in rows
    ]


# PyBaMM 26.10.1.1 (BSD-3), simulated growth of the surface layer, a fade that slows: truth 47.6
# cycles to 80 % of the first capacity. A straight line says 40.4, 42.5 and 44.6 cycles.
@pytest.mark.parametrize("seen", [31, 40, 50])
def test_a_fade_that_slows_is_held_by_the_interval(seen):
    found = end_of_life(layer_growth()[:seen], rated_mah=1000)
    assert holds(found, 47.6)
    assert found.cycles_low > 35


def test_a_short_beginning_of_a_fade_that_slows_gives_no_end():
    with pytest.raises(NoEndDate):
        end_of_life(layer_growth()[:10], rated_mah=1000)


def test_an_early_forecast_is_wider_than_a_late_one():
    rng = random.Random(20250405)
    readings = [1 - 0.002 * cycle + rng.gauss(0, 0.005) for cycle in range(100)]
    early, late = (
        end_of_life(estimates_of(tuple(readings[:seen]), 0.0), rated_mah=RATED_MAH)
        for seen in (60, 95)
    )
    assert late.cycles_high - late.cycles_low < (early.cycles_high or 150) - early.cycles_low
    assert holds(early, 100)
    assert holds(late, 100)


def with_a_knee(cycles):
    # A line that would end at 250 cycles, bent at 100 to end at 130.
    rng = random.Random(3)
    steep = (0.2 - 0.0008 * 130) / 30
    return tuple(
        1 - 0.0008 * cycle - steep * max(cycle - 100, 0) + rng.gauss(0, 0.003)
        for cycle in range(cycles)
    )


def test_a_knee_is_held_once_it_is_seen_but_no_earlier_reading_foretells_it():
    before, after = (
        end_of_life(estimates_of(with_a_knee(cycles), SHARED_SD), rated_mah=RATED_MAH)
        for cycles in (91, 121)
    )
    assert before.cycles_low > 130
    assert holds(after, 130)
