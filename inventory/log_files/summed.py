"""Files with one charge, use or reading a row: each row is taken as it is."""

from __future__ import annotations

from math import floor
from typing import Any

from inventory.imports import words
from inventory.log_files.faults import RowFault
from inventory.log_files.fields import cell_of
from inventory.log_files.planning import FileReading, moment_at
from inventory.log_files.recipes import kind_named
from inventory.log_files.rows import is_blank

NOON_S, HALF_DAY_S = 12 * 3600.0, 12 * 3600.0
TEXT_LENGTHS = {"method": 60, "note": 300}


class SummedReading(FileReading):
    """A pass through rows that are entries already."""

    def state(self) -> dict[str, Any]:
        """Where the pass stands, as plain values."""
        return {"undated": self.undated}

    def _restore(self, state: dict[str, Any]) -> None:
        self.undated: dict[str, Any] = state.get("undated", {})

    def _take(self, number: int, cells: list[str]) -> None:
        values = self._figures(cells)
        values["kind"] = self._kind(cells)
        at_s, has_clock = self._moment(cells, None)
        if has_clock:
            values["started_at"] = moment_at(at_s)
            self._plan(number, values, f"{floor(at_s)}")
            return
        nth = self._place_in_day(at_s, values)
        self._plan(number, values, f"{floor(at_s)} {_content(values)} {nth}")

    def _figures(self, cells: list[str]) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for key, (place, read) in self.readers.items():
            if cell_of(key) is None and (number := read(cells[place])) is not None:
                values[key] = number
        for name, columns in (("rest_v", self.cells_v), ("resistance_mohm", self.cells_mohm)):
            found = [read(cells[place]) for place, read in columns]
            if any(one is not None for one in found):
                if None in found:
                    raise RowFault("The figure of a cell is missing.")
                values[name] = found
        if "counter_cycles" in values:
            values["counter_cycles"] = self._whole(values["counter_cycles"])
        for name in TEXT_LENGTHS:
            if name in self.places and (text := cells[self.places[name]].strip()):
                values[name] = text[: TEXT_LENGTHS[name]]
        if "is_full" in self.places:
            values["is_full"] = self._yes_or_no(cells[self.places["is_full"]].strip())
        return values

    def _whole(self, number: float) -> int:
        if number != floor(number) or not 0 <= number <= 100_000:
            header = self.subject.headers[self.places["counter_cycles"]]
            raise RowFault("This is no whole number up to 100000.", header)
        return int(number)

    def _yes_or_no(self, text: str) -> bool:
        word = text.casefold()
        if word in words.YES:
            return True
        if word in words.NO or is_blank(text):
            return False
        raise RowFault("Write yes or no.", self.subject.headers[self.places["is_full"]])

    def _kind(self, cells: list[str]) -> str:
        text = cells[self.places["kind"]].strip() if "kind" in self.places else ""
        if is_blank(text):
            if self.recipe.kind:
                return self.recipe.kind
            raise RowFault("It does not say what it is, a charge or a use.")
        kind = kind_named(text)
        if kind is None:
            header = self.subject.headers[self.places["kind"]]
            raise RowFault(f"“{text[:40]}” is no charge, use or reading.", header)
        return kind

    def _place_in_day(self, day_s: float, values: dict[str, Any]) -> int:
        """Give a row without a time of day one of its own; which of equal rows it is."""
        day = self.undated.setdefault(f"{floor(day_s)}", {"used_s": 0.0, "equal": {}})
        content = _content(values)
        nth = day["equal"][content] = day["equal"].get(content, 0) + 1
        if day["used_s"] >= HALF_DAY_S:
            raise RowFault("More happened on this day than a day has room for.")
        values["started_at"] = moment_at(day_s + NOON_S + day["used_s"])
        day["used_s"] += max(values.get("duration_s") or 0.0, 0.0) + 60.0
        values["note"] = ". ".join(filter(None, (values.get("note"), "The file gave no time")))[
            :300
        ]
        return nth


def _content(values: dict[str, Any]) -> str:
    """What tells two rows of one day apart, whatever the unit they were written in."""
    figures = (values.get(name) for name in ("charge_mah", "duration_s"))
    lists: list[float] = [*values.get("rest_v", ()), *values.get("resistance_mohm", ())]
    shown = ("-" if one is None else f"{float(f'{one:.9g}'):.6g}" for one in (*figures, *lists))
    return " ".join((values["kind"], *shown))
