import pytest

from inventory.health.entries import Chemistry, Kind
from inventory.health.stops import find_stops
from tests.inventory.health.rows import entry, facts


def stops(*rows, **values):
    return [reason.about for reason in find_stops(rows, facts(**values))]


def test_a_pack_without_such_a_fact_is_not_stopped():
    rows = [
        entry(Kind.REST, 0, rest_v=(3.85,) * 4),
        entry(Kind.RESISTANCE, 0, resistance_mohm=(5.0,) * 4),
    ]
    assert stops(*rows, thickness_first_mm=29, thickness_now_mm=30) == []


def test_the_status_set_by_hand_wins():
    assert stops(out_of_service_because="smelled sweet") == ["status"]


def test_any_incident_stops_a_pack():
    assert stops(entry(Kind.INCIDENT, 0, note="crashed")) == ["incident"]


@pytest.mark.parametrize(("now_mm", "expected"), [(31.8, []), (32.0, ["swelling"])])
def test_swelling_of_a_tenth_stops_a_pack(now_mm, expected):
    assert stops(thickness_first_mm=29.0, thickness_now_mm=now_mm) == expected


def test_swelling_measured_in_the_log_counts():
    rows = [entry(Kind.INSPECTION, day, thickness_mm=mm) for day, mm in enumerate((29.0, 34.0))]
    assert stops(*rows) == ["swelling"]


@pytest.mark.parametrize(
    ("chemistry", "lowest_v", "expected"),
    [
        (Chemistry.LIPO, 3.00, []),
        (Chemistry.LIPO, 2.99, ["low_cell"]),
        (Chemistry.LI_ION, 2.80, []),
        (Chemistry.LI_ION, 2.49, ["low_cell"]),
    ],
)
def test_a_cell_below_its_minimum_at_rest_stops_a_pack(chemistry, lowest_v, expected):
    row = entry(Kind.REST, 0, rest_v=(lowest_v,) * 4)
    assert stops(row, chemistry=chemistry) == expected


def test_the_makers_own_minimum_comes_first():
    row = entry(Kind.REST, 0, rest_v=(3.10,) * 4)
    assert stops(row, minimum_v_per_cell=3.2) == ["low_cell"]


def test_a_later_good_reading_does_not_take_a_low_cell_back():
    low = entry(Kind.REST, 0, rest_v=(3.8, 3.8, 2.61, 3.8))
    good = entry(Kind.REST, 9, rest_v=(3.8,) * 4)
    (reason,) = find_stops([low, good], facts())
    assert "Never charge it" in reason.message
    assert "Cell 3 read 2.61 V" in reason.message


@pytest.mark.parametrize(("low_v", "expected"), [(3.75, []), (3.74, ["spread"])])
def test_more_than_100_millivolts_of_spread_stop_a_pack(low_v, expected):
    assert stops(entry(Kind.REST, 0, rest_v=(3.85, 3.85, low_v, 3.85))) == expected


@pytest.mark.parametrize(("worst", "expected"), [(10.0, []), (10.1, ["cell_resistance"])])
def test_a_cell_of_twice_the_resistance_stops_a_pack(worst, expected):
    row = entry(Kind.RESISTANCE, 0, resistance_mohm=(5.0, worst, 5.0, 5.0))
    assert stops(row) == expected
