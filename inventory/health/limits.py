"""Limits that depend on the chemistry of a cell.

Common practice, no source, unless said otherwise. The maker's own figures come first.
"""

from dataclasses import dataclass

from inventory.health.entries import END_PERCENT, Chemistry, PackFacts


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Limits of one chemistry; voltages per cell at rest."""

    nominal_v: float
    minimum_v: float
    never_charge_v: float
    empty_v: float
    left_full_below_full_v: float
    storage: str
    resistance_watch_mohm_ah: float | None
    resistance_high_mohm_ah: float | None


_FLIGHT = Limits(
    nominal_v=3.7,
    minimum_v=3.0,
    never_charge_v=2.7,
    empty_v=3.6,
    left_full_below_full_v=0.10,
    storage="3.80 to 3.85 V a cell",
    resistance_watch_mohm_ah=8.0,
    resistance_high_mohm_ah=12.0,
)

LIMITS = {
    Chemistry.LIPO: _FLIGHT,
    Chemistry.LIPO_HV: Limits(**(vars(_FLIGHT) | {"nominal_v": 3.8})),
    Chemistry.LI_ION: Limits(
        nominal_v=3.7,
        minimum_v=2.5,
        never_charge_v=2.0,
        empty_v=3.0,
        left_full_below_full_v=0.10,
        storage="the maker's storage voltage, often 3.6 to 3.7 V a cell",
        resistance_watch_mohm_ah=None,
        resistance_high_mohm_ah=None,
    ),
}

SPREAD_WATCH_V = 0.030
SPREAD_STOP_V = 0.100
SPREAD_WATCH_STATE = 0.05
SPREAD_NOISE_V = 0.020
SELF_DISCHARGE_PER_DAY = 0.005
CELL_RATIO_WATCH = 1.3
CELL_RATIO_STOP = 2.0
BASELINE_RATIO_WATCH = 1.5
BASELINE_RATIO_RETIRE = 2.0
CAPACITY_WATCH_PERCENT = 90.0
CAPACITY_RETIRE_PERCENT = END_PERCENT
CAPACITY_END_PERCENT = 70.0
SWELLING_STOP_PERCENT = 10.0
SWELLING_WATCH_PERCENT = 5.0
FEWEST_CYCLES = 3
STALE_DAYS = 365


def minimum_v(facts: PackFacts) -> float:
    """Lowest rest voltage of a cell: the maker's, else that of its chemistry.

    Parameters
    ----------
    facts : the pack [-]

    Returns
    -------
    voltage [V]

    Source
    ------
    LiPo 3.0 V off load: British Model Flying Association handbook, from memory, not verified.
    """
    return facts.minimum_v_per_cell or LIMITS[facts.chemistry].minimum_v


def nominal_v(facts: PackFacts) -> float:
    """Nominal voltage of a cell: the maker's, else that of its chemistry.

    Parameters
    ----------
    facts : the pack [-]

    Returns
    -------
    voltage [V]

    Source
    ------
    Common practice, no source.
    """
    return facts.nominal_v_per_cell or LIMITS[facts.chemistry].nominal_v
