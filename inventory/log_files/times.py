"""When a row was: moments as chargers and loggers write them, and lengths of time."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from inventory.log_files.faults import RowFault

DAY_FIRST, MONTH_FIRST = "day", "month"
EARLIEST, LATEST = 1990, 2100
SECONDS_MAX = 10_000_000.0
_DATE = (
    r"(?:(?P<y>[0-9]{4})[-/.](?P<m>[0-9]{1,2})[-/.](?P<d>[0-9]{1,2})"
    r"|(?P<a>[0-9]{1,2})[-/.] ?(?P<b>[0-9]{1,2})[-/.] ?(?P<c>[0-9]{4}|[0-9]{2}))"
)
_CLOCK = (
    r"(?P<h>[0-9]{1,2}):(?P<n>[0-9]{2})(?::(?P<s>[0-9]{2})(?:[.,](?P<f>[0-9]{1,9}))?)?"
    r" ?(?P<half>[aApP][mM])? ?(?P<z>Z|UTC|[+-][0-9]{2}:?[0-9]{2})?"
)
_MOMENT = re.compile(rf"{_DATE}(?:[T ,]+{_CLOCK})?")
_DAY = re.compile(_DATE)
_TIME = re.compile(_CLOCK)
_SINCE_1970 = re.compile(r"[0-9]{9,10}(?:\.[0-9]{1,9})?|[0-9]{12,13}")
_SPAN = re.compile(r"(?:([0-9]{1,4}):)?([0-9]{1,4}):([0-9]{2})(?:[.,]([0-9]{1,9}))?")
_OFFSET = re.compile(r"([+-])([0-9]{2}):?([0-9]{2})")


def zone_of(text: str) -> tzinfo:
    """Read the name of a time zone, or an offset such as +02:00; raises RowFault."""
    text = text.strip()
    if text in ("", "UTC", "Z"):
        return UTC
    if found := _OFFSET.fullmatch(text):
        return _fixed(found[1], int(found[2]), int(found[3]))
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise RowFault(
            f"“{text[:40]}” is no time zone: write UTC, +02:00 or a name such as Europe/Berlin."
        ) from error


def _fixed(sign: str, hours: int, minutes: int) -> tzinfo:
    if hours > 14 or minutes > 59:
        raise RowFault(f"There is no offset {sign}{hours:02}:{minutes:02}.")
    shift = timedelta(hours=hours, minutes=minutes)
    return timezone(-shift if sign == "-" else shift)


def span_s(text: str) -> float | None:
    """Read a length of time with colons, such as 7:32 or 1:07:32 [s]; None when it has none."""
    found = _SPAN.fullmatch(text)
    if not found:
        return None
    hours, minutes, seconds, part = found.groups()
    if int(seconds) > 59 or (hours and int(minutes) > 59):
        raise RowFault(f"“{text}” is no length of time.")
    whole = (int(hours or 0) * 60 + int(minutes)) * 60 + int(seconds)
    return whole + float(f"0.{part or 0}")


class Moments:
    """Reads moments of one file, in its time zone and its order of day and month."""

    def __init__(self, zone: tzinfo, *, is_day_first: bool) -> None:
        self.zone = zone
        self.is_day_first = is_day_first

    def moment_s(self, text: str, after_s: float | None = None) -> tuple[float, bool]:
        """The moment that a text names [s since 1970, UTC], and whether it has a time of day.

        An hour that a change of the clock makes twice is told by `after_s`, the moment of the
        row before; without it such a moment is refused. Raises RowFault.
        """
        if found := _MOMENT.fullmatch(text):
            day = self._day(found)
            return self._at(day, found, after_s), found["h"] is not None
        if _SINCE_1970.fullmatch(text):
            number = float(text)
            return (number / 1000 if number > 1e11 else number), True
        raise RowFault(f"“{text[:40]}” is no date and time that is read here.")

    def of_two_s(self, day: str, clock: str, after_s: float | None = None) -> tuple[float, bool]:
        """The moment that a date and a time of day in two columns name."""
        found_day, found_clock = _DAY.fullmatch(day), _TIME.fullmatch(clock) if clock else None
        if not found_day:
            raise RowFault(f"“{day[:40]}” is no date that is read here.")
        if clock and not found_clock:
            raise RowFault(f"“{clock[:40]}” is no time of day.")
        return self._at(self._day(found_day), found_clock, after_s), bool(found_clock)

    def _day(self, found: re.Match[str]) -> date:
        if found["y"]:
            year, month, day = int(found["y"]), int(found["m"]), int(found["d"])
        else:
            first, second, year = int(found["a"]), int(found["b"]), int(found["c"])
            year += 2000 if year < 100 else 0
            day, month = (first, second) if self.is_day_first else (second, first)
        try:
            named = date(year, month, day)
        except ValueError as error:
            other = "" if found["y"] else " Is the month first, or the day?"
            raise RowFault(f"There is no day {day}, month {month}, year {year}.{other}") from error
        if not EARLIEST <= year <= LATEST:
            raise RowFault(f"The year is {year}: was the clock set?")
        return named

    def _at(self, day: date, found: re.Match[str] | None, after_s: float | None) -> float:
        if found is None or found["h"] is None:
            return self._minute(day, 0, 0, UTC)[0]
        hour, minute, second = int(found["h"]), int(found["n"]), int(found["s"] or 0)
        if found["half"]:
            if not 1 <= hour <= 12:
                raise RowFault(f"There is no {hour} o'clock {found['half']}.")
            hour = hour % 12 + (12 if found["half"].lower() == "pm" else 0)
        if hour > 23 or minute > 59 or second > 59:
            raise RowFault(f"There is no time {hour}:{minute:02}:{second:02}.")
        zone = zone_of(found["z"]) if found["z"] else self.zone
        early, late = self._minute(day, hour, minute, zone)
        seconds = second + (float(f"0.{found['f']}") if found["f"] else 0.0)
        if early == late:
            return early + seconds
        if late < early:
            raise RowFault(f"{hour}:{minute:02} did not exist on {day}: the clock went forward.")
        if after_s is None:
            raise RowFault(
                f"{hour}:{minute:02} came twice on {day}: the clock went back. "
                "Write the offset beside the time, such as +01:00."
            )
        return (early if early + seconds >= after_s else late) + seconds

    @staticmethod
    @lru_cache(maxsize=4096)
    def _minute(day: date, hour: int, minute: int, zone: tzinfo) -> tuple[float, float]:
        local = datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone)
        return local.timestamp(), local.replace(fold=1).timestamp()
