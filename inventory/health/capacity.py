"""Present capacity of a pack, with its interval."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np
from scipy.optimize import minimize_scalar

from inventory.health.evidence import FEWEST_PAIRS, WINDOW_CYCLES, WINDOW_DAYS
from inventory.health.pairs import Pair

COVERAGE = 0.90
"""Share of packs whose capacity lies inside the interval that is shown [-]."""
NORMAL_FACTOR = 1.6449
"""Half width of the interval of that coverage, in standard deviations [-]."""

# Engineering judgement, no source.
METER_GAIN = 0.02
TABLE_BIAS = 0.02
CUT_OFF_BIAS = 0.01

LARGEST_RELATIVE_SD = 0.05
BLOCK = 4
SEARCH_SHARES = (0.3, 1.3)


class NotEnoughData(ValueError):
    """The log does not tell the capacity; the text may be shown."""


@dataclass(frozen=True)
class Interval:
    """A value and the interval that holds it in 90 of 100 packs."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Fit:
    """Capacity through pairs of swing and charge, before errors that all pairs share."""

    capacity_mah: float
    sd_mah: float
    misfit: float


@dataclass(frozen=True)
class Estimate:
    """Capacity at one time in the life of a pack; ``shared_sd`` is that of all of them, a share."""

    cycles: float
    day: float
    capacity_mah: float
    shared_sd: float


def fit_capacity(
    swings: Sequence[float],
    charges_mah: Sequence[float],
    swing_sds: Sequence[float],
    charge_sds_mah: Sequence[float],
    *,
    rated_mah: float,
) -> Fit:
    """Fit the capacity Q in charge = Q * swing by exact weighted total least squares.

    Both sides carry errors: minimises J(Q) = sum (y - Q x)^2 / (sy^2 + Q^2 sx^2). The standard
    deviation sqrt(2 / J'') grows with the misfit once there are five pairs.

    Parameters
    ----------
    swings : changes of state of charge x [-]
    charges_mah : charge moved y [mAh]
    swing_sds, charge_sds_mah : their standard deviations [-], [mAh]
    rated_mah : rated capacity [mAh]; searched from 0.3 to 1.3 of it

    Returns
    -------
    capacity and its standard deviation [mAh], J per degree of freedom [-]

    Raises
    ------
    NotEnoughData : no pair, or no capacity in the range searched explains the pairs

    Source
    ------
    G. L. Plett, J. Power Sources 196 (2011) 2319-2331, weighted total least squares; from memory,
    not verified.
    """
    if not len(swings):
        raise NotEnoughData("No pair of rest readings with the charge between them.")
    x, y, sx, sy = (
        np.asarray(v, dtype=float) for v in (swings, charges_mah, swing_sds, charge_sds_mah)
    )

    def misfit(capacity: np.ndarray) -> np.ndarray:
        q = np.asarray(capacity)[..., None]
        return np.asarray(np.sum((y - q * x) ** 2 / (sy**2 + q**2 * sx**2), axis=-1))

    low, high = (share * rated_mah for share in SEARCH_SHARES)
    if len(x) == 1 and low < y[0] / x[0] < high:
        one = float(y[0] / x[0])
        return Fit(one, hypot(float(sy[0]), one * float(sx[0])) / float(x[0]), 0.0)
    grid = np.linspace(low, high, 201)
    place = int(np.argmin(misfit(grid)))
    if place in (0, len(grid) - 1):
        raise NotEnoughData("The charge logged and the rest readings do not belong together.")
    best = minimize_scalar(
        misfit, bounds=(grid[place - 1], grid[place + 1]), method="bounded", options={"xatol": 1e-9}
    )
    capacity, least = float(best.x), float(best.fun)
    sd = sqrt(2 / _bend(capacity, x, y, sx, sy))
    per_freedom = least / max(len(x) - 1, 1)
    return Fit(capacity, sd * (sqrt(max(1.0, per_freedom)) if len(x) >= 5 else 1.0), per_freedom)


def _bend(capacity: float, x: np.ndarray, y: np.ndarray, sx: np.ndarray, sy: np.ndarray) -> float:
    """Second derivative of the misfit."""
    r, v = y - capacity * x, sy**2 + capacity**2 * sx**2
    v1, v2 = 2 * capacity * sx**2, 2 * sx**2
    terms = 2 * x**2 / v + 4 * r * x * v1 / v**2 - r**2 * v2 / v**2 + 2 * r**2 * v1**2 / v**3
    return float(np.sum(terms))


