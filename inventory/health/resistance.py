"""Resistance of the cells, brought to one temperature and followed through the log."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from statistics import fmean, median

from inventory.health.cycles import drawn_mah
from inventory.health.entries import LogEntry, PackFacts, in_order
from inventory.health.pairs import LeftOut
from inventory.health.trend import theil_sen

GAS_CONSTANT = 8.314462618
"""Molar gas constant [J/(mol K)], CODATA 2018, exact in the SI of 2019."""
ACTIVATION_J_PER_MOL = 20_000.0
"""Activation energy of resistance [J/mol]; engineering judgement, 10 to 30 kJ/mol."""
ZERO_CELSIUS_K = 273.15
REFERENCE_K = 298.15
COLDEST_C, WARMEST_C = 15.0, 30.0
PLAUSIBLE_MOHM = (0.2, 100.0)
MOST_BASELINE = 3
MOST_LATE = 3
LATE_CYCLES = 10
FEWEST_FOR_GROWTH = 6


@dataclass(frozen=True)
class Reading:
    """Resistances of the cells at 25 °C, per row of one method."""

    row: LogEntry
    at_25_c_mohm: tuple[float, ...]
    cycles: float


@dataclass(frozen=True)
class Resistance:
    """What comparable readings say."""

    latest: Reading
    ratio_to_first: float | None
    growth_per_100_cycles: float | None
    mean_mohm_ah: float


def at_25_c(resistance_mohm: float, temperature_c: float) -> float:
    """Resistance that a reading stands for at 25 °C.

    Good within about ten kelvin of 25 °C only: a cell does not follow one activation energy.

    Parameters
    ----------
    resistance_mohm : reading [mohm]
    temperature_c : temperature of the pack [°C]

    Returns
    -------
    resistance at 25 °C [mohm]

    Source
    ------
    Arrhenius' law, R25 = R exp(-(Ea/Rg)(1/T - 1/298.15 K)); activation energy: engineering
    judgement, no source.
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    exponent = -(ACTIVATION_J_PER_MOL / GAS_CONSTANT) * (1 / kelvin - 1 / REFERENCE_K)
    return resistance_mohm * exp(exponent)


def comparable(
    entries: Sequence[LogEntry], facts: PackFacts
) -> tuple[tuple[Reading, ...], tuple[LeftOut, ...]]:
    """Readings that may be compared: the method of the newest one, at 15 to 30 °C.

    Parameters
    ----------
    entries : log in any order [-]
    facts : cells and rated capacity [mAh] of the pack

    Returns
    -------
    readings at 25 °C [mohm] in the order of time, and rows left out with the reason

    Source
    ------
    Common practice, no source.
    """
    rows = in_order(entries)
    kept: list[Reading] = []
    left_out: list[LeftOut] = []
    for row, drawn in zip(rows, drawn_mah(rows), strict=True):
        if not row.resistance_mohm:
            continue
        why = _why_not(row, facts)
        if why or row.temperature_c is None:
            left_out.append(LeftOut(row.id, why))
            continue
        values = tuple(at_25_c(r, row.temperature_c) for r in row.resistance_mohm)
        kept.append(Reading(row, values, drawn / facts.capacity_mah))
    method = kept[-1].row.method if kept else ""
    left_out += [
        LeftOut(r.row.id, "another method than the newest reading")
        for r in kept
        if r.row.method != method
    ]
    return tuple(r for r in kept if r.row.method == method), tuple(left_out)


def judge_resistance(readings: Sequence[Reading], facts: PackFacts) -> Resistance:
    """Compare the newest readings of a pack with its own first ones.

    The baseline is the median of the first three readings, the present value that of the newest
    three within ten equivalent cycles; in a short series of fewer, never of more than half.

    Parameters
    ----------
    readings : comparable readings in the order of time, at least one [mohm]
    facts : the pack; rated capacity [mAh]

    Returns
    -------
    ratio to the first [-], growth per 100 equivalent cycles [-], resistance times capacity
    [mohm Ah]

    Source
    ------
    Common practice, no source.
    """
    means = [fmean(reading.at_25_c_mohm) for reading in readings]
    early = means[: min(MOST_BASELINE, len(means) // 2)]
    late = _late(readings, means)
    return Resistance(
        latest=readings[-1],
        ratio_to_first=median(late) / median(early) if early else None,
        growth_per_100_cycles=_growth(readings, means),
        mean_mohm_ah=fmean(readings[-1].row.resistance_mohm) * facts.capacity_mah / 1000,
    )


def _growth(readings: Sequence[Reading], means: Sequence[float]) -> float | None:
    cycles = [reading.cycles for reading in readings]
    if len(readings) < FEWEST_FOR_GROWTH or max(cycles) - min(cycles) < 10:
        return None
    slope, _ = theil_sen(cycles, [log(mean) for mean in means])
    return exp(100 * slope) - 1


def _late(readings: Sequence[Reading], means: Sequence[float]) -> list[float]:
    most = min(MOST_LATE, max(1, len(means) // 2))
    pairs = list(zip(readings, means, strict=True))[-most:]
    return [m for r, m in pairs if readings[-1].cycles - r.cycles <= LATE_CYCLES]


def _why_not(row: LogEntry, facts: PackFacts) -> str:
    if len(row.resistance_mohm) != facts.cells:
        return f"it has {len(row.resistance_mohm)} resistances for {facts.cells} cells"
    low, high = PLAUSIBLE_MOHM
    if not all(low <= r <= high for r in row.resistance_mohm):
        return f"a resistance is outside {low} to {high:.0f} mΩ"
    if row.temperature_c is None:
        return "it says no temperature"
    if not COLDEST_C <= row.temperature_c <= WARMEST_C:
        return f"{row.temperature_c:.0f} °C is outside {COLDEST_C:.0f} to {WARMEST_C:.0f} °C"
    return ""
