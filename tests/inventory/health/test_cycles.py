import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.health.cycles import count_cycles, total_of_counter
from inventory.health.entries import Kind
from tests.inventory.health.rows import entry

OUT_MAH = (1600.0, 1750.0, 900.0, 1500.0, 400.0)


def uses(charges_mah):
    return [entry(Kind.USE, day, charge_mah=mah) for day, mah in enumerate(charges_mah)]


def charges(charges_mah):
    return [entry(Kind.CHARGE, day + 0.5, charge_mah=mah) for day, mah in enumerate(charges_mah)]


def test_equivalent_cycles_are_charge_drawn_over_rated_capacity():
    # Arithmetic: 6150 mAh / 2200 mAh.
    cycles = count_cycles(uses(OUT_MAH), 0, capacity_mah=2200)
    assert cycles.equivalent == pytest.approx(2.7955, abs=5e-5)
    assert cycles.counted == 5
    assert not cycles.is_lower_bound


def test_two_way_throughput_of_a_published_series_gives_its_equivalent_cycles():
    # Summary of 267 ageing cycles of cell p492-13, data file of battery-data-toolkit 0.4.6:
    # 9.845290 Ah in both directions on 0.02173834 Ah. Figures from memory, not verified here.
    half = 9845.290 / 2
    rows = uses([half]) + charges([half / 0.995])
    cycles = count_cycles(rows, 0, capacity_mah=21.73834)
    assert cycles.equivalent == pytest.approx(226.4499, abs=1e-3)


def test_a_use_and_its_own_recharge_count_once():
    rows = uses(OUT_MAH) + charges([mah / 0.995 for mah in OUT_MAH])
    cycles = count_cycles(rows, 0, capacity_mah=2200)
    assert cycles.equivalent == pytest.approx(2.7955, abs=5e-5)
    assert cycles.counted == 5


def test_a_counter_that_restarts_is_added_up_and_reported():
    # Arithmetic: 6300 mAh before the restart and 3950 mAh after it.
    total = total_of_counter([2100, 4180, 6300, 1900, 3950])
    assert total.charge_mah == 10250
    assert total.restarts == 1


def test_a_restarted_counter_makes_the_count_a_lower_bound():
    rows = [
        entry(Kind.CHARGE, day, counter_mah=mah)
        for day, mah in enumerate([2100, 4180, 6300, 1900, 3950])
    ]
    cycles = count_cycles(rows, 0, capacity_mah=2200)
    assert cycles.is_lower_bound
    assert cycles.equivalent == pytest.approx(10250 * 0.995 / 2200)


def test_cycles_at_purchase_add_to_the_count_and_make_it_a_lower_bound():
    cycles = count_cycles(uses(OUT_MAH), 30, capacity_mah=2200)
    assert cycles.counted == 35
    assert cycles.is_lower_bound


def test_uses_that_were_not_logged_make_the_count_a_lower_bound():
    rows = uses([1600]) + charges([1608, 1758, 905])
    cycles = count_cycles(rows, 0, capacity_mah=2200)
    assert cycles.is_lower_bound
    assert cycles.counted == 3


def test_a_use_without_charge_makes_the_count_a_lower_bound():
    assert count_cycles([entry(Kind.USE, 0)], 0, capacity_mah=2200).is_lower_bound


def test_an_empty_log_has_no_cycles():
    cycles = count_cycles([], 0, capacity_mah=2200)
    assert (cycles.counted, cycles.equivalent, cycles.is_lower_bound) == (0, 0.0, False)


def test_without_rated_capacity_no_equivalent_cycles_are_given():
    assert count_cycles(uses(OUT_MAH), 0).equivalent is None


def test_negative_cycles_at_purchase_are_refused():
    with pytest.raises(ValueError, match="negative"):
        count_cycles([], -1)


@given(st.permutations(uses(OUT_MAH) + charges(OUT_MAH)))
def test_the_order_of_import_and_double_import_do_not_matter(rows):
    expected = count_cycles(uses(OUT_MAH) + charges(OUT_MAH), 0, capacity_mah=2200)
    assert count_cycles(rows + rows, 0, capacity_mah=2200) == expected


@given(st.lists(st.floats(0, 5000), min_size=1, max_size=20))
def test_another_use_never_lowers_the_count(charges_mah):
    fewer = count_cycles(uses(charges_mah[:-1]), 0, capacity_mah=2200)
    more = count_cycles(uses(charges_mah), 0, capacity_mah=2200)
    assert more.equivalent >= fewer.equivalent
