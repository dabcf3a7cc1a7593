"""What more a log needs before it tells a capacity or an end of life."""

from collections.abc import Sequence

from inventory.health.capacity import BLOCK
from inventory.health.curves import NoCurve, curve_for
from inventory.health.entries import PackFacts
from inventory.health.evidence import FEWEST_PAIRS
from inventory.health.pairs import SHORTEST_REST_H, SMALLEST_SWING, Pair
from inventory.health.trend import FEWEST_ESTIMATES

WHICH = (
    f"each with its temperature, {SHORTEST_REST_H:.0f} h or more after a use of known charge that "
    f"began full and took at least {100 * SMALLEST_SWING:.0f} % of it"
)


def wanted_for_capacity(evidence: Sequence[Pair], facts: PackFacts) -> str:
    """How many more readings of what kind would tell the capacity.

    Parameters
    ----------
    evidence : what there is that speaks of the capacity now [-]
    facts : the pack [-]

    Returns
    -------
    a sentence; empty where number is not what is wanting

    Source
    ------
    The gates of pairs and evidence.
    """
    number = FEWEST_PAIRS - len(evidence)
    if number <= 0 or any(pair.is_test for pair in evidence):
        return ""
    if not _has_curve(facts):
        return "1 more full discharge in a tester would tell."
    readings = f"{_counted(number, 'reading')} from rest"
    return f"{readings} would tell, {WHICH}; or 1 full discharge in a tester."


def wanted_for_trend(pairs: Sequence[Pair], facts: PackFacts) -> str:
    """How many more readings of what kind would tell a trend, if they all serve.

    Parameters
    ----------
    pairs : all pairs of the log [-]
    facts : the pack [-]

    Returns
    -------
    a sentence; empty where number is not what is wanting

    Source
    ------
    The gates of the estimates: one for a test, one for four pairs, never mixed.
    """
    tests = sum(pair.is_test for pair in pairs)
    tests_wanted = FEWEST_ESTIMATES - tests
    readings_wanted = FEWEST_ESTIMATES * BLOCK - (len(pairs) - tests)
    if tests_wanted <= 0 or readings_wanted <= 0:
        return ""
    by_test = f"{_counted(tests_wanted, 'full discharge')} in a tester"
    if not _has_curve(facts):
        return f"{by_test} would tell."
    return f"{_counted(readings_wanted, 'reading')} from rest would tell, {WHICH}; or {by_test}."


def _counted(number: int, what: str) -> str:
    return f"{number} more {what}" if number == 1 else f"{number} more {what}s"


def _has_curve(facts: PackFacts) -> bool:
    try:
        curve_for(facts)
    except NoCurve:
        return False
    return True
