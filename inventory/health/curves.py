"""Open-circuit curves: the charge that a rest voltage stands for."""

from bisect import bisect_right
from dataclasses import dataclass

from inventory.health.entries import Chemistry, PackFacts

ABOVE_FULL_V = 0.05
"""Reading error that a rest voltage may show above the full voltage [V]."""


class NoCurve(ValueError):
    """No open-circuit curve holds for this kind of cell; the text may be shown."""


@dataclass(frozen=True)
class Curve:
    """Open-circuit volts of one cell by state of charge, at 25 °C."""

    chemistry: Chemistry
    full_v: float
    states: tuple[float, ...]
    volts: tuple[float, ...]

    def state_of_charge(self, rest_v: float) -> float:
        """State of charge at a rest voltage.

        Parameters
        ----------
        rest_v : rest voltage of one cell [V]

        Returns
        -------
        state of charge, 0 to 1 [-]

        Raises
        ------
        ValueError : the voltage is above that of a full cell

        Source
        ------
        Linear interpolation in the table of this curve.
        """
        if rest_v > self.full_v + ABOVE_FULL_V:
            raise ValueError(f"{rest_v:.2f} V is above a full cell of {self.full_v:.2f} V.")
        return _between(rest_v, self.volts, self.states)

    def rest_v(self, state: float) -> float:
        """Rest voltage at a state of charge.

        Parameters
        ----------
        state : state of charge, 0 to 1 [-]

        Returns
        -------
        rest voltage of one cell [V]

        Source
        ------
        Linear interpolation in the table of this curve.
        """
        return _between(state, self.states, self.volts)

    def slope_v(self, state: float) -> float:
        """Steepness of the curve, over a twentieth of the charge about a state.

        Parameters
        ----------
        state : state of charge, 0 to 1 [-]

        Returns
        -------
        volts per unit of state of charge [V]

        Source
        ------
        Difference quotient of the table of this curve.
        """
        low, high = max(state - 0.025, 0.0), min(state + 0.025, 1.0)
        return (self.rest_v(high) - self.rest_v(low)) / (high - low)


def _between(x: float, places: tuple[float, ...], values: tuple[float, ...]) -> float:
    """Value at x on the straight line between the two nearest places; held beyond the ends."""
    if x <= places[0]:
        return values[0]
    if x >= places[-1]:
        return values[-1]
    after = bisect_right(places, x)
    share = (x - places[after - 1]) / (places[after] - places[after - 1])
    return values[after - 1] + share * (values[after] - values[after - 1])


# LiCoO2 against graphite, low rate, 25 °C: computed with PyBaMM 26.10.1.1 (BSD-3) from its
# parameter set Ai2020 (Ai et al., J. Electrochem. Soc. 167 (2020) 013512), one cell type.
_LIPO_STATES = (
    *(0.00, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.10, 0.12, 0.15, 0.20, 0.25, 0.30),
    *(0.35, 0.40, 0.45, 0.50, 0.55, 0.60, 0.65, 0.70, 0.75, 0.80, 0.85, 0.90, 0.95, 0.98, 1.00),
)
_LIPO_VOLTS = (
    *(3.00000, 3.21918, 3.33876, 3.42394, 3.48930, 3.54206, 3.58251, 3.62501, 3.63956, 3.64756),
    *(3.66535, 3.69538, 3.71676, 3.73309, 3.74813, 3.76219, 3.77630, 3.79251, 3.81216, 3.83646),
    *(3.86750, 3.90889, 3.95195, 3.99448, 4.04086, 4.08795, 4.13836, 4.17002, 4.20000),
)
LIPO_CURVE = Curve(chemistry=Chemistry.LIPO, full_v=4.20, states=_LIPO_STATES, volts=_LIPO_VOLTS)


def curve_for(facts: PackFacts) -> Curve:
    """Open-circuit curve that holds for the cells of a pack.

    One curve does not serve all: 4.20 V is full for one cell and not for a high-voltage one.

    Parameters
    ----------
    facts : chemistry and full volts per cell of the pack [V]

    Returns
    -------
    the curve

    Raises
    ------
    NoCurve : there is none for these cells

    Source
    ------
    High-voltage cells, 3.0 to 4.35 V: Maleki et al., J. Power Sources (2014), from memory, not
    verified.
    """
    if facts.chemistry == Chemistry.LIPO and abs(facts.full_v_per_cell - 4.20) <= 0.01:
        return LIPO_CURVE
    kind = {Chemistry.LIPO_HV: "high-voltage", Chemistry.LI_ION: "Li-ion"}.get(
        facts.chemistry, f"{facts.full_v_per_cell:.2f} V"
    )
    raise NoCurve(
        f"Rest voltages of {kind} cells are not turned into charge: no curve for them is held. "
        "Only full discharges in a tester count for their capacity."
    )
