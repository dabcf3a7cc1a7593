from datetime import datetime

import pytest

from inventory.health.entries import Kind, LogEntry, in_order
from tests.inventory.health.rows import START, entry, facts


def test_a_time_without_zone_is_refused():
    with pytest.raises(ValueError, match="time zone"):
        LogEntry(id="a", kind=Kind.USE, started_at=datetime(2025, 1, 1))  # noqa: DTZ001


def test_an_unknown_kind_is_refused():
    with pytest.raises(ValueError, match="flight"):
        LogEntry(id="a", kind="flight", started_at=START)


@pytest.mark.parametrize("values", [{"capacity_mah": 0.0}, {"cells": 0}, {"parallel": 0}])
def test_a_pack_without_cells_or_capacity_is_refused(values):
    with pytest.raises(ValueError, match="at least one cell|more than 0 mAh"):
        facts(**values)


def test_rows_come_by_time_and_once_each():
    late, early = entry(Kind.USE, 2), entry(Kind.USE, 1)
    assert in_order([late, early, late]) == (early, late)
