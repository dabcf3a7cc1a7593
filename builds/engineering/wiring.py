"""Copper leads, regulators and the budget of a supply rail."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_not_negative,
    require_positive,
)

COPPER_RESISTIVITY = 1e-6 / 58
"""Resistivity of annealed copper at 20 degC [ohm m], IEC 60028."""
COPPER_COEFFICIENT = 0.00393
"""Temperature coefficient of resistance at 20 degC [1/K], IEC 60028."""
REFERENCE_TEMPERATURE = 293.15
"""20 degC [K]."""
THICKEST, THINNEST = -3, 40
"""Gauge numbers covered: -3 stands for 4/0."""


def gauge_diameter(*, gauge: int) -> float:
    """Diameter [m] of a solid round wire of an American wire gauge.

    Parameters
    ----------
    gauge : int
        Gauge number, -3 (4/0) to 40.

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    OutOfRange
        If the gauge is outside -3 to 40 or not a whole number.

    Notes
    -----
    Source: ASTM B258, section 1 (geometric series between 0.0050 in and 0.4600 in):
    d = 0.127 mm x 92^((36 - n) / 39).

    Examples
    --------
    >>> round(gauge_diameter(gauge=16) * 1000, 4)
    1.2908
    """
    require_between(THICKEST, THINNEST, gauge=gauge)
    if gauge != int(gauge):
        raise OutOfRange(f"gauge must be a whole number, not {gauge:g}")
    return float(0.127e-3 * 92 ** ((36 - gauge) / 39))


def gauge_area(*, gauge: int) -> float:
    """Cross-section of copper [m2] of an American wire gauge.

    Parameters
    ----------
    gauge : int
        Gauge number, -3 (4/0) to 40.

    Returns
    -------
    float
        Area [m2].

    Raises
    ------
    OutOfRange
        If the gauge is outside -3 to 40.

    Notes
    -----
    Source: ASTM B258; a stranded wire of that gauge has the same copper area.

    Examples
    --------
    >>> round(gauge_area(gauge=16) * 1e6, 3)
    1.309
    """
    return math.pi / 4 * gauge_diameter(gauge=gauge) ** 2


def conductor_resistance(
    *, area: float, length: float, temperature: float = REFERENCE_TEMPERATURE
) -> float:
    """Resistance [ohm] of a copper conductor.

    Parameters
    ----------
    area : float
        Cross-section of copper [m2].
    length : float
        Length of conductor [m]: go and return both count.
    temperature : float
        Temperature of the copper [K], 223.15 to 473.15.

    Returns
    -------
    float
        Resistance [ohm]; stranding adds about 2 % (from memory, not verified).

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: IEC 60028: 1/58 ohm mm2/m at 20 degC, 0.00393 /K.

    Examples
    --------
    >>> r = conductor_resistance(area=gauge_area(gauge=12), length=1.0)
    >>> round(r * 1000, 4)
    5.2108
    """
    require_positive(area=area)
    require_not_negative(length=length)
    require_between(223.15, 473.15, temperature=temperature)
    warmth = 1 + COPPER_COEFFICIENT * (temperature - REFERENCE_TEMPERATURE)
    return COPPER_RESISTIVITY * length / area * warmth


@dataclass(frozen=True)
class LeadLoss:
    """Loss in a lead: resistance [ohm], drop [V], heat [W], heat per conductor length [W/m]."""

    resistance: float
    drop: float
    heat: float
    heat_per_length: float


def lead_loss(
    *, gauge: int, length: float, current: float, temperature: float = REFERENCE_TEMPERATURE
) -> LeadLoss:
    """Drop and heat of a go-and-return lead.

    Parameters
    ----------
    gauge : int
        Gauge number, -3 (4/0) to 40.
    length : float
        Length of the lead one way [m], greater than zero; the current goes there and back.
    current : float
        Current [A], not negative.
    temperature : float
        Temperature of the copper [K].

    Returns
    -------
    LeadLoss
        For both conductors together; heat per metre of one conductor.

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: Ohm's law with IEC 60028. No standard rates short silicone leads in moving air by
    current: judge by drop and by watts per metre.

    Examples
    --------
    >>> loss = lead_loss(gauge=16, length=0.15, current=30.0)
    >>> round(loss.drop, 5), round(loss.heat, 3)
    (0.11857, 3.557)
    """
    require_positive(length=length)
    require_not_negative(current=current)
    resistance = conductor_resistance(
        area=gauge_area(gauge=gauge), length=2 * length, temperature=temperature
    )
    heat = current**2 * resistance
    return LeadLoss(
        resistance=resistance,
        drop=current * resistance,
        heat=heat,
        heat_per_length=heat / (2 * length),
    )


@dataclass(frozen=True)
class RailLoad:
    """One user of a rail: currents [A] idle, working and at worst (a servo: stalled)."""

    name: str
    idle: float
    working: float
    worst: float
    moves_with_others: bool = True
    """Whether its worst comes together with the others' (servos driven by one mix do)."""