def present_capacity(evidence: Sequence[Pair], *, rated_mah: float) -> Interval:
    """Capacity now, from the newest evidence.

    A test stands for itself; else three or more pairs are fitted, and a cell clearly smaller than
    the mean cell governs the pack. Errors that all pairs share (meter gain, curve) are added
    afterwards: more pairs do not shrink them.

    Parameters
    ----------
    evidence : newest evidence, swings [-] and charges [mAh]
    rated_mah : rated capacity [mAh]

    Returns
    -------
    capacity with its 90 % interval [mAh]

    Raises
    ------
    NotEnoughData : too few pairs, or pairs too vague

    Source
    ------
    Gates and default errors: engineering judgement, no source. Combination in quadrature: JCGM
    100:2008, 5.1.2.
    """
    is_test = any(pair.is_test for pair in evidence)
    if not is_test and len(evidence) < FEWEST_PAIRS:
        raise NotEnoughData(
            f"{len(evidence)} usable pairs of rest readings in the newest {WINDOW_DAYS} days and "
            f"{WINDOW_CYCLES} equivalent cycles; {FEWEST_PAIRS} are needed."
        )
    fit = _fit_mean_cell(evidence, rated_mah)
    if not is_test:
        fit = _weakest(evidence, fit, rated_mah)
    if fit.sd_mah > LARGEST_RELATIVE_SD * fit.capacity_mah:
        share = 100 * fit.sd_mah / fit.capacity_mah
        raise NotEnoughData(f"The pairs scatter too much: {share:.0f} % where 5 % is the limit.")
    sd = hypot(fit.sd_mah, fit.capacity_mah * _shared_sd(evidence))
    half = NORMAL_FACTOR * sd
    return Interval(fit.capacity_mah, fit.capacity_mah - half, fit.capacity_mah + half)


def estimates(pairs: Sequence[Pair], *, rated_mah: float) -> tuple[Estimate, ...]:
    """Capacity through the life of a pack: one estimate a test, or one for four pairs.

    Tests and pairs are not mixed: what they have wrong in common differs and would look like
    ageing. The larger set is taken.

    Parameters
    ----------
    pairs : in the order of time [-]
    rated_mah : rated capacity [mAh]

    Returns
    -------
    estimates by equivalent cycles [-] and day [d], capacity [mAh]

    Source
    ------
    Common practice, no source.
    """
    tests = [[pair] for pair in pairs if pair.is_test]
    others = [pair for pair in pairs if not pair.is_test]
    blocks = [others[i : i + BLOCK] for i in range(0, len(others) - BLOCK + 1, BLOCK)]
    chosen = tests if len(tests) >= len(blocks) else blocks
    found = [_estimate(block, rated_mah) for block in chosen]
    return tuple(estimate for estimate in found if estimate is not None)


def _estimate(block: Sequence[Pair], rated_mah: float) -> Estimate | None:
    try:
        fit = _fit_mean_cell(block, rated_mah)
    except NotEnoughData:
        return None
    middle = block[len(block) // 2]
    return Estimate(
        cycles=middle.drawn_mah / rated_mah,
        day=middle.ended_at.timestamp() / 86400,
        capacity_mah=fit.capacity_mah,
        shared_sd=_shared_sd(block),
    )


def _shared_sd(pairs: Sequence[Pair]) -> float:
    """What meter and curve, or cut-off, may have wrong in all pairs alike, as a share."""
    swing = float(np.mean([np.mean(pair.swings) for pair in pairs]))
    is_test = any(pair.is_test for pair in pairs)
    return hypot(METER_GAIN, CUT_OFF_BIAS if is_test else TABLE_BIAS / swing)


def _fit_mean_cell(pairs: Sequence[Pair], rated_mah: float) -> Fit:
    return fit_capacity(
        [float(np.mean(pair.swings)) for pair in pairs],
        [pair.charge_mah for pair in pairs],
        [pair.mean_swing_sd for pair in pairs],
        [pair.charge_sd_mah for pair in pairs],
        rated_mah=rated_mah,
    )


def _weakest(pairs: Sequence[Pair], mean: Fit, rated_mah: float) -> Fit:
    """Fit of the smallest cell where it is smaller by more than its reading error."""
    found = mean
    for cell in range(len(pairs[0].swings)):
        fit = fit_capacity(
            [pair.swings[cell] for pair in pairs],
            [pair.charge_mah for pair in pairs],
            [sqrt(pair.voltage_sds[cell] ** 2 + pair.common_sd**2) for pair in pairs],
            [pair.charge_sd_mah for pair in pairs],
            rated_mah=rated_mah,
        )
        own = np.mean([pair.voltage_sds[cell] / pair.swings[cell] for pair in pairs])
        doubt = 3 * float(own) / sqrt(len(pairs)) * mean.capacity_mah
        if fit.capacity_mah < min(found.capacity_mah, mean.capacity_mah - doubt):
            found = fit
    return found
