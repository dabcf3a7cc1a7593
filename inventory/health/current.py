"""Current that a pack may be expected to give. Estimated, not approved."""

from dataclasses import dataclass

from inventory.health.curves import NoCurve, curve_for
from inventory.health.entries import Chemistry, PackFacts

CHARGER_TO_PULSE = 1.45
"""Resistance in a pulse of 10 to 30 s over that of a charger [-]; 1.30 and 1.62 in one cell."""
RESERVE_STATE = 0.30
LOWEST_LOADED_V = 3.30
TEMPERATURE_RISE_K = 35.0
HEAT_CAPACITY_J_KG_K = 950.0
DEPTH_OF_DISCHARGE = 0.80
CELL_SHARE_OF_MASS = 0.90


@dataclass(frozen=True)
class CurrentLimit:
    """Lowest of the limits that are known; never above the label."""

    limit_a: float
    label_a: float | None
    by_voltage_a: float | None
    by_heat_a: float | None


def current_by_voltage(*, rest_v: float, voltage_min_v: float, resistance_mohm: float) -> float:
    """Current that pulls a cell down to a voltage.

    Parameters
    ----------
    rest_v, voltage_min_v : volts of the cell at rest and under load [V]
    resistance_mohm : direct-current resistance of the cell [mohm]

    Returns
    -------
    current [A]

    Source
    ------
    Ohm's law.
    """
    return max(rest_v - voltage_min_v, 0.0) / (resistance_mohm / 1000)


def current_by_heat(*, resistance_mohm: float, capacity_mah: float, cell_mass_g: float) -> float:
    """Current that warms a cell by 35 K while it gives 80 % of its charge, losing no heat.

    Parameters
    ----------
    resistance_mohm : direct-current resistance of the cell [mohm]
    capacity_mah : capacity [mAh]
    cell_mass_g : mass of one cell [g]

    Returns
    -------
    current [A]

    Source
    ------
    Energy balance m c dT = I^2 R t with t = Q DoD / I.
    """
    heat_j = TEMPERATURE_RISE_K * cell_mass_g / 1000 * HEAT_CAPACITY_J_KG_K
    charge_c = 3.6 * capacity_mah * DEPTH_OF_DISCHARGE
    return heat_j / (resistance_mohm / 1000 * charge_c)


def current_limit(
    facts: PackFacts, *, resistance_mohm: tuple[float, ...], capacity_mah: float | None
) -> CurrentLimit | None:
    """Lowest of the label, the voltage under load and the heat, by the weakest cell.

    Li-ion cells have the label only: they discharge for too long to lose no heat on the way.

    Parameters
    ----------
    facts : the pack; label [A] or [1/h], mass [g]
    resistance_mohm : newest comparable reading of a charger, per cell [mohm]; may be empty
    capacity_mah : present capacity [mAh]; without it the rated one

    Returns
    -------
    limits [A]; None where nothing is known

    Source
    ------
    Factor from charger to pulse resistance: engineering judgement, no source.
    """
    label = _label(facts)
    by_voltage = by_heat = None
    if resistance_mohm and facts.chemistry != Chemistry.LI_ION:
        weakest = CHARGER_TO_PULSE * max(resistance_mohm)
        by_voltage = _by_voltage(facts, weakest)
        if facts.mass_g:
            by_heat = current_by_heat(
                resistance_mohm=weakest,
                capacity_mah=capacity_mah or facts.capacity_mah,
                cell_mass_g=CELL_SHARE_OF_MASS * facts.mass_g / facts.cells,
            )
    known = [limit for limit in (label, by_voltage, by_heat) if limit is not None]
    return CurrentLimit(min(known), label, by_voltage, by_heat) if known else None


def _label(facts: PackFacts) -> float | None:
    if facts.continuous_a:
        return facts.continuous_a
    return facts.continuous_c * facts.capacity_mah / 1000 if facts.continuous_c else None


def _by_voltage(facts: PackFacts, resistance_mohm: float) -> float | None:
    try:
        rest_v = curve_for(facts).rest_v(RESERVE_STATE)
    except NoCurve:
        return None
    return current_by_voltage(
        rest_v=rest_v, voltage_min_v=LOWEST_LOADED_V, resistance_mohm=resistance_mohm
    )
