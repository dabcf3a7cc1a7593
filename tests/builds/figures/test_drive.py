"""The drive with a reading on the bench, and what it does for other packs and altitudes."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.figures import figures_of
from builds.figures.drive import read_drive, reading_in_use
from builds.records import AirRecord
from tests.builds.figures.drives import NEWTON_G, bench, reading, small_wing

# A motor sheet that is off, and a propeller of which only the size is known.
VAGUE = {
    "motor": {"kv_rpm_v": 850},
    "propeller": {"thrust_coefficient": None, "power_coefficient": None, "pitch_mm": 119.4},
}
HALF_WIDTH = 0.15


def test_reading_gives_back_the_constants_behind_it():
    drive = read_drive(figures_of(bench(reading(), changes=VAGUE)))
    assert drive.motor.speed_constant * 30 / 3.14159265 == pytest.approx(900, rel=1e-4)
    assert drive.blades.thrust == pytest.approx(0.1185, rel=1e-4)
    assert drive.blades.power == pytest.approx(0.0480, rel=1e-4)


def test_reading_foretells_another_altitude():
    # scipy.optimize.brentq 1.17.1, outside this project, at 1.00649 kg/m3: 8256.59 rpm, 15.4081 A,
    # 9.40074 N. U.S. Standard Atmosphere 1976: that density lies at 2000 m geopotential, 2000.63 m
    # geometric.
    figures = figures_of(bench(reading(), changes=VAGUE, air=AirRecord(2000.63, None, "asked")))
    assert figures["rpm_max"].value == pytest.approx(8256.59, rel=2e-4)
    assert figures["current_max_a"].value == pytest.approx(15.4081, rel=2e-4)
    assert figures["thrust_max_g"].value == pytest.approx(9.40074 * NEWTON_G, rel=2e-4)


def test_reading_taken_high_up_is_not_taken_for_one_at_sea_level():
    # The same root at 1.00649 kg/m3, read there, must give the same propeller.
    high = reading(
        voltage_v=11.1 - 15.4081 * 0.030,
        current_a=15.4081,
        speed_rpm=8256.59,
        thrust_g=9.40074 * NEWTON_G,
        elevation_m=2000.63,
    )
    drive = read_drive(figures_of(bench(high, changes=VAGUE)))
    assert drive.blades.power == pytest.approx(0.0480, rel=2e-4)
    assert drive.blades.thrust == pytest.approx(0.1185, rel=2e-4)


def test_reading_narrows_every_range():
    without = figures_of(bench(changes=VAGUE))
    settled = figures_of(bench(reading(), changes=VAGUE))
    for name in ("current_max_a", "thrust_max_g", "power_max_w", "rpm_max"):
        wide, narrow = without[name], settled[name]
        assert narrow.uncertainty / narrow.value < 0.4 * wide.uncertainty / wide.value, name


def test_reading_says_so_among_the_inputs():
    current = figures_of(bench(reading(), changes=VAGUE))["current_max_a"]
    names = [one.name for one in current.inputs]
    assert "reading on the bench: current" in names
    assert "Settled by the reading on the bench of 01 Mar 2026" in current.note


def test_reading_without_a_scale_leaves_the_thrust_as_vague_as_before():
    figures = figures_of(bench(reading(thrust_g=None), changes=VAGUE))
    thrust, current = figures["thrust_max_g"], figures["current_max_a"]
    assert thrust.uncertainty / thrust.value > HALF_WIDTH / 2
    assert thrust.dominant == "thrust coefficient"
    assert "no scale" in current.note


def test_reading_of_four_motors_is_shared_among_them():
    four = reading(current_a=4 * 17.5447, thrust_g=4 * 10.7852 * NEWTON_G)
    drive = read_drive(figures_of(bench(four, changes=VAGUE, quantity=4)))
    assert drive.blades.power == pytest.approx(0.0480, rel=1e-4)
    assert drive.blades.thrust == pytest.approx(0.1185, rel=1e-4)


@pytest.mark.parametrize("other", [{"motor_id": 99}, {"propeller_id": 99}])
def test_reading_of_another_motor_or_propeller_is_not_used(other):
    assert reading_in_use(bench(reading(**other))) is None


def test_newest_reading_counts():
    older, newer = reading(id=1), reading(id=2, at=reading().at.replace(year=2027))
    assert reading_in_use(bench(older, newer)).id == 2


def test_another_pack_keeps_the_reading():
    build = bench(reading(), changes=VAGUE)
    other = replace(build.pack, id=77)
    assert reading_in_use(build.with_pack(other)) is not None


def test_impossible_reading_is_said_in_words():
    figures = figures_of(bench(reading(thrust_g=5000.0), changes=VAGUE))
    (message,) = figures["current_max_a"].missing
    assert "more thrust than momentum theory allows" in message


# The invented small wing, worked out apart from this code with Cp = 0.022 + 0.042 p/D,
# Ct = 0.075 + 0.055 p/D and 4.10 V a cell.
FOUR = [4.1, 4.0, 4.2, 4.1]
SIX = [5.6, 5.7, 5.5, 5.6, 5.8, 5.6]
SLOWER = {"kv_rpm_v": 1300, "resistance_mohm": 88, "no_load_current_a": 0.9}


@pytest.mark.parametrize(
    ("cells", "motor", "auw_g", "current_a", "power_w", "ratio"),
    [
        (FOUR, None, 509.1, 33.8, 527, 2.94),
        (SIX, None, 507.1, 61.9, 1363, None),
        (SIX, SLOWER, 507.4, 25.3, 596, 3.2),
    ],
)
def test_small_wing_draws_what_was_worked_out(cells, motor, auw_g, current_a, power_w, ratio):
    figures = figures_of(small_wing(cells=cells, motor=motor, auw_g=auw_g))
    assert figures["current_max_a"].value == pytest.approx(current_a, rel=0.02)
    assert figures["power_max_w"].value == pytest.approx(power_w, rel=0.02)
    if ratio:
        assert figures["thrust_to_weight"].value == pytest.approx(ratio, rel=0.02)


@given(st.integers(2, 7), st.floats(2.0, 12.0))
def test_more_cells_turn_the_propeller_faster(cells, mohm):
    fewer = figures_of(small_wing(cells=[mohm] * cells))["rpm_max"].value
    more = figures_of(small_wing(cells=[mohm] * (cells + 1)))["rpm_max"].value
    assert more > fewer


def pack_of(*, mohm, chemistry="lipo"):
    return bench(changes={"pack": {"chemistry": chemistry, "cell_resistance_mohm": [mohm] * 3}})


# 6 mohm Ah over 2.2 Ah is 2.73 mohm a cell when new: common practice, no source.
def test_wear_of_the_pack_does_not_lower_the_current_that_parts_must_carry():
    worn, new = figures_of(pack_of(mohm=12.0)), figures_of(pack_of(mohm=6.0 / 2.2))
    name = "motor_current_max_a"
    assert worn[name].value == pytest.approx(new[name].value)
    assert "worn pack" in worn[name].note


def test_wear_of_the_pack_does_lower_thrust_and_power():
    worn, new = figures_of(pack_of(mohm=12.0)), figures_of(pack_of(mohm=6.0 / 2.2))
    for name in ("thrust_max_g", "power_max_w", "rpm_max", "current_max_a"):
        assert worn[name].value < new[name].value


def test_pack_better_than_usual_counts_as_measured():
    better, usual = figures_of(pack_of(mohm=1.5)), figures_of(pack_of(mohm=6.0 / 2.2))
    assert better["motor_current_max_a"].value > usual["motor_current_max_a"].value


def test_pack_whose_usual_resistance_is_not_known_counts_as_measured():
    high, low = pack_of(mohm=12.0, chemistry=""), pack_of(mohm=6.0, chemistry="")
    name = "motor_current_max_a"
    assert figures_of(high)[name].value < figures_of(low)[name].value
