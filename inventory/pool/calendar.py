"""Due days as a calendar (RFC 5545): one all-day event each."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from icalendar import Calendar, Event


@dataclass(frozen=True)
class Day:
    """A day that counts: `key` stays the same when the day moves."""

    key: str
    on: date | None
    text: str
    made_at: datetime


def due_days(days: Iterable[Day]) -> bytes:
    """The calendar of those days.

    Source: RFC 5545, section 3.6.1: an event of a whole day has DTSTART as a DATE; DTEND, which is
    not part of it, is the day after; UID and DTSTAMP are required.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//hangar//due days//EN")
    calendar.add("version", "2.0")
    for day in days:
        if day.on is None:
            continue
        event = Event()
        event.add("uid", f"{day.key}@hangar.invalid")
        event.add("dtstamp", day.made_at)
        event.add("dtstart", day.on)
        event.add("dtend", day.on + timedelta(days=1))
        event.add("summary", day.text)
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return bytes(calendar.to_ical())
