"""Propeller coefficients: generic from pitch and diameter, or measured.

T = Ct rho n2 D4, P = Cp rho n3 D5, n in revolutions a second, J = V / (n D).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Protocol

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_not_negative,
    require_positive,
)
from builds.engineering.propulsion.bounds import flight_efficiency_bound, static_figure_of_merit


@dataclass(frozen=True)
class Coefficients:
    """Thrust and power coefficient [1]; `is_held` when held at the end of what is known."""

    thrust: float
    power: float
    is_held: bool = False


class CoefficientModel(Protocol):
    """Anything that answers with coefficients."""

    def at(self, *, advance_ratio: float, speed: float) -> Coefficients:
        """Coefficients [1] at an advance ratio [1] and a speed [rad/s]."""


@dataclass(frozen=True)
class GenericCoefficients:
    """Coefficients guessed from pitch over diameter alone, two blades, thin electric propellers.

    Notes
    -----
    Static: Cp = 0.022 + 0.042 p/D, Ct = 0.075 + 0.055 p/D: our own fit, common practice, no source;
    pitch and diameter cannot set the coefficients, so the honest spread is 15 % of Ct and 25 % of
    Cp. Valid for p/D 0.3 to 1.2.
    In flight: Ct falls as 1 - x^1.5 and Cp as 1 - 0.64 x2, x = J / (1.3 p/D): shape fitted to two
    propellers of Brandt and Selig, AIAA 2011-1255, and Deters et al., AIAA 2014-2151, which had
    their zero thrust at 1.43 and 1.19 p/D. Cp is kept so high that at most 80 % of the efficiency
    of an actuator disc is reached; the two measured ones reached 71 % and 76 %.
    """

    pitch_to_diameter: float

    def __post_init__(self) -> None:
        """Refuse propellers outside the fit."""
        require_between(0.3, 1.2, pitch_over_diameter=self.pitch_to_diameter)

    @property
    def zero_thrust_advance_ratio(self) -> float:
        """Advance ratio [1] beyond which there is no thrust."""
        return 1.3 * self.pitch_to_diameter

    def at(self, *, advance_ratio: float, speed: float) -> Coefficients:  # noqa: ARG002
        """Coefficients [1] at an advance ratio [1]; the speed [rad/s] makes no difference here."""
        share = advance_ratio / self.zero_thrust_advance_ratio
        held = min(share, 1.0)
        thrust = (0.075 + 0.055 * self.pitch_to_diameter) * (1 - held**1.5)
        power = (0.022 + 0.042 * self.pitch_to_diameter) * (1 - 0.64 * held**2)
        # Coarse pitch would come out more efficient than momentum theory allows.
        ideal = _ideal_power(thrust, advance_ratio)
        return Coefficients(thrust, max(power, ideal / 0.8), is_held=share > 1)


@dataclass(frozen=True)
class ConstantCoefficients:
    """Coefficients [1] from one static measurement; they hold at rest only."""

    thrust: float
    power: float

    def __post_init__(self) -> None:
        """Refuse coefficients that beat momentum theory."""
        static_figure_of_merit(thrust_coefficient=self.thrust, power_coefficient=self.power)

    def at(self, *, advance_ratio: float, speed: float) -> Coefficients:  # noqa: ARG002
        """Coefficients [1] at rest; an advance ratio [1] above zero is outside the measurement."""
        return Coefficients(self.thrust, self.power, is_held=advance_ratio > 0)


@dataclass(frozen=True)
class MeasuredRow:
    """One measured point: speed [rad/s], advance ratio [1], thrust and power coefficient [1]."""

    speed: float
    advance_ratio: float
    thrust: float
    power: float


class MeasuredCoefficients:
    """Coefficients [1] from a wind-tunnel or bench table, linear between the rows.

    Parameters
    ----------
    rows : iterable of MeasuredRow
        At least one; rows of equal speed [rad/s] make one curve over the advance ratio [1].

    Raises
    ------
    OutOfRange
        If there is no row, two rows share speed and advance ratio, a speed or power coefficient is
        not greater than zero, an advance ratio is negative, or a row beats momentum theory.

    Notes
    -----
    Nothing is extrapolated: beyond the rows the last value is held and marked so.
    Source of the definitions: Brandt and Selig, Propeller Performance Data at Low Reynolds Numbers,
    AIAA 2011-1255.
    """

    def __init__(self, rows: Iterable[MeasuredRow]) -> None:
        ordered = sorted(rows, key=lambda row: (row.speed, row.advance_ratio))
        if not ordered:
            raise OutOfRange("a table of coefficients needs at least one row")
        for row in ordered:
            _check_row(row)
        self._curves = [
            (speed, list(curve)) for speed, curve in groupby(ordered, key=lambda row: row.speed)
        ]
        for speed, curve in self._curves:
            if len({row.advance_ratio for row in curve}) < len(curve):
                raise OutOfRange(f"two rows at {speed:g} rad/s share one advance ratio")

    def at(self, *, advance_ratio: float, speed: float) -> Coefficients:
        """Coefficients [1] at an advance ratio [1] and a speed [rad/s]."""
        low, high, share, held = _bracket([s for s, _ in self._curves], speed)
        lower = _on_curve(self._curves[low][1], advance_ratio)
        upper = _on_curve(self._curves[high][1], advance_ratio)
        return Coefficients(
            thrust=lower.thrust + share * (upper.thrust - lower.thrust),
            power=lower.power + share * (upper.power - lower.power),
            is_held=held or lower.is_held or upper.is_held,
        )


@dataclass(frozen=True)
class ScaledCoefficients:
    """Coefficients [1] of another model times constant factors [1].

    Notes
    -----
    Power is held above that of an ideal actuator disc (Rankine and Froude), so that no factor
    makes a propeller that momentum theory forbids.
    """

    base: CoefficientModel
    thrust: float
    power: float

    def at(self, *, advance_ratio: float, speed: float) -> Coefficients:
        """Coefficients [1] at an advance ratio [1] and a speed [rad/s]."""
        found = self.base.at(advance_ratio=advance_ratio, speed=speed)
        thrust = found.thrust * self.thrust
        power = max(found.power * self.power, _ideal_power(thrust, advance_ratio))
        return Coefficients(thrust, power, found.is_held)


@dataclass(frozen=True)
class Propeller:
    """Diameter [m] and coefficients [1]."""

    diameter: float
    coefficients: CoefficientModel

    def __post_init__(self) -> None:
        """Refuse a propeller without a size."""
        require_positive(diameter=self.diameter)


def generic_propeller(*, diameter: float, pitch: float) -> Propeller:
    """Propeller of which only diameter and pitch are known.

    Parameters
    ----------
    diameter, pitch : float
        As marked on the blade [m].

    Returns
    -------
    Propeller
        With `GenericCoefficients`.

    Raises
    ------
    OutOfRange
        If pitch over diameter lies outside 0.3 to 1.2.

    Notes
    -----
    Source: see `GenericCoefficients`.
    """
    require_positive(diameter=diameter)
    return Propeller(diameter, GenericCoefficients(pitch / diameter))


def _ideal_power(thrust: float, advance_ratio: float) -> float:
    """Power coefficient of an actuator disc that gives a thrust coefficient."""
    if thrust <= 0:
        return 0.0
    return thrust * (advance_ratio + math.sqrt(advance_ratio**2 + 8 * thrust / math.pi)) / 2


def _check_row(row: MeasuredRow) -> None:
    require_positive(speed=row.speed)
    require_not_negative(advance_ratio=row.advance_ratio)
    require_positive(power_coefficient=row.power)
    if row.advance_ratio == 0:
        static_figure_of_merit(thrust_coefficient=row.thrust, power_coefficient=row.power)
        return
    bound = flight_efficiency_bound(
        thrust_coefficient=max(row.thrust, 0.0), advance_ratio=row.advance_ratio
    )
    if row.advance_ratio * row.thrust / row.power > bound:
        raise OutOfRange(
            f"the row at J = {row.advance_ratio:g} is more efficient than momentum theory allows"
        )


def _bracket(knots: list[float], value: float) -> tuple[int, int, float, bool]:
    if value <= knots[0]:
        return 0, 0, 0.0, value < knots[0]
    if value >= knots[-1]:
        last = len(knots) - 1
        return last, last, 0.0, value > knots[-1]
    high = bisect_right(knots, value)
    share = (value - knots[high - 1]) / (knots[high] - knots[high - 1])
    return high - 1, high, share, False


def _on_curve(curve: list[MeasuredRow], advance_ratio: float) -> Coefficients:
    low, high, share, held = _bracket([row.advance_ratio for row in curve], advance_ratio)
    lower, upper = curve[low], curve[high]
    return Coefficients(
        thrust=lower.thrust + share * (upper.thrust - lower.thrust),
        power=lower.power + share * (upper.power - lower.power),
        is_held=held,
    )
