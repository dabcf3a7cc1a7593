"""Short ways to write pairs of a swing and its charge in tests."""

from datetime import timedelta

from inventory.health.capacity import present_capacity
from inventory.health.evidence import agreeing, newest_evidence
from inventory.health.pairs import Pair
from tests.inventory.health.rows import START


def pair(swing, charge_mah, day=0.0, **values):
    defaults = {
        "swings": (swing,),
        "voltage_sds": (0.01,),
        "common_sd": 0.02,
        "charge_mah": charge_mah,
        "charge_sd_mah": 0.02 * charge_mah,
        "ended_at": START + timedelta(days=day),
        "drawn_mah": 500.0 * day,
    }
    return Pair(**(defaults | values))


def capacity_of(pairs, rated_mah=2200.0):
    evidence, _ = agreeing(newest_evidence(pairs, rated_mah=rated_mah))
    return present_capacity(evidence, rated_mah=rated_mah)
