"""How long a charge lasts in the chosen flight."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.figures import figures_of
from builds.figures.endurance import endurance_over_power, flight_figures, read_flight
from builds.records import Value
from tests.builds.figures.drives import small_wing

FOUR = [4.1, 4.0, 4.2, 4.1]


def flight(**build):
    return flight_figures(figures_of(small_wing(cells=FOUR, **build)))


def with_capacity_now(snapshot, mah):
    pack = snapshot.pack
    values = {**pack.values, "capacity_now_mah": Value(mah, "measured")}
    return snapshot.with_pack(replace(pack, values=values))


def test_mixed_flight_is_the_charge_over_the_mean_current():
    # Charge is current times time: 1300 mAh less 20 %, a tenth of the time at full throttle.
    figures = flight(full_throttle_share_percent=10.0, reserve_percent=20.0)
    cruise, full = figures["endurance_cruise_min"].value, figures["endurance_full_min"].value
    usable_ah = 1.3 * 0.8
    mean_a = 0.9 * usable_ah / cruise + 0.1 * usable_ah / full
    assert figures["endurance_min"].value == pytest.approx(usable_ah / mean_a)
    assert figures["charge_used_mah"].value == pytest.approx(1040)


def test_reserve_is_a_fifth_where_nobody_chose():
    # Common practice, no source.
    given = {one.name: one for one in flight()["endurance_min"].inputs}
    reserve = given["this build: reserve (%)"]
    assert (reserve.value, reserve.source) == (20.0, "assumed")


def test_capacity_that_the_log_tells_takes_the_place_of_the_rated_one():
    rated = small_wing(cells=FOUR)
    aged = with_capacity_now(rated, 1040.0)
    minutes = [figures_of(one)["endurance_min"].value for one in (rated, aged)]
    assert minutes[1] == pytest.approx(0.8 * minutes[0])
    names = [one.name for one in figures_of(aged)["endurance_min"].inputs]
    assert any("capacity now (mAh)" in name for name in names)


def test_chosen_cruise_speed_is_flown():
    # Level drag rises above the speed of least power: more speed, more power.
    slow, fast = flight(cruise_speed_m_s=14.0), flight(cruise_speed_m_s=24.0)
    assert fast["flight_power_w"].value > slow["flight_power_w"].value
    assert fast["endurance_min"].value < slow["endurance_min"].value


def test_speed_that_the_drive_cannot_hold_is_said():
    assert "full throttle gives" in flight(cruise_speed_m_s=70.0)["endurance_min"].missing[0]


def test_curve_passes_through_the_chosen_cruise():
    figures = figures_of(small_wing(cells=FOUR))
    chosen, points = read_flight(figures), endurance_over_power(read_flight(figures))
    powers = [point.power_w for point in points]
    minutes = [point.minutes for point in points]
    assert powers == sorted(powers)
    assert minutes == sorted(minutes, reverse=True)
    assert minutes[-1] == pytest.approx(chosen.times.full_only / 60, rel=0.02)


@given(st.floats(0.0, 100.0), st.floats(0.0, 60.0))
def test_more_reserve_and_more_full_throttle_never_last_longer(share, reserve):
    usual = flight(full_throttle_share_percent=share, reserve_percent=reserve)
    less = flight(full_throttle_share_percent=min(100.0, share + 5), reserve_percent=reserve + 5)
    assert less["endurance_min"].value < usual["endurance_min"].value
