"""What a column of a log file can be."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from hangar.form_fields import label_with_unit
from hangar.quantities import QuantityError, read_quantity
from hangar.units import unit_label

SUMMARY, SAMPLES = "summary", "samples"
SHAPES = {SUMMARY: "one charge, use or reading a row", SAMPLES: "samples of a recording"}
CELLS_MAX = 14
BOTH = (SUMMARY, SAMPLES)


@dataclass(frozen=True)
class LogFileField:
    """One thing that a column can be."""

    key: str
    label: str
    unit: str | None
    shapes: tuple[str, ...]

    @property
    def title(self) -> str:
        """The label with the unit behind it."""
        return label_with_unit(self.label, self.unit)

    def scale_of(self, unit: str) -> tuple[float, float] | None:
        """Factor and shift from that unit into our own, or None when it cannot be one."""
        if self.unit is None:
            return None
        try:
            shift = read_quantity(f"0 {unit}", self.unit)
            return read_quantity(f"1 {unit}", self.unit) - shift, shift
        except QuantityError:
            return None

    @property
    def own_unit(self) -> str:
        """How our own unit is written."""
        return unit_label(self.unit) if self.unit else ""


_PLAIN = (
    ("moment", "date and time", None, BOTH),
    ("day", "date", None, BOTH),
    ("clock", "time of day", None, BOTH),
    ("elapsed_s", "time since the start", "s", (SAMPLES,)),
    ("current_a", "current", "a", (SAMPLES,)),
    ("voltage_v", "voltage of the pack", "v", (SAMPLES,)),
    ("counter_mah", "charge counter", "mah", BOTH),
    ("temperature_c", "temperature of the pack", "c", BOTH),
    ("pack", "label code of the pack", None, BOTH),
    ("kind", "charge, use or reading", None, (SUMMARY,)),
    ("charge_mah", "charge", "mah", (SUMMARY,)),
    ("duration_s", "how long", "s", (SUMMARY,)),
    ("voltage_min_v", "least voltage of the pack", "v", (SUMMARY,)),
    ("current_max_a", "highest current", "a", (SUMMARY,)),
    ("rested_h", "hours at rest before", "h", (SUMMARY,)),
    ("counter_cycles", "cycle counter", None, (SUMMARY,)),
    ("is_full", "charged to full", None, (SUMMARY,)),
    ("method", "instrument", None, (SUMMARY,)),
    ("note", "note", None, (SUMMARY,)),
)
_CELL_KEY = re.compile(r"cell_([0-9]{1,2})_(v|mohm)")


@cache
def log_file_fields() -> dict[str, LogFileField]:
    """All that a column can be, by key."""
    found = [LogFileField(*one) for one in _PLAIN]
    found += [
        LogFileField(f"cell_{number}_v", f"voltage of cell {number}", "v", BOTH)
        for number in range(1, CELLS_MAX + 1)
    ]
    found += [
        LogFileField(f"cell_{number}_mohm", f"resistance of cell {number}", "mohm", (SUMMARY,))
        for number in range(1, CELLS_MAX + 1)
    ]
    return {one.key: one for one in found}


def cell_of(key: str) -> tuple[int, str] | None:
    """Number and unit of a column of one cell, or None."""
    found = _CELL_KEY.fullmatch(key)
    return (int(found[1]), found[2]) if found else None


# Header words to keys. Trade words; the unit behind them is read apart.
WORDS = {
    "moment": "date and time, datetime, date time, timestamp, time stamp, datum und zeit, "
    "zeitstempel, date/time, utc, when, wann, started, started at, start, begin, beginn",
    "day": "date, day, datum, tag",
    "clock": "time of day, clock, uhrzeit",
    "elapsed_s": "elapsed, elapsed time, time since start, seconds, time, zeit, t, laufzeit, "
    "milliseconds, time elapsed",
    "current_a": "current, amps, strom, i, battery current, amperage, curr, stromstärke",
    "voltage_v": "voltage, volts, spannung, u, pack voltage, battery voltage, v, volt",
    "counter_mah": "counter, capacity counter, consumed, zähler, mah used, capacity, kapazität, "
    "battery consumed, total charge",
    "temperature_c": "temperature, temp, temperatur, pack temperature, battery temperature",
    "pack": "pack, battery, akku, label, code, pack code",
    "kind": "kind, what, type, art, mode, vorgang, action",
    "charge_mah": "charge, mah, charged, used, geladen, entladen, ladung, charge used, verbrauch, "
    "charge put back, capacity",
    "duration_s": "duration, flight time, time, minutes, dauer, flugzeit, how long, length",
    "voltage_min_v": "least voltage, minimum voltage, min voltage, lowest voltage, v min, vmin",
    "current_max_a": "highest current, maximum current, max current, peak current, i max, imax",
    "rested_h": "rested, hours at rest, ruhezeit",
    "counter_cycles": "cycles, cycle counter, zyklen, cycle",
    "is_full": "full, charged to full, voll",
    "method": "instrument, method, charger, gerät",
    "note": "note, notes, remarks, comment, bemerkung, notiz",
}  # fmt: skip
UNIT_WORDS = {
    "minutes": "min", "minute": "min", "mins": "min", "minuten": "min", "seconds": "s",
    "secs": "s", "sekunden": "s", "milliseconds": "ms", "hours": "h", "stunden": "h",
    "amps": "A", "ampere": "A", "volts": "V", "volt": "V", "milliamps": "mA", "millivolts": "mV",
}  # fmt: skip
CELL_WORDS = re.compile(r"(?:cell|zelle|z|c|cell voltage|zellspannung) ?([0-9]{1,2})(?: voltage)?")
KINDS = {
    "charge": "charge, charging, charged, laden, ladung, geladen, balance charge, recharge",
    "use": "use, flight, discharge, discharging, used, flug, entladen, entladung, flown",
    "rest": "rest, rest reading, ruhe, voltage check, resting",
    "resistance": "resistance, resistance reading, ir, innenwiderstand",
    "storage": "storage, put to storage, lagern, lagerung, store",
    "inspection": "inspection, inspected, prüfung",
}