@dataclass(frozen=True)
class RailBudget:
    """Currents [A] that a rail must give, and what is left of the regulator's ratings [A]."""

    idle: float
    working: float
    worst: float
    continuous_left: float
    peak_left: float


def rail_budget(
    *, loads: Iterable[RailLoad], continuous_rating: float, peak_rating: float
) -> RailBudget:
    """Budget of one supply rail.

    Parameters
    ----------
    loads : iterable of RailLoad
        The users of the rail, currents in [A].
    continuous_rating, peak_rating : float
        What the regulator's maker allows [A]; use the continuous one twice when no peak is given.

    Returns
    -------
    RailBudget
        Sums [A], and the margins of the continuous rating over the working current and of the
        peak rating over the worst current (negative: short).

    Raises
    ------
    OutOfRange
        If a current is negative, out of order (idle <= working <= worst), the rating is not
        greater than zero, or the peak rating is below the continuous one.

    Notes
    -----
    Source: sum of currents at a node (Kirchhoff). That continuous is held against working and peak
    against stall of the servos that move together is common practice, no source.
    """
    require_positive(continuous_rating=continuous_rating)
    if peak_rating < continuous_rating:
        raise OutOfRange("peak rating must not be below the continuous rating")
    users = list(loads)
    for load in users:
        _check_load(load)
    idle = math.fsum(load.idle for load in users)
    working = math.fsum(load.working for load in users)
    worst = math.fsum(load.worst if load.moves_with_others else load.working for load in users)
    alone = [load.worst - load.working for load in users if not load.moves_with_others]
    worst += max(alone, default=0.0)
    return RailBudget(
        idle=idle,
        working=working,
        worst=worst,
        continuous_left=continuous_rating - working,
        peak_left=peak_rating - worst,
    )


def linear_regulator_heat(*, supply: float, output: float, current: float) -> float:
    """Heat [W] made by a linear regulator.

    Parameters
    ----------
    supply, output : float
        Voltage in and out [V]; the output is the lower one.
    current : float
        Output current [A], not negative.

    Returns
    -------
    float
        Heat [W], without the regulator's own small supply current.

    Raises
    ------
    OutOfRange
        If the output is above the supply or a value is negative.

    Notes
    -----
    Source: energy balance, (Uin - Uout) I.

    Examples
    --------
    >>> round(linear_regulator_heat(supply=12.6, output=5.0, current=1.0), 6)
    7.6
    """
    require_positive(output=output)
    require_not_negative(current=current)
    if supply < output:
        raise OutOfRange("a linear regulator cannot give more than its supply voltage")
    return (supply - output) * current


def switching_regulator_supply_current(
    *, supply: float, output: float, current: float, efficiency: float
) -> float:
    """Current [A] that a switching regulator takes from its supply.

    Parameters
    ----------
    supply, output : float
        Voltage in and out [V].
    current : float
        Output current [A], not negative.
    efficiency : float
        Power out over power in, above 0 up to 1.

    Returns
    -------
    float
        Supply current [A].

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: energy balance, Uin Iin eta = Uout Iout.

    Examples
    --------
    >>> i = switching_regulator_supply_current(supply=16, output=5, current=2, efficiency=0.9)
    >>> round(i, 4)
    0.6944
    """
    require_positive(supply=supply, output=output)
    require_not_negative(current=current)
    require_positive(efficiency=efficiency)
    require_between(0, 1, efficiency=efficiency)
    return output * current / (supply * efficiency)


def _check_load(load: RailLoad) -> None:
    require_not_negative(**{f"idle current of {load.name}": load.idle})
    require_between(0, 1000, **{f"worst current of {load.name}": load.worst})
    if not load.idle <= load.working <= load.worst:
        raise OutOfRange(f"currents of {load.name} must rise from idle to working to worst")
