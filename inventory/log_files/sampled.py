"""Files with the samples of a recording: integrated into uses, charges and readings."""

from __future__ import annotations

from collections.abc import Callable
from math import floor
from typing import Any

from inventory.health.samples import (
    LONGEST_STEP_S,
    Found,
    Integrator,
    Rest,
    Run,
    Sample,
    StepResistance,
)
from inventory.log_files.faults import RowFault
from inventory.log_files.planning import FileReading, moment_at

LEAST_RUN_MAH = 5.0
"""Charge below which a run of current is no use and no charge; engineering judgement."""
STEP_METHOD = "current steps in a log"


class SampledReading(FileReading):
    """A pass through samples of current or of a charge counter."""

    drops_open_line = True

    def state(self) -> dict[str, Any]:
        """Where the pass stands, as plain values."""
        return {
            "last_s": self.last_s,
            "elapsed_s": self.elapsed_s,
            "shift_s": self.shift_s,
            "integrator": self.integrator.state(),
        }

    def _restore(self, state: dict[str, Any]) -> None:
        self.start_s = self.recipe.start_s() if "elapsed_s" in self.places else 0.0
        self.last_s: float | None = state.get("last_s")
        self.elapsed_s: float | None = state.get("elapsed_s")
        self.shift_s: float = state.get("shift_s", 0.0)
        self.integrator = Integrator(counts_in=self.recipe.counts_in, state=state.get("integrator"))
        self._taker = self._sample_taker()

    def _take(self, number: int, cells: list[str]) -> None:
        self._taker(number, cells)

    def _take_headers(self) -> None:
        self.integrator.interrupt("")

    def _end(self, *, is_last: bool) -> None:
        if is_last:
            self.integrator.finish()
        self._keep_found()

    def _sample_taker(self) -> Callable[[int, list[str]], None]:
        nothing = (-1, _no_number)
        current_place, read_current = self.readers.get("current_a", nothing)
        voltage_place, read_voltage = self.readers.get("voltage_v", nothing)
        counter_place, read_counter = self.readers.get("counter_mah", nothing)
        warmth_place, read_warmth = self.readers.get("temperature_c", nothing)
        sign = -1.0 if self.recipe.counts_in else 1.0
        has_current = "current_a" in self.readers
        at = self._elapsed if "elapsed_s" in self.places else self._at
        take = self.integrator.take
        cells_v = self.cells_v

        def taken(number: int, cells: list[str]) -> None:
            current_a = read_current(cells[current_place])
            counter = None if has_current else read_counter(cells[counter_place])
            if current_a is None and counter is None:
                self.planned.rows_left_out += 1
                return
            volts = tuple(read(cells[place]) for place, read in cells_v)
            at_s = at(number, cells)
            take(
                Sample(
                    number,
                    at_s,
                    None if current_a is None else sign * current_a,
                    read_voltage(cells[voltage_place]),
                    () if None in volts else volts,  # type: ignore[arg-type]
                    read_warmth(cells[warmth_place]),
                    counter,
                )
            )

        return taken

    def _at(self, number: int, cells: list[str]) -> float:
        at_s, has_clock = self._moment(cells, self.last_s)
        if not has_clock:
            raise RowFault("There is no time of day.")
        if self.last_s is not None and at_s < self.last_s - 1:
            self._note(number, "The clock goes back here: what follows is counted by itself.")
        self.last_s = at_s
        return at_s

    def _elapsed(self, number: int, cells: list[str]) -> float:
        place, read = self.readers["elapsed_s"]
        elapsed_s = read(cells[place])
        if elapsed_s is None:
            raise RowFault("There is no time.", self.subject.headers[place])
        before = self.elapsed_s
        if before is not None and elapsed_s < before - 1:
            # How long the logger was off is not known; the recordings only must not touch.
            self.shift_s += before - elapsed_s + LONGEST_STEP_S + 1
            self.integrator.interrupt(f"the logger starts anew in row {number}")
            self._note(
                number, "The logger starts anew here: what follows is dated right after the rest."
            )
        self.elapsed_s = elapsed_s
        return self.start_s + self.shift_s + elapsed_s

    def _keep_found(self) -> None:
        for found in self.integrator.drain():
            values = self._values_of(found)
            if values is not None:
                at_s = values["started_at"].timestamp()
                self._plan(found.first_row, values, f"{floor(at_s)}")

    def _values_of(self, found: Found) -> dict[str, Any] | None:
        if isinstance(found, Run):
            return self._run_values(found)
        if isinstance(found, Rest):
            return _rest_values(found) if self.recipe.wants_rest else None
        return self._resistance_values(found)

    def _run_values(self, run: Run) -> dict[str, Any] | None:
        for flag in run.flags:
            self._note(run.last_row, f"{flag[0].upper()}{flag[1:]}.")
        if run.charge_mah < LEAST_RUN_MAH:
            self._note(run.first_row, f"Only {run.charge_mah:.1f} mAh went through: left out.")
            return None
        values = {
            "kind": str(run.kind),
            "started_at": moment_at(run.started_s),
            "charge_mah": run.charge_mah,
            "duration_s": run.ended_s - run.started_s,
            "voltage_min_v": run.voltage_min_v if run.kind == "use" else None,
            "current_max_a": run.current_max_a,
            "temperature_c": run.temperature_c,
            "note": "; ".join(run.flags)[:300],
        }
        return {name: value for name, value in values.items() if value not in (None, "")}

    def _resistance_values(self, found: StepResistance) -> dict[str, Any] | None:
        is_whole = found.is_of_cells or self.subject.cells == 1
        if not self.recipe.wants_resistance or not is_whole:
            return None
        values = {
            "kind": "resistance",
            "started_at": moment_at(found.started_s),
            "resistance_mohm": list(found.resistance_mohm),
            "method": STEP_METHOD,
            "note": f"median of {found.steps} steps of the current",
        }
        if found.temperature_c is not None:
            values["temperature_c"] = found.temperature_c
        return values


def _no_number(_: str) -> None:
    return None


def _rest_values(rest: Rest) -> dict[str, Any]:
    values = {
        "kind": "rest",
        "started_at": moment_at(rest.read_s),
        "rest_v": list(rest.cells_v),
        "rested_h": rest.rested_s / 3600,
    }
    if rest.temperature_c is not None:
        values["temperature_c"] = rest.temperature_c
    return values
