"""Straight trend that outliers do not bend, and the end of life on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np

from inventory.health.capacity import COVERAGE, Estimate
from inventory.health.entries import END_PERCENT
from inventory.health.fade import Fade, fit_fade

END_OF_LIFE_SHARE = END_PERCENT / 100
FEWEST_ESTIMATES = 6
SHORTEST_DAYS = 30
SHORTEST_CYCLES = 10
HORIZON_SPANS = 1.5
STEPS = 120


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
    first, second = np.triu_indices(len(xs), k=1)
    run, rise = xs[second] - xs[first], ys[second] - ys[first]
    is_apart = run != 0
    if not is_apart.any():
        raise ValueError("A trend needs points at two different places.")
    slope = float(np.median(rise[is_apart] / run[is_apart]))
    return slope, float(np.median(ys - slope * xs))


def end_of_life(
    found: Sequence[Estimate], *, rated_mah: float, end_share: float = END_OF_LIFE_SHARE
) -> EndOfLife:
    """Equivalent cycles at which capacity crosses the end line, 80 % of rated unless said.

    The interval, at 90 %, is where the band of a smooth fade meets the limit. The band carries the
    scatter of the estimates, recovery after rest, what they may have wrong in common, and a bend
    of the fade that is never taken for nothing: it widens with the distance from the last
    estimate, so that an early forecast is wide and its late end often open. No end is given where
    the fall is not beyond doubt, nor further ahead than one and a half times what was seen. It
    holds if the fade goes on like this: a knee in the curve, which no early reading announces,
    brings the end sooner.

    Parameters
    ----------
    found : capacity estimates through the life of the pack [mAh]
    rated_mah : rated capacity [mAh]
    end_share : the end line, a share of rated [-]

    Returns
    -------
    crossing and its interval [equivalent cycles]

    Raises
    ------
    NoEndDate : too few or too short a series, no fall beyond doubt, or too far ahead

    Source
    ------
    80 % of rated as the end of life: common practice, no source. Interval: the set of places
    where the band holds the limit; for a straight line that of E. C. Fieller, J. R. Stat. Soc. B
    16 (1954) 175-185, from memory, not verified.
    """
    ordered = sorted(found, key=lambda estimate: (estimate.cycles, estimate.day))
    _refuse_short(ordered)
    cycles = [estimate.cycles for estimate in ordered]
    fade = fit_fade(cycles, [estimate.capacity_mah / rated_mah for estimate in ordered])
    factor = fade.width_factor(COVERAGE)
    fall, fall_sd = fade.fall()
    if fall <= factor * fall_sd:
        raise NoEndDate("Capacity does not fall beyond doubt, so no end can be given.")
    furthest = cycles[-1] + HORIZON_SPANS * (cycles[-1] - cycles[0])
    places = np.linspace(0.0, furthest, STEPS)
    return crossing(
        fade,
        places,
        coverage=COVERAGE,
        shared_sd=max(estimate.shared_sd for estimate in ordered),
        end_share=end_share,
    )


def crossing(
    fade: Fade,
    places: np.ndarray,
    *,
    coverage: float,
    shared_sd: float,
    end_share: float = END_OF_LIFE_SHARE,
) -> EndOfLife:
    """Where a fade crosses the end line, and where its band does.

    Parameters
    ----------
    fade : the fade
    places : equivalent cycles to look at, in order [-]
    coverage : share of cases that the interval holds [-]
    shared_sd : what all estimates may have wrong in common, a share [-]
    end_share : the end line, a share of rated [-]

    Returns
    -------
    last crossing of the fade and the interval about it [equivalent cycles]

    Raises
    ------
    NoEndDate : the fade is never above the limit, does not fall at the last place, or its band is
    above the limit there

    Source
    ------
    As for the end of life.
    """
    value, sd = fade.at(places)
    common = hypot(fade.recovery_sd(), shared_sd * end_share)
    half = fade.width_factor(coverage) * np.hypot(sd, common)
    room, early, late = (side - end_share for side in (value, value - half, value + half))
    if early[-1] > 0:
        raise NoEndDate(f"The end is not before {places[-1]:.0f} equivalent cycles.")
    above = np.flatnonzero(room > 0)
    if not len(above):
        line = f"{100 * end_share:.0f} % of rated"
        raise NoEndDate(f"Capacity was below {line} from the first estimate on.")
    last = int(above[-1])
    if last == len(places) - 1 and room[-1] >= room[-2]:
        raise NoEndDate("Capacity does not fall at present, so no end can be given.")
    before = np.flatnonzero(early[: last + 1] > 0)
    after = last + np.flatnonzero(late[last:] <= 0)
    return EndOfLife(
        _zero(places, room, last),
        _zero(places, early, int(before[-1])) if len(before) else 0.0,
        _zero(places, late, int(after[0]) - 1) if len(after) else None,
    )


def _zero(places: np.ndarray, room: np.ndarray, at: int) -> float:
    """Place where the room above the limit ends, on the line through a step and the next."""
    first = min(max(at, 0), len(places) - 2)
    step = room[first + 1] - room[first]
    if step == 0:
        return float(places[first])
    return max(float(places[first] - room[first] * (places[1] - places[0]) / step), 0.0)


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
