"""How the pack was charged, used and put away. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part

FULL = "care.stored_full"
EMPTY = "care.stored_empty"
FAST = "care.charged_too_fast"
COLD = "care.charged_too_cold_or_hot"
HOT = "care.hot_after_flight"
DEEP = "care.used_too_deep"
PACK = "Pack (Dunmarrow 4×1300)"


def pack(**changes):
    return with_part(aircraft(), "pack", **changes)


# 41 days full.
@pytest.mark.parametrize(
    ("days", "volts", "expected"),
    [(41, 4.19, ["caution"]), (4, 4.19, ["caution"]), (3, 4.19, []), (41, 4.1, []), (41, 3.85, [])],
)
def test_a_pack_left_full(days, volts, expected):
    build = pack(stored_days=days, stored_high_v=volts)
    assert [level for level, _ in levels(FULL, build)] == expected


def test_a_full_charge_counts_where_nobody_read_the_cells():
    assert numbers(FULL, pack(stored_days=5, left_charged_full=True)) == {
        "stored_days": 5,
        "cell_v": 4.2,
    }


def test_cells_of_4_35_v_are_full_at_more():
    build = pack(stored_days=9, stored_high_v=4.2, cell_full_v=4.35)
    assert levels(FULL, build) == []


def test_a_pack_left_full_is_not_judged_without_its_full_voltage():
    build = pack(stored_days=9, stored_high_v=4.2, cell_full_v=None)
    assert missing(FULL, build) == [f"{PACK}: cell full (V)"]


# 97 days at 3.31 V; lithium ion rests there as usual.
@pytest.mark.parametrize(
    ("days", "volts", "chemistry", "expected"),
    [
        (97, 3.31, "lipo", ["caution"]),
        (7, 3.31, "lipo", []),
        (97, 3.6, "lipo", []),
        (97, 3.31, "li_ion", []),
        (97, 2.9, "li_ion", ["caution"]),
        (97, 1.1, "nimh", []),
    ],
)
def test_a_pack_left_empty(days, volts, chemistry, expected):
    build = pack(stored_days=days, stored_low_v=volts, chemistry=chemistry)
    assert [level for level, _ in levels(EMPTY, build)] == expected


def test_a_pack_left_empty_is_not_judged_without_its_chemistry():
    build = pack(stored_days=97, stored_low_v=3.31, chemistry=None)
    assert missing(EMPTY, build) == [f"{PACK}: chemistry"]


# 2.6 A into 1.3 Ah are 2C.
@pytest.mark.parametrize(
    ("current", "rate", "expected"),
    [(2.6, None, ["caution"]), (1.3, None, []), (2.6, 2.0, []), (3.0, 2.0, ["caution"])],
)
def test_how_fast_a_pack_was_charged(current, rate, expected):
    build = pack(charge_current_a=current, charge_c_rate=rate)
    assert [level for level, _ in levels(FAST, build)] == expected


def test_the_rate_is_not_judged_without_the_capacity():
    build = pack(charge_current_a=2.6, capacity_mah=None)
    assert f"{PACK}: capacity (mAh)" in missing(FAST, build)


@pytest.mark.parametrize(
    ("degrees", "expected"),
    [(2.0, ["warning"]), (5.0, []), (22.0, []), (45.0, []), (46.0, ["warning"])],
)
def test_how_warm_a_pack_was_charged(degrees, expected):
    build = pack(charge_temperature_c=degrees)
    assert [level for level, _ in levels(COLD, build)] == expected


# 63 degrees after a flight.
@pytest.mark.parametrize(
    ("degrees", "expected"),
    [(63.0, ["warning"]), (60.0, ["caution"]), (56.0, ["caution"]), (55.0, []), (30.0, [])],
)
def test_how_hot_a_flight_made_it(degrees, expected):
    build = pack(use_temperature_c=degrees)
    assert [level for level, _ in levels(HOT, build)] == expected


# 80 % of 1300 mAh are 1040 mAh; 1183 mAh are 91 %.
@pytest.mark.parametrize(
    ("uses", "expected"),
    [
        ((900.0, 1183.0, 950.0, 1100.0), ["note"]),
        ((900.0, 1183.0, 950.0), []),
        ((1040.0, 1040.0, 1040.0), []),
    ],
)
def test_how_deep_flights_went(uses, expected):
    assert [level for level, _ in levels(DEEP, pack(last_uses_mah=uses))] == expected


def test_the_deepest_flight_is_told():
    found = numbers(DEEP, pack(last_uses_mah=(1183.0, 1100.0)))
    assert found == {"deep_count": 2, "used_percent": 91.0}


def test_depth_is_not_judged_without_the_capacity():
    build = pack(last_uses_mah=(1183.0, 1100.0), capacity_mah=None)
    assert missing(DEEP, build) == [f"{PACK}: capacity (mAh)"]


@pytest.mark.parametrize("rule", [FULL, EMPTY, FAST, COLD, HOT, DEEP])
def test_a_log_without_such_an_entry_is_not_asked(rule):
    assert (levels(rule, aircraft()), missing(rule, aircraft())) == ([], [])


@pytest.mark.parametrize("rule", [FULL, EMPTY, FAST, COLD, HOT, DEEP])
def test_a_pack_out_of_service_is_told_of_elsewhere(rule):
    build = pack(
        health_verdict="out_of_service",
        stored_days=99,
        stored_high_v=4.2,
        stored_low_v=3.0,
        charge_current_a=9.0,
        charge_temperature_c=0.0,
        use_temperature_c=70.0,
        last_uses_mah=(1300.0, 1300.0),
    )
    assert (levels(rule, build), missing(rule, build)) == ([], [])
