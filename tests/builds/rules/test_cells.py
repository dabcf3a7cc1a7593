"""The cells as last read. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part

LOW = "cells.cell_too_low"
APART = "cells.cells_apart"
WORST = "cells.cell_of_high_resistance"
PACK = "Pack (Dunmarrow 4×1300)"


def rested(*volts, **changes):
    return with_part(aircraft(), "pack", cell_rest_v=list(volts), **changes)


# 2.61 V at rest: never charged again.
@pytest.mark.parametrize(
    ("lowest", "expected"),
    [(2.61, ["warning"]), (2.7, ["caution"]), (2.99, ["caution"]), (3.0, []), (3.8, [])],
)
def test_a_cell_that_fell_too_low(lowest, expected):
    build = rested(3.81, 3.8, lowest, 3.81)
    assert [level for level, _ in levels(LOW, build)] == expected


# Cells of lithium ion may go down to 2.5 V: 2.9 V is usual there.
@pytest.mark.parametrize(
    ("lowest", "expected"), [(2.9, []), (2.5, []), (2.4, ["caution"]), (1.9, ["warning"])]
)
def test_lithium_ion_has_limits_of_its_own(lowest, expected):
    build = rested(lowest, 3.0, 3.0, 3.0, chemistry="li_ion")
    assert [level for level, _ in levels(LOW, build)] == expected


def test_the_makers_least_voltage_comes_first():
    build = rested(3.1, 3.3, 3.3, 3.3, cell_min_v=3.2)
    assert numbers(LOW, build) == {"lowest_v": 3.1, "least_v": 3.2}


# 55 mV and 1200 mV at rest.
@pytest.mark.parametrize(
    ("low", "expected"),
    [
        (3.795, ["caution"]),
        (3.82, []),
        (3.815, ["caution"]),
        (3.75, ["caution"]),
        (3.74, ["warning"]),
        (2.65, ["warning"]),
    ],
)
def test_cells_that_stand_apart(low, expected):
    build = rested(3.85, 3.85, low, 3.85)
    assert [level for level, _ in levels(APART, build)] == expected


def test_the_lowest_cell_is_named():
    assert numbers(APART, rested(3.85, 3.85, 3.795, 3.85)) == {"spread_mv": 55.0, "low_cell": 3}


@pytest.mark.parametrize("changes", [{"cell_rest_v": [3.5, 3.4, 3.5, 3.5]}, {"rest_hours": 0.5}])
def test_a_reading_near_empty_or_too_soon_is_not_compared(changes):
    build = with_part(aircraft(), "pack", **changes)
    assert missing(APART, build) == [f"{PACK}: its cells, an hour after use and not near empty"]


@pytest.mark.parametrize("rule", [LOW, APART])
def test_cells_are_not_judged_without_a_reading(rule):
    build = with_part(aircraft(), "pack", cell_rest_v=None)
    assert missing(rule, build) == [f"{PACK}: rest voltage of each cell (V)"]


@pytest.mark.parametrize("rule", [LOW, APART])
def test_a_reading_of_fewer_cells_is_not_judged(rule):
    assert missing(rule, rested(3.8, 3.8)) == [f"{PACK}: the rest voltage of each of its 4 cells"]


# 1.49 and 4.84 times the others.
@pytest.mark.parametrize(
    ("worst", "expected"),
    [(6.0, []), (5.2, []), (5.96, ["caution"]), (8.0, ["caution"]), (19.36, ["warning"])],
)
def test_one_cell_worse_than_the_others(worst, expected):
    base = 4.0 if worst != 6.0 else 5.0
    build = with_part(aircraft(), "pack", cell_resistance_mohm=[base, base, worst, base])
    assert [level for level, _ in levels(WORST, build)] == expected


def test_the_ratio_of_the_worst_cell_is_told():
    build = with_part(aircraft(), "pack", cell_resistance_mohm=[4.0, 4.0, 5.96, 4.0])
    assert numbers(WORST, build) == {"worst_mohm": 5.96, "ratio": 1.49}


def test_the_worst_cell_is_not_judged_without_a_reading():
    build = with_part(aircraft(), "pack", cell_resistance_mohm=None)
    assert missing(WORST, build) == [f"{PACK}: resistance of each cell (mΩ)"]


@pytest.mark.parametrize("rule", [LOW, APART, WORST])
@pytest.mark.parametrize(
    "out", [{"out_of_service": "swollen"}, {"health_verdict": "out_of_service"}]
)
def test_a_pack_out_of_service_is_told_of_elsewhere(rule, out):
    build = rested(2.6, 3.8, 3.8, 3.8, cell_resistance_mohm=[40.0, 4.0, 4.0, 4.0], **out)
    assert (levels(rule, build), missing(rule, build)) == ([], [])


@pytest.mark.parametrize("rule", [LOW, APART])
def test_cells_without_lithium_have_no_limits_here(rule):
    build = rested(1.2, 1.2, 1.1, 1.2, chemistry="nimh")
    assert (levels(rule, build), missing(rule, build)) == ([], [])
