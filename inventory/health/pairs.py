"""Pairs of a swing of charge and the milliampere-hours that made it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import hypot, sqrt

from inventory.health.curves import Curve, NoCurve, curve_for
from inventory.health.cycles import CHARGE_EFFICIENCY, drawn_mah
from inventory.health.entries import Kind, LogEntry, PackFacts, in_order

# Engineering judgement, no source.
VOLTAGE_SD_V = 0.005
TABLE_SD = 0.02
REST_SD = 0.01
CUT_OFF_SD = 0.01
CHARGER_SD = 0.02
TELEMETRY_SD = 0.05

SMALLEST_SWING = 0.30
SHORTEST_REST_H = 1.0
COLDEST_C, WARMEST_C = 15.0, 35.0
LONGEST_GAP = timedelta(days=14)


@dataclass(frozen=True)
class Pair:
    """Swing of each cell and the charge that made it, with standard deviations.

    ``row_id`` is that of its newest row with charge.
    """

    swings: tuple[float, ...]
    voltage_sds: tuple[float, ...]
    common_sd: float
    charge_mah: float
    charge_sd_mah: float
    ended_at: datetime
    drawn_mah: float
    is_test: bool = False
    row_id: str = ""

    @property
    def mean_swing_sd(self) -> float:
        """Standard deviation of the mean swing of the cells [-]."""
        voltage = sqrt(sum(sd**2 for sd in self.voltage_sds)) / len(self.voltage_sds)
        return hypot(voltage, self.common_sd)

    @property
    def relative_sd(self) -> float:
        """Standard deviation of charge over swing, as a share of it [-]."""
        mean = sum(self.swings) / len(self.swings)
        return hypot(self.mean_swing_sd / mean, self.charge_sd_mah / self.charge_mah)


@dataclass(frozen=True)
class LeftOut:
    """A row that was not used, and why."""

    row_id: str
    why: str


@dataclass(frozen=True)
class _Anchor:
    at: datetime
    states: tuple[float, ...]
    sds: tuple[float, ...]
    is_reading: bool


def find_pairs(
    entries: Sequence[LogEntry], facts: PackFacts, doubtful_ids: Collection[str] = ()
) -> tuple[tuple[Pair, ...], tuple[LeftOut, ...]]:
    """Find the pairs that tell capacity in a log.

    A pair runs from one known state of charge to the next: a charge that was completed, or a
    rest reading after an hour at 15 to 35 °C; with only uses, or only charges, of known charge
    between. A rest reading serves one pair, since a discharge and its recharge share its error.
    A full discharge in a tester is a pair by itself.

    Parameters
    ----------
    entries : log in any order [-]
    facts : the pack; rated capacity [mAh]
    doubtful_ids : rows that are not believed

    Returns
    -------
    pairs in the order of time, and rows left out with the reason

    Source
    ------
    Gates: engineering judgement, no source.
    """
    walk = _Walk(facts)
    rows = in_order(entries)
    for row, drawn in zip(rows, drawn_mah(rows), strict=True):
        if row.id in doubtful_ids:
            walk.lose(row, "the row contradicts others")
        else:
            walk.take(row, drawn)
    return tuple(walk.pairs), tuple(walk.left_out)


class _Walk:
    """One pass through a log."""

    def __init__(self, facts: PackFacts) -> None:
        self.facts = facts
        self.pairs: list[Pair] = []
        self.left_out: list[LeftOut] = []
        self.anchor: _Anchor | None = None
        self.between: list[LogEntry] = []
        try:
            self.curve: Curve | None = curve_for(facts)
        except NoCurve:
            self.curve = None

    def lose(self, row: LogEntry, why: str) -> None:
        self.left_out.append(LeftOut(row.id, why))
        self.anchor, self.between = None, []

    def take(self, row: LogEntry, drawn: float) -> None:
        if row.kind == Kind.USE and row.is_capacity_test:
            self._take_test(row, drawn)
            return
        if row.kind in (Kind.CHARGE, Kind.USE):
            if row.charge_mah is None:
                self.lose(row, "it says no charge in mAh")
            else:
                self.between.append(row)
        if row.kind == Kind.CHARGE and row.is_full:
            self._reach(_full(row, self.facts), drawn)
        elif row.rest_v:
            self._take_reading(row, drawn)

    def _take_test(self, row: LogEntry, drawn: float) -> None:
        why = _why_not_test(row)
        if why:
            self.lose(row, why)
            return
        cells = self.facts.cells
        charge = row.charge_mah or 0.0
        self.pairs.append(
            Pair(
                swings=(1.0,) * cells,
                voltage_sds=(0.0,) * cells,
                common_sd=CUT_OFF_SD,
                charge_mah=charge,
                charge_sd_mah=CHARGER_SD * charge,
                ended_at=row.started_at,
                drawn_mah=drawn,
                is_test=True,
                row_id=row.id,
            )
        )
        self.anchor, self.between = None, []

    def _take_reading(self, row: LogEntry, drawn: float) -> None:
        if self.curve is None:
            return
        why = _why_not_reading(row, self.facts)
        if why:
            self.left_out.append(LeftOut(row.id, why))
            return
        states = tuple(self.curve.state_of_charge(v) for v in row.rest_v)
        sds = tuple(VOLTAGE_SD_V / self.curve.slope_v(state) for state in states)
        self._reach(_Anchor(row.started_at, states, sds, is_reading=True), drawn)

    def _reach(self, anchor: _Anchor, drawn: float) -> None:
        before, between = self.anchor, self.between
        self.anchor, self.between = anchor, []
        if before is None or not between or anchor.at - before.at > LONGEST_GAP:
            return
        kinds = {row.kind for row in between}
        if len(kinds) > 1:
            return
        pair = _pair(before, anchor, between, kinds == {Kind.CHARGE}, drawn)
        if min(pair.swings) < SMALLEST_SWING:
            swing = 100 * min(pair.swings)
            self.left_out.append(LeftOut(between[-1].id, f"it moved only {swing:.0f} % of charge"))
            return
        self.pairs.append(pair)
        if anchor.is_reading:
            self.anchor = None


def _full(row: LogEntry, facts: PackFacts) -> _Anchor:
    ended_at = row.started_at + timedelta(seconds=row.duration_s or 0)
    return _Anchor(ended_at, (1.0,) * facts.cells, (0.0,) * facts.cells, is_reading=False)


def _pair(
    before: _Anchor, after: _Anchor, between: Sequence[LogEntry], is_charge: bool, drawn: float
) -> Pair:
    sign = -1 if is_charge else 1
    share = CHARGER_SD if is_charge else TELEMETRY_SD
    logged = sum(row.charge_mah or 0.0 for row in between)
    charge = logged * (CHARGE_EFFICIENCY if is_charge else 1.0)
    return Pair(
        swings=tuple(sign * (a - b) for a, b in zip(before.states, after.states, strict=True)),
        voltage_sds=tuple(hypot(a, b) for a, b in zip(before.sds, after.sds, strict=True)),
        common_sd=hypot(TABLE_SD, REST_SD),
        charge_mah=charge,
        charge_sd_mah=share * charge,
        ended_at=after.at,
        drawn_mah=drawn,
        row_id=between[-1].id,
    )


def _why_not_test(row: LogEntry) -> str:
    if not row.charge_mah:
        return "it says no charge in mAh"
    return _why_not_temperature(row)


def _why_not_reading(row: LogEntry, facts: PackFacts) -> str:
    if len(row.rest_v) != facts.cells:
        return f"it has {len(row.rest_v)} rest voltages for {facts.cells} cells"
    if max(row.rest_v) > facts.full_v_per_cell + 0.05:
        return f"{max(row.rest_v):.2f} V a cell is above full"
    if row.hours_since_use is None:
        return "it does not say how long the pack had rested"
    if row.hours_since_use < SHORTEST_REST_H:
        return f"the pack had rested {60 * row.hours_since_use:.0f} min where 60 are needed"
    return _why_not_temperature(row)


def _why_not_temperature(row: LogEntry) -> str:
    if row.temperature_c is None:
        return "it says no temperature"
    if not COLDEST_C <= row.temperature_c <= WARMEST_C:
        return f"{row.temperature_c:.0f} °C is outside {COLDEST_C:.0f} to {WARMEST_C:.0f} °C"
    return ""
