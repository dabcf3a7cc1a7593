"""Recorded telemetry of the open MAVLink protocol, as text that is read like any other log.

Message BATTERY_STATUS (147) of the common set: current in centiamperes, charge in mAh, cells in
millivolts, temperature in hundredths of a degree; the greatest number of a type means not known.
A recording holds before each message its time, microseconds since 1970 in 8 bytes, most
significant first. From memory of the protocol's pages, not verified.
"""

from __future__ import annotations

import csv
import io
import os
import tempfile
from collections.abc import Iterator
from typing import IO, Any

from hangar.errors import UserError
from inventory.log_files.fields import SAMPLES
from inventory.log_files.recipes import Recipe

ENCODING = "mavlink"
MAGIC = (0xFE, 0xFD)
NO_VOLTS, NO_WARMTH = 0xFFFF, 0x7FFF
CELLS = 10
HEADERS = (
    "time",
    "battery",
    "current (A)",
    "consumed (mAh)",
    "temperature (°C)",
    *(f"cell {number} (V)" for number in range(1, CELLS + 1)),
)


def is_telemetry(head: bytes) -> bool:
    """Whether a file begins as such a recording does: a time of our days, then a message."""
    if len(head) < 12 or head[8] not in MAGIC:
        return False
    return 0.3e15 < int.from_bytes(head[:8], "big") < 5e15


def as_text(stream: IO[bytes]) -> IO[bytes]:
    """The battery messages of a recording as lines of CSV, those of its first battery.

    Raises UserError where the messages cannot be read.
    """
    text = tempfile.TemporaryFile()  # noqa: SIM115 - closed by its end of life
    wrapper = io.TextIOWrapper(text, encoding="utf-8", newline="", write_through=True)
    writer = csv.writer(wrapper, lineterminator="\n")
    writer.writerow(HEADERS)
    count = 0
    for row in _rows(stream):
        writer.writerow(row)
        count += 1
    wrapper.detach()
    if not count:
        raise UserError("There is no battery message in this recording.", field="file")
    text.seek(0)
    return text


def recipe_of(headers: list[str], rows: list[list[str]], cells: int | None) -> Recipe | None:
    """The recipe of a recording that became text, or None when the file is none."""
    if tuple(headers) != HEADERS:
        return None
    has_current = any(row[2] for row in rows)
    columns = {"time": "moment", "temperature (°C)": "temperature_c"}
    columns |= {"current (A)": "current_a"} if has_current else {"consumed (mAh)": "counter_mah"}
    if cells and cells <= CELLS and all(row[4 + cells] for row in rows):
        columns |= {f"cell {number} (V)": f"cell_{number}_v" for number in range(1, cells + 1)}
    return Recipe(shape=SAMPLES, columns=columns)


def _rows(stream: IO[bytes]) -> Iterator[list[Any]]:
    mavutil = _mavutil()
    stream.seek(0)
    battery = None
    with tempfile.NamedTemporaryFile(suffix=".tlog") as copy:
        while piece := stream.read(1024 * 1024):
            copy.write(piece)
        copy.flush()
        try:
            recording = mavutil.mavlink_connection(copy.name)
            while message := recording.recv_match(type="BATTERY_STATUS"):
                battery = message.id if battery is None else battery
                if message.id == battery:
                    yield _row(message)
        # A broken file fails in the reading library wherever it happens to be broken.
        except Exception as error:
            raise UserError("This recording cannot be read to its end.", field="file") from error


def _mavutil() -> Any:
    # Which messages are known is settled when the library is loaded.
    os.environ.setdefault("MAVLINK20", "1")
    try:
        from pymavlink import mavutil
    except ImportError as error:
        raise UserError(
            "Recorded telemetry needs the package pymavlink: install hangar[mavlink], or save "
            "the log as CSV.",
            field="file",
        ) from error
    return mavutil


def _row(message: Any) -> list[Any]:
    volts = [millivolts / 1000 if millivolts != NO_VOLTS else "" for millivolts in message.voltages]
    return [
        f"{message._timestamp:.6f}",
        message.id,
        message.current_battery / 100 if message.current_battery >= 0 else "",
        message.current_consumed if message.current_consumed >= 0 else "",
        message.temperature / 100 if message.temperature != NO_WARMTH else "",
        *volts,
    ]
