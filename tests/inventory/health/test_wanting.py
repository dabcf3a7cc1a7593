"""What more a log needs. The gates are engineering judgement, no source: three readings from rest
for a capacity, six tests or six times four readings for a trend."""

import pytest

from inventory.health import judge
from inventory.health.entries import Chemistry, Kind
from tests.inventory.health.rows import START, entry, facts


def flights(number):
    """Flights from full, each with a reading from rest after it, and charged full again."""
    rows = [entry(Kind.CHARGE, 0, charge_mah=500, is_full=True)]
    for day in range(1, number + 1):
        rows += [
            entry(Kind.USE, day, charge_mah=1540, duration_s=300),
            entry(
                Kind.REST, day + 0.1, rest_v=(3.733,) * 4, hours_since_use=2.0, temperature_c=21.0
            ),
            entry(Kind.CHARGE, day + 0.2, charge_mah=1540, is_full=True),
        ]
    return rows


def discharges(number):
    return [
        entry(Kind.USE, day, charge_mah=2100, is_capacity_test=True, temperature_c=22.0)
        for day in range(number)
    ]


def told(rows, **of_pack):
    return judge(facts(**of_pack), rows, rows[-1].started_at if rows else START)


@pytest.mark.parametrize(
    ("number", "words"),
    [(0, "3 more readings from rest"), (1, "2 more readings"), (2, "1 more reading from rest")],
)
def test_too_few_readings_give_no_capacity_but_how_many_more_would(number, words):
    found = told(flights(number))
    assert found.capacity_mah is None
    assert found.why_no_capacity.startswith(words)


def test_as_many_readings_as_were_asked_for_give_the_capacity():
    found = told(flights(3))
    assert found.capacity_mah.value == pytest.approx(2200, rel=0.01)
    assert found.why_no_capacity == ""


@pytest.mark.parametrize("chemistry", [Chemistry.LI_ION, Chemistry.LIPO_HV])
def test_cells_without_a_curve_are_not_asked_for_readings_from_rest(chemistry):
    found = told(flights(1), chemistry=chemistry)
    assert found.why_no_capacity.startswith("1 more full discharge in a tester would tell.")
    assert found.why_no_end_of_life.startswith("6 more full discharges in a tester would tell.")


def test_old_evidence_asks_for_as_many_readings_as_a_new_log():
    rows = flights(3)
    found = judge(facts(), rows, rows[-1].started_at.replace(year=START.year + 2))
    assert found.why_no_capacity.startswith("3 more readings from rest would tell")


def test_too_few_readings_give_no_end_but_how_many_more_would():
    found = told(flights(20))
    assert found.end_of_life is None
    assert found.why_no_end_of_life.startswith("4 more readings from rest would tell")
    assert "or 6 more full discharges in a tester" in found.why_no_end_of_life


def test_too_few_discharges_in_a_tester_give_no_end_but_how_many_more_would():
    found = told(discharges(5))
    assert found.end_of_life is None
    assert "or 1 more full discharge in a tester" in found.why_no_end_of_life
