"""Packs, leads and controllers between the cells and the motors."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from builds.engineering.checks import OutOfRange, require_not_negative, require_positive


@dataclass(frozen=True)
class Source:
    """A pack as a source: voltage at rest [V] and resistance [ohm]."""

    voltage: float
    resistance: float

    def __post_init__(self) -> None:
        """Refuse a pack without voltage."""
        require_positive(pack_voltage=self.voltage)
        require_not_negative(pack_resistance=self.resistance)


@dataclass(frozen=True)
class Circuit:
    """From pack to motors; resistances [ohm], go and return together.

    `shared_lead` carries the current of all motors, `branch_lead` runs from the junction to one
    controller, `controller` carries the motor current. Motors, propellers and branches are alike.
    """

    source: Source
    shared_lead: float = 0.0
    branch_lead: float = 0.0
    controller: float = 0.0
    motors: int = 1

    def __post_init__(self) -> None:
        """Refuse negative resistances and no motors."""
        require_not_negative(
            shared_lead_resistance=self.shared_lead,
            branch_lead_resistance=self.branch_lead,
            controller_resistance=self.controller,
        )
        if self.motors < 1 or self.motors != int(self.motors):
            raise OutOfRange(f"motors must be a whole number from 1, not {self.motors}")

    def resistance_per_motor(self, *, duty: float) -> float:
        """Resistance [ohm] outside the winding as one motor feels it at a duty [1]."""
        shared = self.motors * (self.source.resistance + self.shared_lead)
        return self.controller + duty**2 * (self.branch_lead + shared)


def in_series(*, sources: Sequence[Source]) -> Source:
    """Packs or cells one after another as one source.

    Parameters
    ----------
    sources : sequence of Source
        At least one; voltages [V], resistances [ohm].

    Returns
    -------
    Source
        Sums of voltage [V] and resistance [ohm].

    Raises
    ------
    OutOfRange
        If there is none.

    Notes
    -----
    Source: Kirchhoff's voltage law.

    Examples
    --------
    >>> in_series(sources=[Source(4.0, 0.005)] * 4)
    Source(voltage=16.0, resistance=0.02)
    """
    _not_empty(sources)
    return Source(
        math.fsum(source.voltage for source in sources),
        math.fsum(source.resistance for source in sources),
    )


def in_parallel(*, sources: Sequence[Source]) -> Source:
    """Packs side by side as one source.

    Parameters
    ----------
    sources : sequence of Source
        At least one; voltages [V], resistances [ohm] greater than zero.

    Returns
    -------
    Source
        Equal source: voltage [V], resistance [ohm].

    Raises
    ------
    OutOfRange
        If there is none or one has no resistance.

    Notes
    -----
    Source: Millman's theorem. Packs of unlike voltage drive current into each other as soon as they
    are joined: see `balancing_current`.

    Examples
    --------
    >>> in_parallel(sources=[Source(16.0, 0.02), Source(16.0, 0.02)])
    Source(voltage=16.0, resistance=0.01)
    """
    _check_parallel(sources)
    conductance = math.fsum(1 / source.resistance for source in sources)
    driven = math.fsum(source.voltage / source.resistance for source in sources)
    return Source(driven / conductance, 1 / conductance)


def shares_of_current(*, sources: Sequence[Source], current: float) -> tuple[float, ...]:
    """Current [A] that each of the packs in parallel gives.

    Parameters
    ----------
    sources : sequence of Source
        Voltages [V], resistances [ohm] greater than zero.
    current : float
        Total current drawn [A].

    Returns
    -------
    tuple of float
        Currents [A] in the order given; negative: this pack is being charged.

    Raises
    ------
    OutOfRange
        If there is no source or one has no resistance.

    Notes
    -----
    Source: Kirchhoff's laws.
    """
    together = in_parallel(sources=sources)
    voltage = together.voltage - current * together.resistance
    return tuple((source.voltage - voltage) / source.resistance for source in sources)


def balancing_current(*, sources: Sequence[Source]) -> float:
    """Greatest current [A] into any pack at the moment packs are joined in parallel.

    Parameters
    ----------
    sources : sequence of Source
        Voltages at rest [V], resistances [ohm] greater than zero.

    Returns
    -------
    float
        Current [A], zero for equal voltages.

    Raises
    ------
    OutOfRange
        If there is no source or one has no resistance.

    Notes
    -----
    Source: Kirchhoff's laws, without leads: an upper bound.

    Examples
    --------
    >>> round(balancing_current(sources=[Source(16.8, 0.02), Source(16.0, 0.02)]), 6)
    20.0
    """
    return max(0.0, -min(shares_of_current(sources=sources, current=0.0)))


def _not_empty(sources: Sequence[Source]) -> None:
    if not sources:
        raise OutOfRange("at least one pack is needed")


def _check_parallel(sources: Sequence[Source]) -> None:
    _not_empty(sources)
    for source in sources:
        require_positive(pack_resistance=source.resistance)
