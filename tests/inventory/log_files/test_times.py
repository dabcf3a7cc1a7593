"""Moments and lengths of time."""

from datetime import UTC, datetime

import pytest

from inventory.log_files.faults import RowFault
from inventory.log_files.times import Moments, span_s, zone_of


def at(*parts):
    return datetime(*parts, tzinfo=UTC).timestamp()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # RFC 3339, section 5.8, examples.
        ("1996-12-19T16:39:57-08:00", at(1996, 12, 20, 0, 39, 57)),
        ("1990-12-31T23:59:59Z", at(1990, 12, 31, 23, 59, 59)),
        ("2026-05-01 10:20", at(2026, 5, 1, 10, 20)),
        ("1.5.2026 10:20:30,5", at(2026, 5, 1, 10, 20, 30, 500_000)),
        ("03/04/26 07:05 PM", at(2026, 4, 3, 19, 5)),
        # The Unix time of 13 February 2009, 23:31:30 UTC, is 1234567890: POSIX.1, section 4.16.
        ("1234567890", at(2009, 2, 13, 23, 31, 30)),
        ("1234567890500", at(2009, 2, 13, 23, 31, 30, 500_000)),
    ],
)
def test_a_moment_is_read_however_it_is_written(text, expected):
    assert Moments(UTC, is_day_first=True).moment_s(text) == (pytest.approx(expected), True)


def test_the_month_may_stand_first():
    read = Moments(UTC, is_day_first=False)
    assert read.moment_s("03/04/2026 07:05")[0] == at(2026, 3, 4, 7, 5)


def test_a_local_time_is_moved_by_the_offset_of_its_day():
    # Central European Time is one hour ahead of UTC and in summer two: Directive 2000/84/EC,
    # whose summer time in 2026 runs from 29 March to 25 October, 01:00 UTC.
    read = Moments(zone_of("Europe/Berlin"), is_day_first=True)
    assert read.moment_s("28.03.2026 12:00")[0] == at(2026, 3, 28, 11, 0)
    assert read.moment_s("29.03.2026 12:00")[0] == at(2026, 3, 29, 10, 0)


def test_an_hour_that_came_twice_is_told_by_the_row_before():
    read = Moments(zone_of("Europe/Berlin"), is_day_first=True)
    first = read.moment_s("25.10.2026 02:30", after_s=at(2026, 10, 25, 0, 29))[0]
    second = read.moment_s("25.10.2026 02:30", after_s=at(2026, 10, 25, 0, 59))[0]
    assert (first, second) == (at(2026, 10, 25, 0, 30), at(2026, 10, 25, 1, 30))
    with pytest.raises(RowFault, match="came twice"):
        read.moment_s("25.10.2026 02:30")


def test_an_hour_that_never_came_is_refused():
    read = Moments(zone_of("Europe/Berlin"), is_day_first=True)
    with pytest.raises(RowFault, match="did not exist"):
        read.moment_s("29.03.2026 02:30")


@pytest.mark.parametrize(
    "text",
    ["", "soon", "2026-02-30 10:00", "13/13/2026", "2026-05-01 25:00", "1.1.1970", "1e9", "٣"],
)
def test_what_is_no_moment_is_refused(text):
    with pytest.raises(RowFault):
        Moments(UTC, is_day_first=True).moment_s(text)


def test_a_length_of_time_has_minutes_and_seconds_or_hours_too():
    assert span_s("7:32") == 452
    assert span_s("1:07:32.5") == 4052.5
    assert span_s("452") is None
    with pytest.raises(RowFault):
        span_s("7:75")


def test_a_zone_is_a_name_or_an_offset():
    assert zone_of("+05:30").utcoffset(None).total_seconds() == 19_800
    for text in ("Nowhere/Land", "../../etc/passwd", "+25:00"):
        with pytest.raises(RowFault):
            zone_of(text)
