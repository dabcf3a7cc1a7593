from datetime import timedelta

import pytest

from inventory.health.care import Carriage, advice, carriage, idle_state, watt_hours
from inventory.health.entries import Chemistry, Kind
from tests.inventory.health.rows import START, entry, facts


def at(day):
    return START + timedelta(days=day)


def rest(day, volts):
    return entry(Kind.REST, day, rest_v=(volts,) * 4)


# Nominal volts times rated ampere-hours: 6 * 3.7 * 4.5 and 4 * 3.7 * 4.0.
@pytest.mark.parametrize(
    ("values", "energy_wh"),
    [
        ({"cells": 6, "capacity_mah": 4500.0}, 99.9),
        ({"cells": 4, "capacity_mah": 4000.0, "chemistry": Chemistry.LI_ION}, 59.2),
        ({"cells": 4, "capacity_mah": 1000.0, "nominal_v_per_cell": 3.7}, 14.8),
    ],
)
def test_energy_is_nominal_volts_times_rated_capacity(values, energy_wh):
    assert watt_hours(facts(**values)) == pytest.approx(energy_wh)


# United States 49 CFR 175.10(a)(18), limits of 100 and 160 Wh; from memory, not verified.
@pytest.mark.parametrize(
    ("energy_wh", "band"),
    [
        (99.9, Carriage.CABIN),
        (100.0, Carriage.CABIN),
        (100.1, Carriage.ASK_AIRLINE),
        (160.0, Carriage.ASK_AIRLINE),
        (160.1, Carriage.NOT_AS_BAGGAGE),
    ],
)
def test_watt_hours_decide_the_band_of_carriage(energy_wh, band):
    assert carriage(energy_wh) == band


def test_a_pack_left_full_should_be_discharged_today():
    rows = [entry(Kind.CHARGE, 0, is_full=True), rest(40, 4.17)]
    (told,) = advice(rows, facts(), at(41))
    assert "Full for 41 days (4.17 V a cell): discharge it today" in told


def test_a_full_charge_stands_for_its_voltage_where_none_was_read():
    idle = idle_state([entry(Kind.CHARGE, 0, is_full=True)], facts(), at(5))
    assert (idle.highest_v, idle.days) == (4.20, 5)


@pytest.mark.parametrize(
    ("volts", "days"), [(4.17, 3), (4.10, 30), (3.60, 30), (3.31, 7), (3.85, 300)]
)
def test_a_pack_within_the_limits_needs_nothing(volts, days):
    rows = [entry(Kind.USE, 0), rest(days, volts)]
    assert advice(rows, facts(), at(days)) == ()


def test_a_pack_left_empty_is_charged_gently_and_only_if_the_maker_allows_it():
    (told,) = advice([entry(Kind.USE, 0), rest(97, 3.30)], facts(), at(97))
    assert "3.30 V a cell after 97 idle days" in told
    assert "If the maker allows" in told


def test_li_ion_at_3_60_volts_is_neither_full_nor_empty():
    li_ion = facts(chemistry=Chemistry.LI_ION)
    assert advice([entry(Kind.USE, 0), rest(60, 3.60)], li_ion, at(60)) == ()


@pytest.mark.parametrize(
    ("celsius", "told"), [(50, ()), (57, ("works too hard",)), (63, ("inspect it",))]
)
def test_a_hot_pack_is_spoken_of(celsius, told):
    found = advice([entry(Kind.USE, 0, temperature_c=celsius)], facts(), at(1))
    assert len(found) == len(told)
    assert all(words in found[place] for place, words in enumerate(told))


def test_repeated_deep_use_asks_for_a_shorter_timer():
    rows = [entry(Kind.USE, day, charge_mah=2002.0) for day in range(3)]
    (told,) = advice(rows, facts(), at(4))
    assert "91%" in told


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"temperature_c": 2.0}, "2 °C"),
        ({"charge_mah": 2200.0, "duration_s": 1800.0}, "4.4 A on average: no more than 2.2 A"),
    ],
)
def test_a_charge_too_cold_or_too_fast_is_spoken_of(values, words):
    (told,) = advice([entry(Kind.CHARGE, 0, **values)], facts(), at(1))
    assert words in told
