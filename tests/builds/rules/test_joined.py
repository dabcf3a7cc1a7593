"""Packs joined with each other. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import levels, missing
from tests.builds.test_two_packs import with_two

SERIES = "joined.unlike_in_series"
CHARGED = "joined.charged_unlike_in_parallel"
HALF = {"cell_count": 2, "cell_resistance_mohm": [5.0] * 2, "cell_rest_v": [3.85] * 2}


@pytest.mark.parametrize(
    ("second", "expected"),
    [
        ({}, []),
        ({"capacity_mah": 1170.0}, []),
        ({"capacity_mah": 1160.0}, [("warning", "")]),
        ({"chemistry": "li_ion"}, [("warning", "")]),
        ({"capacity_percent": 92.0}, []),
        ({"capacity_percent": 91.0}, [("caution", "")]),
        ({"cell_count": 3}, []),
    ],
)
def test_packs_in_series_that_differ(second, expected):
    assert levels(SERIES, with_two("series", HALF, {**HALF, **second})) == expected


def test_packs_in_series_are_not_judged_unless_their_capacity_is_known():
    build = with_two("series", HALF, {**HALF, "capacity_mah": None})
    assert missing(SERIES, build) == ["Second pack (Dunmarrow 4×1300): capacity (mAh)"]


def test_packs_in_parallel_are_not_compared_as_in_series():
    assert levels(SERIES, with_two("parallel", {}, {"capacity_mah": 800.0})) == []


@pytest.mark.parametrize(("volts", "expected"), [(3.76, []), (3.74, [("warning", "")])])
def test_packs_in_parallel_at_different_voltages(volts, expected):
    first, second = {"cell_rest_v": [3.85] * 4}, {"cell_rest_v": [volts] * 4}
    assert levels(CHARGED, with_two("parallel", first, second)) == expected


def test_packs_in_series_may_stand_at_different_voltages():
    first, second = {"cell_rest_v": [3.85] * 4}, {"cell_rest_v": [3.5] * 4}
    assert levels(CHARGED, with_two("series", first, second)) == []
