"""Straight trend that outliers do not bend, and the end of life on it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.health.capacity import COVERAGE, Estimate

END_OF_LIFE_SHARE = 0.80
"""Share of rated capacity at which a pack is called worn [-]: usual, not a law of nature."""
FEWEST_ESTIMATES = 6
SHORTEST_DAYS = 30
SHORTEST_CYCLES = 10
HORIZON_SPANS = 1.5
RESAMPLES = 400
RANDOM_START = 20250101


class NoEndDate(ValueError):
    """No end of life can be given; the text may be shown."""


@dataclass(frozen=True)
class EndOfLife:
    """Equivalent cycles at which capacity crosses the line, if the trend continues.

    ``cycles_high`` is None where the late end lies beyond what the log can tell.
    """

    cycles: float
    cycles_low: float
    cycles_high: float | None


def theil_sen(x: Sequence[float], y: Sequence[float]) -> tuple[float, float]:
    """Median of the slopes of all pairs of points, with the joint intercept median(y - b x).

    Parameters
    ----------
    x, y : points, in any units [-]

    Returns
    -------
    slope [units of y per unit of x] and intercept [units of y]

    Raises
    ------
    ValueError : all x are the same

    Source
    ------
    P. K. Sen, J. Am. Stat. Assoc. 63 (1968) 1379-1389; the joint intercept as ``method="joint"``
    of scipy.stats.theilslopes.
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    slope = float(_slopes(xs[None, :], ys[None, :])[0])
    if np.isnan(slope):
        raise ValueError("A trend needs points at two different places.")
    return slope, float(np.median(ys - slope * xs))


def end_of_life(found: Sequence[Estimate], *, rated_mah: float) -> EndOfLife:
    """Equivalent cycles at which capacity crosses 80 % of rated.

    The interval, at 90 %, comes from a bootstrap of the points and from what they may have wrong
    in common, and holds only if the trend continues: a knee in the curve brings the end sooner.

    Parameters
    ----------
    found : capacity estimates through the life of the pack [mAh]
    rated_mah : rated capacity [mAh]

    Returns
    -------
    crossing and its interval [equivalent cycles]

    Raises
    ------
    NoEndDate : too few or too short a series, no fall beyond doubt, or too far ahead

    Source
    ------
    80 % of rated as the end of life: common practice, no source. Bootstrap of pairs: Efron and
    Tibshirani, An Introduction to the Bootstrap (1993), chapter 9; from memory, not verified.
    """
    ordered = sorted(found, key=lambda estimate: (estimate.cycles, estimate.day))
    _refuse_short(ordered)
    x = np.array([estimate.cycles for estimate in ordered], dtype=float)
    y = np.array([estimate.capacity_mah for estimate in ordered], dtype=float)
    limit = END_OF_LIFE_SHARE * rated_mah
    slope, intercept = theil_sen(x.tolist(), y.tolist())
    shared_sd = max(estimate.shared_sd for estimate in ordered)
    slopes, crossings = _resample(x, y, limit, shared_sd)
    tail = 100 * (1 - COVERAGE) / 2
    if slope >= 0 or np.percentile(slopes, 100 - tail) >= 0:
        raise NoEndDate("Capacity does not fall beyond doubt, so no end can be given.")
    low, high = (float(v) for v in np.percentile(crossings, [tail, 100 - tail]))
    furthest = float(x[-1] + HORIZON_SPANS * (x[-1] - x[0]))
    if low > furthest:
        raise NoEndDate(f"The end is not before {furthest:.0f} equivalent cycles.")
    crossing = (limit - intercept) / slope
    return EndOfLife(crossing, max(low, 0.0), high if high <= furthest else None)


def _refuse_short(ordered: Sequence[Estimate]) -> None:
    if len(ordered) < FEWEST_ESTIMATES:
        raise NoEndDate(
            f"{len(ordered)} capacity estimates; {FEWEST_ESTIMATES} are needed for a trend."
        )
    days = max(e.day for e in ordered) - min(e.day for e in ordered)
    cycles = ordered[-1].cycles - ordered[0].cycles
    if days < SHORTEST_DAYS or cycles < SHORTEST_CYCLES:
        raise NoEndDate(
            f"The estimates span {days:.0f} days and {cycles:.0f} equivalent cycles; "
            f"{SHORTEST_DAYS} and {SHORTEST_CYCLES} are needed for a trend."
        )


def _slopes(xs: np.ndarray, ys: np.ndarray) -> np.ndarray:
    """Median slope of each row of points; pairs at the same x say nothing."""
    first, second = np.triu_indices(xs.shape[1], k=1)
    run = xs[:, second] - xs[:, first]
    rise = ys[:, second] - ys[:, first]
    slopes = np.divide(rise, run, out=np.full_like(rise, np.nan), where=run != 0)
    has_slope = ~np.isnan(slopes).all(axis=1)
    found = np.full(len(slopes), np.nan)
    found[has_slope] = np.nanmedian(slopes[has_slope], axis=1)
    return found


def _resample(
    x: np.ndarray, y: np.ndarray, limit: float, shared_sd: float
) -> tuple[np.ndarray, np.ndarray]:
    """Slopes and crossings of resampled points; one that does not fall never crosses.

    What all estimates have wrong in common moves the line that they cross.
    """
    rng = np.random.default_rng(RANDOM_START)
    places = rng.integers(0, len(x), size=(RESAMPLES, len(x)))
    limits = limit * (1 + shared_sd * rng.standard_normal(RESAMPLES))
    slopes = _slopes(x[places], y[places])
    kept = ~np.isnan(slopes)
    places, slopes, limits = places[kept], slopes[kept], limits[kept]
    intercepts = np.median(y[places] - slopes[:, None] * x[places], axis=1)
    falling = slopes < 0
    crossings = np.full(len(slopes), 1e9)
    crossings[falling] = (limits[falling] - intercepts[falling]) / slopes[falling]
    return slopes, crossings
