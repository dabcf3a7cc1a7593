from datetime import timedelta

import pytest

from inventory.health.consistency import find_contradictions
from inventory.health.entries import Kind
from tests.inventory.health.rows import START, entry, facts

NOW = START + timedelta(days=100)


def found_in(*rows, **values):
    return find_contradictions(rows, facts(**values), NOW)


@pytest.mark.parametrize(
    ("row", "message"),
    [
        (entry(Kind.USE, 1, charge_mah=2400.0), "2400 mAh out of a pack of 2200"),
        (entry(Kind.USE, 365), "dated in the future"),
        (entry(Kind.USE, 1, aircraft_cells=6), "aircraft for 6 cells; the pack has 4"),
        (entry(Kind.REST, 1, rest_v=(3.8,) * 3), "3 rest voltages for 4 cells"),
        (entry(Kind.REST, 1, rest_v=(15.2, 3.8, 3.8, 3.8)), "that of the whole pack"),
        (entry(Kind.RESISTANCE, 1, resistance_mohm=(5.0,)), "1 resistances for 4 cells"),
        (entry(Kind.USE, 1, charge_mah=-5.0), "negative"),
        (entry(Kind.USE, 1, charge_mah=float("nan")), "not a number"),
        (entry(Kind.REST, 1, rest_v=(float("inf"),) * 4), "not a number"),
    ],
)
def test_a_row_that_cannot_be_true_is_named(row, message):
    (found,) = found_in(row)
    assert found.row_ids == (row.id,)
    assert message in found.message
    assert found.is_impossible


def test_charge_up_to_five_percent_over_rated_is_believed():
    assert found_in(entry(Kind.USE, 1, charge_mah=2310.0)) == ()


def test_two_rows_in_one_minute_cannot_both_be_true():
    rows = entry(Kind.USE, 1), entry(Kind.USE, 1 + 30 / 86400)
    (found,) = found_in(*rows)
    assert found.row_ids == tuple(row.id for row in rows)


def test_rows_that_overlap_cannot_both_be_true():
    (found,) = found_in(entry(Kind.CHARGE, 1, duration_s=3600.0), entry(Kind.USE, 1 + 0.5 / 24))
    assert "overlap" in found.message


def test_more_uses_than_the_counter_of_cycles_shows():
    uses = [entry(Kind.USE, day) for day in range(47)]
    (found,) = found_in(*uses, entry(Kind.INSPECTION, 60, counter_cycles=12))
    assert "47 uses logged against a counter of 12" in found.message


def test_two_uses_on_a_charge_agree_with_a_counter_of_charges():
    rows = [entry(Kind.CHARGE, 0), entry(Kind.USE, 1), entry(Kind.USE, 2)]
    assert found_in(*rows, entry(Kind.INSPECTION, 3, counter_cycles=1)) == ()


def cycle(day, out_mah, back_mah):
    return [
        entry(Kind.USE, day, charge_mah=out_mah),
        entry(Kind.CHARGE, day + 0.5, charge_mah=back_mah, is_full=True),
    ]


def test_charge_back_that_does_not_match_the_use_is_doubted():
    rows = [*cycle(0, 1500, 1508), *cycle(1, 1500, 1800)]
    (found,) = found_in(*rows)
    assert not found.is_impossible
    assert found.row_ids == ("use-1", "charge-1.5")


def test_charge_back_that_often_does_not_match_withholds_the_verdict():
    rows = [row for day in range(5) for row in cycle(day, 1500, 1800)]
    assert {found.is_impossible for found in found_in(*rows)} == {True}


def test_a_partial_charge_is_not_held_against_the_use():
    rows = [*cycle(0, 1500, 1508), entry(Kind.USE, 1, charge_mah=1500.0)]
    assert found_in(*rows, entry(Kind.CHARGE, 1.5, charge_mah=400.0)) == ()
