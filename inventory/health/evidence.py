"""Which pairs speak of the capacity that a pack has now."""

from collections.abc import Sequence

import numpy as np

from inventory.health.pairs import LeftOut, Pair

# Engineering judgement, no source.
FEWEST_PAIRS = 3
WINDOW_DAYS = 90
WINDOW_CYCLES = 20
MOST_PAIRS = 12
MOST_TESTS = 5
FEWEST_TO_COMPARE = 4
ODD_FACTOR = 3.5
LEAST_SCATTER = 0.01


def newest_evidence(pairs: Sequence[Pair], *, rated_mah: float) -> list[Pair]:
    """Pairs that speak of the capacity now.

    Full discharges in a tester stand alone where the newest 90 days and 20 equivalent cycles have
    any: they need no curve. Else the telling pairs of that window; where these are too few, the
    newest tests. Only the newest 5 tests or 12 pairs: a pack that fades is smaller now than it was
    on average over a longer time.

    Parameters
    ----------
    pairs : in the order of time [-]
    rated_mah : rated capacity [mAh]

    Returns
    -------
    pairs in the order of time, tests only or none of them a test [-]

    Source
    ------
    Engineering judgement, no source.
    """
    recent = _window(pairs, rated_mah)
    tests = [pair for pair in recent if pair.is_test]
    others = _telling([pair for pair in recent if not pair.is_test])
    if not tests and len(others) < FEWEST_PAIRS:
        tests = _window([pair for pair in pairs if pair.is_test], rated_mah)
    return tests[-MOST_TESTS:] or others[-MOST_PAIRS:]


def agreeing(evidence: Sequence[Pair]) -> tuple[list[Pair], list[LeftOut]]:
    """Part the pairs that agree from odd ones: a discharge cut short, a meter read wrong.

    Odd is what lies off the median by three and a half times the usual scatter of the others; it
    takes four pairs to tell.

    Parameters
    ----------
    evidence : pairs that speak of the same capacity [-]

    Returns
    -------
    pairs that agree, and those left out with the reason

    Source
    ------
    Median and median deviation: F. R. Hampel, J. Am. Stat. Assoc. 69 (1974) 383-393, from memory,
    not verified. Factor: common practice, no source.
    """
    if len(evidence) < FEWEST_TO_COMPARE:
        return list(evidence), []
    found = np.array([pair.charge_mah / np.mean(pair.swings) for pair in evidence])
    middle = float(np.median(found))
    off = np.abs(found - middle)
    scatter = max(1.4826 * float(np.median(off)), LEAST_SCATTER * middle)
    is_odd = off > ODD_FACTOR * scatter
    kept = [pair for pair, odd in zip(evidence, is_odd, strict=True) if not odd]
    left_out = [
        LeftOut(pair.row_id, f"it says {mah:.0f} mAh where the others say {middle:.0f}")
        for pair, mah, odd in zip(evidence, found, is_odd, strict=True)
        if odd
    ]
    return kept, left_out


def _window(pairs: Sequence[Pair], rated_mah: float) -> list[Pair]:
    """Pairs near enough to the newest one to speak of the same capacity."""
    if not pairs:
        return []
    last = max(pairs, key=lambda pair: pair.ended_at)
    return [
        pair
        for pair in pairs
        if (last.ended_at - pair.ended_at).days <= WINDOW_DAYS
        and last.drawn_mah - pair.drawn_mah <= WINDOW_CYCLES * rated_mah
    ]


def _telling(pairs: Sequence[Pair]) -> list[Pair]:
    """Leave out pairs that tell less than a twenty-fifth of what the best one tells."""
    if not pairs:
        return []
    best = min(pair.relative_sd for pair in pairs)
    return [pair for pair in pairs if pair.relative_sd <= 5 * best]
