"""A smooth fade through capacity estimates, with a band that widens where nothing was measured.

The fade is a straight line plus a bend that wanders (a cubic smoothing spline, seen as a random
process); the estimates lie about it with noise and with recovery after rest, which lasts for some
cycles. How strong noise, recovery and bend are is taken from the estimates themselves.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import median

import numpy as np
from scipy.stats import t as student

# Engineering judgement, no source; the values were tried on simulated packs.
MOST_POINTS = 32
RECOVERY_CYCLES = 10.0
LEAST_NOISE = 0.003
LEAST_BEND = 0.5
RECOVERIES = (0.0, 1.0, 4.0, 16.0)
BENDS = (0.0, 0.01, 0.1, 1.0, 10.0, 100.0, 1000.0)
ROBUST_ROUNDS = 2
ROBUST_FREEDOM = 4
TOO_FEW = "A fade needs three estimates at different cycles."


@dataclass(frozen=True)
class Fade:
    """A fade that was fitted; ``bend`` and ``recovery`` are ratios of variances to the noise."""

    places: np.ndarray
    span: float
    line: np.ndarray
    line_spread: np.ndarray
    pull: np.ndarray
    inverse: np.ndarray
    noise: float
    bend: float
    recovery: float

    def at(self, cycles: Sequence[float] | np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Fade and its standard deviation.

        Parameters
        ----------
        cycles : equivalent cycles, not negative [-]

        Returns
        -------
        share of rated capacity and its standard deviation [-]

        Source
        ------
        C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning (2006),
        section 2.7, equation 2.41; from memory, not verified.
        """
        u = np.asarray(cycles, dtype=float) / self.span
        across, solved, lever = self._tied(u)
        value = _lines(u) @ self.line + across @ self.pull
        own = self.bend * u**3 / 3 - np.sum(across * solved, axis=1)
        variance = own + np.sum(lever @ self.line_spread * lever, axis=1)
        return value, self.noise * np.sqrt(np.maximum(variance, 0.0))

    def fall(self) -> tuple[float, float]:
        """What capacity lost from the first estimate to the newest.

        Returns
        -------
        share of rated capacity, positive for a loss, and its standard deviation [-]

        Source
        ------
        As for the fade itself.
        """
        ends = self.places[[0, -1]]
        across, solved, lever = self._tied(ends)
        value = _lines(ends) @ self.line + across @ self.pull
        own = (
            self.bend * _wander(ends, ends) - across @ solved.T + lever @ self.line_spread @ lever.T
        )
        variance = float(own[0, 0] + own[1, 1] - 2 * own[0, 1])
        return float(value[0] - value[1]), self.noise * sqrt(max(variance, 0.0))

    def recovery_sd(self) -> float:
        """Standard deviation of what recovery after rest adds or takes.

        Returns
        -------
        share of rated capacity [-]

        Source
        ------
        The fit itself.
        """
        return self.noise * sqrt(self.recovery)

    def width_factor(self, coverage: float) -> float:
        """Half width of an interval in standard deviations, for this few estimates.

        Parameters
        ----------
        coverage : share of cases that it holds [-]

        Returns
        -------
        Student's factor [-]

        Source
        ------
        Student's distribution with two degrees of freedom fewer than estimates.
        """
        return float(student.ppf(0.5 + coverage / 2, len(self.places) - 2))

    def _tied(self, u: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Covariance with the estimates, that over theirs, and the lever of the line."""
        across = self.bend * _wander(u, self.places)
        solved = across @ self.inverse
        return across, solved, _lines(u) - solved @ _lines(self.places)


def fit_fade(cycles: Sequence[float], shares: Sequence[float]) -> Fade:
    """Fit a smooth fade to capacity estimates; odd ones count less.

    Many estimates are first brought to at most 32 medians. Recovery and bend are those of the
    greatest restricted likelihood. The bend is never taken for less than one that changes the
    rate of the fade by half over as many cycles as were seen: a line so far is no promise, and the
    band has to say so.

    Parameters
    ----------
    cycles : equivalent cycles, not negative, in order, at least three places [-]
    shares : capacity as a share of rated [-]

    Returns
    -------
    the fade

    Raises
    ------
    ValueError : fewer than three estimates, or all at one place

    Source
    ------
    G. Wahba, J. R. Stat. Soc. B 40 (1978) 364-372 (spline as a random process); H. D. Patterson
    and R. Thompson, Biometrika 58 (1971) 545-554 (restricted likelihood); K. L. Lange et al., J.
    Am. Stat. Assoc. 84 (1989) 881-896 (weights by Student's distribution). From memory, not
    verified. Least bend: engineering judgement, no source.
    """
    x, y = _medians(np.asarray(cycles, dtype=float), np.asarray(shares, dtype=float))
    if len(x) < 3 or x[-1] <= x[0]:
        raise ValueError(TOO_FEW)
    weights = np.ones(len(x))
    found = _likeliest(x, y, weights)
    for _ in range(ROBUST_ROUNDS):
        weights = _robust_weights(found, x, y)
        found = _likeliest(x, y, weights)
    least = (LEAST_BEND * found.fall()[0] / found.noise) ** 2
    return fit_given(x, y, weights, recovery=found.recovery, bend=max(found.bend, least))


def fit_given(
    cycles: np.ndarray, shares: np.ndarray, weights: np.ndarray, *, recovery: float, bend: float
) -> Fade:
    """Fit a fade of given recovery and bend by generalised least squares.

    Parameters
    ----------
    cycles : equivalent cycles, not negative, in order [-]
    shares : capacity as a share of rated [-]
    weights : what each estimate counts for, 1 for a usual one [-]
    recovery : variance of recovery over that of the noise [-]
    bend : variance of the change of slope over the span seen, over that of the noise [-]

    Returns
    -------
    the fade

    Raises
    ------
    ValueError : fewer than three estimates, or all at one place

    Source
    ------
    C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning (2006), section
    2.7, with the kernel of the cubic spline of section 6.3; from memory, not verified.
    """
    if len(cycles) < 3 or cycles[-1] <= cycles[0]:
        raise ValueError(TOO_FEW)
    span = float(cycles[-1] - cycles[0])
    u = cycles / span
    apart = np.abs(u[:, None] - u[None, :]) * span
    cover = np.diag(1 / weights) + recovery * np.exp(-apart / RECOVERY_CYCLES)
    inverse = np.linalg.inv(cover + bend * _wander(u, u))
    lines = _lines(u)
    spread = np.linalg.inv(lines.T @ inverse @ lines)
    line = spread @ (lines.T @ inverse @ shares)
    rest = shares - lines @ line
    pull = inverse @ rest
    noise = max(sqrt(float(rest @ pull) / (len(u) - 2)), LEAST_NOISE)
    return Fade(u, span, line, spread, pull, inverse, noise, bend, recovery)


def _likeliest(x: np.ndarray, y: np.ndarray, weights: np.ndarray) -> Fade:
    """Fit whose recovery and bend have the greatest restricted likelihood, all tried at once."""
    span = float(x[-1] - x[0])
    u, freedom = x / span, len(x) - 2
    recoveries, bends = (axis.ravel() for axis in np.meshgrid(RECOVERIES, BENDS))
    near = np.exp(-np.abs(x[:, None] - x[None, :]) / RECOVERY_CYCLES)
    covers = (
        np.diag(1 / weights)
        + recoveries[:, None, None] * near
        + bends[:, None, None] * _wander(u, u)
    )
    sides = np.column_stack([_lines(u), y])
    normal = sides.T @ np.linalg.solve(covers, np.broadcast_to(sides, (len(covers), *sides.shape)))
    lines, crossed = normal[:, :2, :2], normal[:, :2, 2:]
    square = normal[:, 2, 2] - np.sum(crossed * np.linalg.solve(lines, crossed), axis=(1, 2))
    variance = np.maximum(square / freedom, LEAST_NOISE**2)
    volume = np.linalg.slogdet(covers)[1] + np.linalg.slogdet(lines)[1]
    best = int(np.argmin(freedom * np.log(variance) + square / variance + volume))
    return fit_given(x, y, weights, recovery=float(recoveries[best]), bend=float(bends[best]))


def _robust_weights(fade: Fade, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Weights of a Student distribution, for what lies off the fade and its recovery."""
    apart = np.abs(x[:, None] - x[None, :])
    smooth = fade.at(x)[0] + fade.recovery * np.exp(-apart / RECOVERY_CYCLES) @ fade.pull
    off = np.abs(y - smooth)
    scale = max(1.4826 * float(np.median(off)), LEAST_NOISE)
    counts = (ROBUST_FREEDOM + 1) / (ROBUST_FREEDOM + (off / scale) ** 2)
    return np.asarray(np.minimum(counts, 1.0))


def _medians(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    together = -(-len(x) // MOST_POINTS) or 1
    groups = [slice(i, i + together) for i in range(0, len(x), together)]
    return (
        np.array([median(x[group].tolist()) for group in groups]),
        np.array([median(y[group].tolist()) for group in groups]),
    )


def _lines(u: np.ndarray) -> np.ndarray:
    return np.column_stack([np.ones(len(u)), u])


def _wander(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    """Covariance of a slope that wanders, summed up from 0: that of the cubic spline."""
    low = np.minimum(u[:, None], v[None, :])
    high = np.maximum(u[:, None], v[None, :])
    return np.asarray(low**2 * (3 * high - low) / 6)
