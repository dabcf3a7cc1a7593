"""Packs in series and parallel: Kirchhoff's laws, written out by hand in the comments."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.checks import OutOfRange
from builds.engineering.propulsion import (
    Circuit,
    Source,
    balancing_current,
    in_parallel,
    in_series,
    shares_of_current,
)

sources = st.lists(
    st.builds(Source, voltage=st.floats(3, 26), resistance=st.floats(0.001, 0.2)),
    min_size=1,
    max_size=4,
)


def test_cells_in_series_add_up():
    # 4 x 4.10 V, 4 x 4.1 milliohm.
    pack = in_series(sources=[Source(4.10, 0.0041)] * 4)
    assert (pack.voltage, pack.resistance) == (pytest.approx(16.4), pytest.approx(0.0164))


def test_alike_packs_in_parallel_halve_the_resistance():
    pack = in_parallel(sources=[Source(16.4, 0.02)] * 2)
    assert (pack.voltage, pack.resistance) == (pytest.approx(16.4), pytest.approx(0.01))


def test_unlike_packs_share_by_resistance():
    # Equal voltages: 10 and 20 milliohm share 30 A as 20 A and 10 A.
    shares = shares_of_current(sources=[Source(16, 0.010), Source(16, 0.020)], current=30.0)
    assert shares == (pytest.approx(20.0), pytest.approx(10.0))


def test_joining_a_full_and_a_tired_pack_drives_a_current():
    # (16.68 - 15.28) V over 17.9 + 27.9 milliohm = 30.57 A.
    current = balancing_current(sources=[Source(16.68, 0.0179), Source(15.28, 0.0279)])
    assert current == pytest.approx(1.40 / 0.0458)


@given(packs=sources, current=st.floats(0, 100))
def test_shares_add_up_to_the_current(packs, current):
    shares = shares_of_current(sources=packs, current=current)
    assert sum(shares) == pytest.approx(current, abs=1e-6)


@given(packs=sources)
def test_parallel_voltage_lies_between_the_packs(packs):
    voltages = [pack.voltage for pack in packs]
    together = in_parallel(sources=packs).voltage
    assert min(voltages) - 1e-9 <= together <= max(voltages) + 1e-9


@given(packs=sources)
def test_parallel_resistance_is_below_the_least(packs):
    least = min(pack.resistance for pack in packs)
    assert in_parallel(sources=packs).resistance <= least * (1 + 1e-12)


@pytest.mark.parametrize("combine", [in_series, in_parallel])
def test_refuses_no_pack(combine):
    with pytest.raises(OutOfRange, match="at least one pack"):
        combine(sources=[])


def test_refuses_a_pack_in_parallel_without_resistance():
    with pytest.raises(OutOfRange, match="resistance"):
        in_parallel(sources=[Source(16, 0.0), Source(16, 0.02)])


@pytest.mark.parametrize("motors", [0, -1, 1.5])
def test_refuses_no_or_half_a_motor(motors):
    with pytest.raises(OutOfRange, match="whole number"):
        Circuit(Source(16, 0.02), motors=motors)
