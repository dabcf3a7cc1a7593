"""The packs as fitted, each as a source, and what they are when joined."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean

from builds.engineering.propulsion import Source, in_parallel, in_series, shares_of_current
from builds.figures.reading import Reading, named
from builds.figures.results import Input
from builds.figures.units import MILLIOHM
from builds.records import BuildSnapshot, PositionRecord

FULL_CELL_V = {"lipo": 4.20, "lipo_hv": 4.35, "li_ion": 4.20, "lifepo4": 3.65}
"""Voltage of a full cell by chemistry, where the sheet gives none: common practice, no source."""
FRESH_BELOW_FULL_V = 0.10
"""How far a fresh pack's cells have settled below full: common practice, no source."""
CELL_RESISTANCE_MOHM_AH = {"lipo": 6.0, "lipo_hv": 6.0, "li_ion": 60.0}
"""Resistance of a cell times its capacity, where none was measured: common practice, no source."""
MILLIAMPERE_HOURS_IN_AMPERE_HOUR = 1000.0
WIRINGS = {"series": "in series", "parallel": "in parallel"}
Piece = tuple[float, float]
"""Voltage at rest [V] and resistance [ohm] of one pack."""


@dataclass(frozen=True)
class Packs:
    """Packs in SI, each piece by itself, and whether they are joined side by side."""

    sources: tuple[Source, ...]
    is_parallel: bool

    def joined(self) -> Source:
        """All packs as one source."""
        join = in_parallel if self.is_parallel else in_series
        return join(sources=self.sources)

    def largest_share(self, current: float) -> float:
        """Current [A] of the pack that gives most, when `current` [A] is drawn from all."""
        if not self.is_parallel:
            return current
        return max(shares_of_current(sources=self.sources, current=current))


def fitted_packs(snapshot: BuildSnapshot, reading: Reading) -> tuple[PositionRecord, ...]:
    """Positions of the packs; two or more are a gap unless it is known how they are joined."""
    positions = reading.fitted(snapshot, "pack")
    if sum(position.quantity for position in positions) < 2:
        return positions
    if not snapshot.packs_wiring:
        reading.missing.append("how the packs are joined")
        return positions
    words = WIRINGS[snapshot.packs_wiring]
    reading.inputs.append(Input("how the packs are joined", words, "", "build"))
    cells = {position.part.get("cell_count") for position in positions if position.part} - {None}
    if _is_parallel(snapshot) and len(cells) > 1:
        reading.missing.append("packs of one number of cells: these must not be joined in parallel")
    return positions


def read_pieces(
    positions: tuple[PositionRecord, ...], reading: Reading, *, is_new: bool = False
) -> tuple[Piece, ...]:
    """Voltage and resistance of every piece, fresh and at rest; gaps are left to the reading.

    With `is_new` a worn pack counts with the resistance that is usual for a new one.
    """
    return tuple(
        piece
        for position in positions
        for piece in [_read_pack(position, reading, is_new)] * position.quantity
    )


def join(snapshot: BuildSnapshot, pieces: tuple[Piece, ...]) -> Packs:
    """The packs of a build, once nothing is missing."""
    sources = tuple(Source(voltage, resistance) for voltage, resistance in pieces)
    return Packs(sources, _is_parallel(snapshot))


def full_v(snapshot: BuildSnapshot, reading: Reading) -> float:
    """Voltage of the full packs as joined [V]; raises NotKnown naming what is missing."""
    positions = fitted_packs(snapshot, reading)
    reading.check()
    each = [
        (position.quantity, reading.take(position, "cell_count", "") * _cell_v(position, reading))
        for position in positions
    ]
    reading.check()
    if _is_parallel(snapshot):
        return max(voltage for _, voltage in each)
    return sum(quantity * voltage for quantity, voltage in each)


def capacity_mah(snapshot: BuildSnapshot, reading: Reading) -> float:
    """Charge that the packs give as joined [mAh]: of packs in series the smallest decides."""
    positions = fitted_packs(snapshot, reading)
    reading.check()
    each = [(p.quantity, _capacity_mah(p, reading)) for p in positions]
    reading.check()
    if _is_parallel(snapshot):
        return sum(quantity * charge for quantity, charge in each)
    return min(charge for _, charge in each)


def _capacity_mah(pack: PositionRecord, reading: Reading) -> float:
    """Capacity that the pack's log tells, else the rated one."""
    if pack.part and pack.part.known("capacity_now_mah"):
        return reading.take(pack, "capacity_now_mah", "mAh")
    return reading.take(pack, "capacity_mah", "mAh")


def _is_parallel(snapshot: BuildSnapshot) -> bool:
    return snapshot.packs_wiring == "parallel"


def _cell_v(pack: PositionRecord, reading: Reading) -> float:
    """Voltage of a full cell [V]: the sheet's, else the usual one of its chemistry."""
    chemistry = pack.part.get("chemistry", "") if pack.part else ""
    if chemistry not in FULL_CELL_V:
        return reading.take(pack, "cell_full_v", "V")
    return reading.take_or(pack, "cell_full_v", "V", FULL_CELL_V[chemistry])


def _read_pack(pack: PositionRecord, reading: Reading, is_new: bool) -> Piece:
    """Voltage of the fresh pack at rest [V], resistance of its cells in series [ohm]."""
    cells = reading.take(pack, "cell_count", "")
    below = reading.assume("settled below full, each cell", FRESH_BELOW_FULL_V, "V")
    voltage = cells * (_cell_v(pack, reading) - below)
    return voltage, cells * _cell_mohm(pack, reading, is_new) * MILLIOHM


def _cell_mohm(pack: PositionRecord, reading: Reading, is_new: bool) -> float:
    """Resistance of a cell [mohm]: as measured, else the usual one of its chemistry."""
    measured = _measured_mohm(pack, reading)
    if measured is None:
        return _usual_mohm(pack, reading)
    if not is_new or not _is_worn(pack, measured):
        return measured
    return _usual_mohm(pack, reading)


def _measured_mohm(pack: PositionRecord, reading: Reading) -> float | None:
    measured = pack.part.known("cell_resistance_mohm") if pack.part else None
    if measured is None or not measured.value:
        return None
    each = tuple(float(one) for one in measured.value)
    name = named(pack, "cell_resistance_mohm")
    reading.inputs.append(Input(name, each, "mΩ", measured.source, measured.at))
    return fmean(each)


def _is_worn(pack: PositionRecord, mohm: float) -> bool:
    """Is a resistance above the usual one of a new pack; false where that is not known."""
    part = pack.part
    product = CELL_RESISTANCE_MOHM_AH.get(part.get("chemistry", "")) if part else None
    charge = part.get("capacity_mah") if part else None
    if not product or not charge:
        return False
    return bool(mohm > product * MILLIAMPERE_HOURS_IN_AMPERE_HOUR / charge)


def _usual_mohm(pack: PositionRecord, reading: Reading) -> float:
    chemistry = pack.part.get("chemistry", "") if pack.part else ""
    if chemistry not in CELL_RESISTANCE_MOHM_AH:
        return reading.take(pack, "cell_resistance_mohm", "mΩ")
    product = reading.assume(
        "resistance of a cell times its capacity", CELL_RESISTANCE_MOHM_AH[chemistry], "mΩ Ah"
    )
    return product * MILLIAMPERE_HOURS_IN_AMPERE_HOUR / reading.take(pack, "capacity_mah", "mAh")
