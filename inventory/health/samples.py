"""Charge, rest and resistance from the samples of a logger: current, voltage and time."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from statistics import median
from typing import Any, NamedTuple

from inventory.health.entries import Kind

# Engineering judgement, no source.
REST_A = 0.05
"""Current up to which a pack counts as resting [A]."""
LONGEST_STEP_S = 120.0
"""Longest time between two samples over which their current is believed [s]."""
REST_S = 120.0
"""Rest after which a further current is a use or a charge of its own [s]."""
SHORTEST_REST_S = 600.0
"""Rest after which the voltage of the cells is worth a reading [s]."""
JITTER_S = 1.0
"""Largest step back of a clock that is taken for unsteadiness [s]."""
LONGEST_PULSE_S = 1.5
"""Longest time between two samples that show a step of current [s]."""
SMALLEST_STEP_A = 2.0
"""Smallest step of current that tells a resistance [A]."""
FEWEST_STEPS = 5
MOST_STEPS = 200

AS_PER_MAH = 3.6


class Sample(NamedTuple):
    """One row of a logger; current is positive out of the pack.

    ``at_s`` is the time from any fixed moment. Without a current, ``counter_mah`` tells the
    charge that passed.
    """

    row: int
    at_s: float
    current_a: float | None = None
    voltage_v: float | None = None
    cells_v: tuple[float, ...] = ()
    temperature_c: float | None = None
    counter_mah: float | None = None


@dataclass(frozen=True, kw_only=True)
class Run:
    """One use or one charge: what went through between two rests."""

    kind: Kind
    first_row: int
    last_row: int
    started_s: float
    ended_s: float
    charge_mah: float
    voltage_min_v: float | None
    current_max_a: float | None
    temperature_c: float | None
    flags: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Rest:
    """Cells as read last in a rest, with the time that they had rested at least."""

    first_row: int
    last_row: int
    read_s: float
    rested_s: float
    cells_v: tuple[float, ...]
    temperature_c: float | None


@dataclass(frozen=True, kw_only=True)
class StepResistance:
    """Resistances by the steps of the current in a use, cell by cell or of the whole pack."""

    first_row: int
    last_row: int
    started_s: float
    steps: int
    resistance_mohm: tuple[float, ...]
    is_of_cells: bool
    temperature_c: float | None


Found = Run | Rest | StepResistance


@dataclass
class _OpenRun:
    kind: str
    first_row: int
    last_row: int
    started_s: float
    ended_s: float
    charge_as: float = 0.0
    voltage_min_v: float | None = None
    current_max_a: float | None = None
    temperature_c: float | None = None
    flags: list[str] = field(default_factory=list)
    steps: list[list[float]] = field(default_factory=list)
    is_of_cells: bool = False


def trapezoid_as(first_a: float, second_a: float, step_s: float) -> tuple[float, float]:
    """Charge out of and into a pack between two samples.

    Parameters
    ----------
    first_a, second_a : currents at both ends, positive out of the pack [A]
    step_s : time between them [s]

    Returns
    -------
    charge out and charge in, neither negative [A s]

    Source
    ------
    Trapezoid rule: Abramowitz and Stegun, Handbook of Mathematical Functions, 25.4.1, from
    memory, not verified. A current that changes its direction is taken as a straight line.
    """
    if first_a >= 0 and second_a >= 0:
        return (first_a + second_a) / 2 * step_s, 0.0
    if first_a <= 0 and second_a <= 0:
        return 0.0, -(first_a + second_a) / 2 * step_s
    share = first_a / (first_a - second_a)
    before = abs(first_a) * share * step_s / 2
    after = abs(second_a) * (1 - share) * step_s / 2
    return (before, after) if first_a > 0 else (after, before)


def step_resistance_mohm(first_v: float, second_v: float, first_a: float, second_a: float) -> float:
    """Resistance that a step of the current shows.

    Parameters
    ----------
    first_v, second_v : voltages before and after the step [V]
    first_a, second_a : currents before and after it, positive out of the pack, not equal [A]

    Returns
    -------
    resistance [mohm]

    Source
    ------
    Direct-current method of IEC 61960-3, (U1 - U2) / (I2 - I1), from memory, not verified.
    """
    return (first_v - second_v) / (second_a - first_a) * 1000


class Integrator:
    """Counts the charge of samples that come one by one; its state can be kept between files.

    A resting pack parts its uses and charges. Splitting the samples at a rest changes no total.
    """

    def __init__(self, *, counts_in: bool = False, state: dict[str, Any] | None = None) -> None:
        self.counts_in = counts_in
        self.found: list[Found] = []
        self._last: Sample | None = None
        self._run: _OpenRun | None = None
        self._rest_from: tuple[int, float] | None = None
        if state:
            self._restore(state)

    def state(self) -> dict[str, Any]:
        """What `state` of a later Integrator needs, as plain values."""
        return {
            "last": list(self._last) if self._last else None,
            "run": asdict(self._run) if self._run else None,
            "rest_from": self._rest_from,
        }

    def _restore(self, state: dict[str, Any]) -> None:
        last, run, rest = state["last"], state["run"], state["rest_from"]
        if last:
            row, at_s, current_a, voltage_v, cells_v, temperature_c, counter_mah = last
            cells = tuple(cells_v)
            self._last = Sample(row, at_s, current_a, voltage_v, cells, temperature_c, counter_mah)
        self._run = _OpenRun(**run) if run else None
        self._rest_from = (rest[0], rest[1]) if rest else None

    def drain(self) -> list[Found]:
        """What was found since the last call."""
        found, self.found = self.found, []
        return found

    def take(self, sample: Sample) -> None:
        """Take the next sample."""
        before = self._last
        self._last = sample
        if before is None:
            self._begin(sample)
            return
        step_s = sample.at_s - before.at_s
        if -JITTER_S <= step_s < 0:
            step_s = 0.0
            sample = self._last = sample._replace(at_s=before.at_s)
        if step_s < 0:
            self._break(before, f"the clock goes back in row {sample.row}")
            self._begin(sample)
        elif sample.current_a is None or before.current_a is None:
            self._count(before, sample)
        elif step_s > LONGEST_STEP_S:
            is_lost = bool(_clipped(before.current_a) and _clipped(sample.current_a))
            missing = f"no sample for {step_s:.0f} s after row {before.row}: its charge is missing"
            self._break(before, missing if is_lost else "")
            self._begin(sample)
        else:
            self._integrate(before, sample, step_s)

    def interrupt(self, why: str) -> None:
        """The samples that follow do not continue those before."""
        if self._last is not None:
            self._break(self._last, why)
        self._last = None

    def finish(self) -> None:
        """There are no more samples."""
        self.interrupt("")

    def _begin(self, sample: Sample) -> None:
        is_resting = not _clipped(sample.current_a or 0.0)
        self._rest_from = (sample.row, sample.at_s) if is_resting else None

    def _break(self, last: Sample, why: str) -> None:
        if why and self._run is not None:
            self._run.flags.append(why)
        self._close()
        self._end_rest(last)

    def _integrate(self, before: Sample, now: Sample, step_s: float) -> None:
        first_a = _clipped(before.current_a or 0.0)
        second_a = _clipped(now.current_a or 0.0)
        out, back = trapezoid_as(first_a, second_a, step_s)
        if first_a >= 0:
            self._add(Kind.USE, out, before, now)
            self._add(Kind.CHARGE, back, before, now)
        else:
            self._add(Kind.CHARGE, back, before, now)
            self._add(Kind.USE, out, before, now)
        if second_a:
            self._rest_from = None
            if first_a >= 0 and second_a > 0 and step_s <= LONGEST_PULSE_S:
                self._note_step(before, now)
        elif self._rest_from is None:
            self._rest_from = (now.row, now.at_s)

    def _count(self, before: Sample, now: Sample) -> None:
        first, second = before.counter_mah, now.counter_mah
        if first is None or second is None:
            return
        passed = second - first
        if passed < 0:
            self._break(before, f"the counter starts anew in row {now.row}")
            passed = second
        if passed:
            kind = Kind.CHARGE if self.counts_in else Kind.USE
            self._add(kind, passed * AS_PER_MAH, before, now)
            self._rest_from = None
        elif self._rest_from is None:
            self._rest_from = (now.row, now.at_s)

    def _add(self, kind: Kind, charge_as: float, before: Sample, now: Sample) -> None:
        if not charge_as:
            return
        run = self._run
        if run and (run.kind != kind or before.at_s - run.ended_s > REST_S):
            self._close()
            run = None
        self._end_rest(before)
        if run is None:
            run = self._run = _OpenRun(kind, before.row, now.row, before.at_s, now.at_s)
        run.charge_as += charge_as
        run.ended_s, run.last_row = now.at_s, now.row
        if now.voltage_v is not None and (
            run.voltage_min_v is None or now.voltage_v < run.voltage_min_v
        ):
            run.voltage_min_v = now.voltage_v
        current_a = max(abs(before.current_a or 0.0), abs(now.current_a or 0.0))
        if now.current_a is not None and current_a > (run.current_max_a or 0.0):
            run.current_max_a = current_a
        if now.temperature_c is not None and (
            run.temperature_c is None or now.temperature_c > run.temperature_c
        ):
            run.temperature_c = now.temperature_c

    def _note_step(self, before: Sample, now: Sample) -> None:
        run = self._run
        first_a, second_a = before.current_a or 0.0, now.current_a or 0.0
        if run is None or len(run.steps) >= MOST_STEPS or abs(second_a - first_a) < SMALLEST_STEP_A:
            return
        is_of_cells = bool(now.cells_v) and len(now.cells_v) == len(before.cells_v)
        pairs = (
            zip(before.cells_v, now.cells_v, strict=True)
            if is_of_cells
            else _pack_pair(before, now)
        )
        found = [step_resistance_mohm(first, second, first_a, second_a) for first, second in pairs]
        if found and all(one > 0 for one in found):
            run.steps.append(found)
            run.is_of_cells = is_of_cells

    def _close(self) -> None:
        run, self._run = self._run, None
        if run is None:
            return
        self.found.append(
            Run(
                kind=Kind(run.kind),
                first_row=run.first_row,
                last_row=run.last_row,
                started_s=run.started_s,
                ended_s=run.ended_s,
                charge_mah=run.charge_as / AS_PER_MAH,
                voltage_min_v=run.voltage_min_v,
                current_max_a=run.current_max_a,
                temperature_c=run.temperature_c,
                flags=tuple(run.flags),
            )
        )
        steps = [one for one in run.steps if len(one) == len(run.steps[-1])]
        if len(steps) >= FEWEST_STEPS:
            self.found.append(
                StepResistance(
                    first_row=run.first_row,
                    last_row=run.last_row,
                    started_s=run.started_s,
                    steps=len(steps),
                    resistance_mohm=tuple(median(cell) for cell in zip(*steps, strict=True)),
                    is_of_cells=run.is_of_cells,
                    temperature_c=run.temperature_c,
                )
            )

    def _end_rest(self, last: Sample) -> None:
        since, self._rest_from = self._rest_from, None
        if since is None or not last.cells_v or last.at_s - since[1] < SHORTEST_REST_S:
            return
        self.found.append(
            Rest(
                first_row=since[0],
                last_row=last.row,
                read_s=last.at_s,
                rested_s=last.at_s - since[1],
                cells_v=last.cells_v,
                temperature_c=last.temperature_c,
            )
        )


def _clipped(current_a: float) -> float:
    return current_a if abs(current_a) > REST_A else 0.0


def _pack_pair(before: Sample, now: Sample) -> list[tuple[float, float]]:
    if before.voltage_v is None or now.voltage_v is None:
        return []
    return [(before.voltage_v, now.voltage_v)]
