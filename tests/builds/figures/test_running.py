"""The drive at a throttle and an airspeed."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.engineering.propulsion import energy_balance, flight_efficiency_bound
from builds.engineering.propulsion.bounds import static_thrust_bound
from builds.figures import figures_of
from builds.figures.drive import propeller_in_flight, read_drive
from builds.figures.reading import Reading
from builds.figures.running import Running, curve_over_duty, running_figures
from tests.builds.figures.drives import NEWTON_G, bench, reading, small_wing

FOUR = [4.1, 4.0, 4.2, 4.1]
DENSITY = 1.225
duties = st.floats(0.15, 1.0)
speeds = st.floats(0.0, 30.0)


def at(snapshot, **running):
    return running_figures(figures_of(snapshot), Running(**running))


def test_part_throttle_matches_an_independent_solution():
    # scipy.optimize.brentq 1.17.1, outside this project: duty 0.6 gives 5232.92 rpm, 7.99288 A in
    # the motor, 4.79573 A from the pack and 4.59594 N.
    figures = at(bench(), duty=0.6)
    assert figures["propeller_speed_rpm"].value == pytest.approx(5232.92, abs=0.01)
    assert figures["motor_current_a"].value == pytest.approx(7.99288, abs=1e-5)
    assert figures["pack_current_a"].value == pytest.approx(4.79573, abs=1e-5)
    assert figures["thrust_g"].value == pytest.approx(4.59594 * NEWTON_G, abs=0.001)


def test_full_throttle_matches_an_independent_solution():
    # The same: 17.5447 A, 10.5737 V at the plug, 185.511 W in, 148.253 W at the shaft.
    figures = at(bench())
    assert figures["pack_voltage_v"].value == pytest.approx(10.5737, abs=5e-5)
    assert figures["input_power_w"].value == pytest.approx(185.511, abs=5e-4)
    assert figures["drive_efficiency_percent"].value == pytest.approx(
        148.253 / 185.511 * 100, abs=1e-3
    )


def test_every_range_names_what_widens_it():
    for name, figure in at(small_wing(cells=FOUR), duty=0.5, airspeed_m_s=12.0).items():
        assert figure.low < figure.value < figure.high, name
        assert figure.dominant, name


def test_pitch_speed_follows_its_definition_and_says_that_it_is_a_label():
    # 4.5 in a turn: definition of geometric pitch.
    figures = at(small_wing(cells=FOUR))
    expected = figures["propeller_speed_rpm"].value / 60 * 0.1143
    assert figures["pitch_speed_m_s"].value == pytest.approx(expected)
    assert "not a top speed" in figures["pitch_speed_m_s"].note


def test_tip_runs_along_a_helix_in_flight():
    # Pythagoras: circumferential and forward speed stand square.
    figures = at(small_wing(cells=FOUR), airspeed_m_s=20.0)
    round_ = figures["propeller_speed_rpm"].value * math.pi / 30 * 0.0762
    assert figures["tip_speed_m_s"].value == pytest.approx(math.hypot(round_, 20.0))


def test_propulsive_efficiency_belongs_to_flight_only():
    assert "propulsive_efficiency_percent" not in at(small_wing(cells=FOUR))
    assert "propulsive_efficiency_percent" in at(small_wing(cells=FOUR), airspeed_m_s=10.0)


def test_propeller_of_unknown_pitch_has_no_figures_in_flight():
    figures = at(bench(), airspeed_m_s=10.0)
    assert figures["thrust_g"].missing == ("Propeller (propeller): pitch (mm)",)


def test_motor_that_does_not_turn_says_so():
    figures = at(bench(changes={"motor": {"no_load_current_a": 60.0}}), duty=0.01)
    assert "does not turn" in figures["thrust_g"].missing[0]


def test_measured_propeller_begins_its_curve_where_it_was_measured():
    snapshot = bench(reading(), changes={"propeller": {"pitch_mm": 119.4}})
    blades = read_drive(figures_of(snapshot)).blades
    found = propeller_in_flight(snapshot, blades, Reading()).coefficients
    at_rest = found.at(advance_ratio=0.0, speed=1.0)
    assert (at_rest.thrust, at_rest.power) == pytest.approx((blades.thrust, blades.power))
    assert found.at(advance_ratio=0.3, speed=1.0).thrust < blades.thrust


@given(duties)
def test_static_thrust_never_beats_the_actuator_disc(duty):
    # Rankine and Froude: (2 rho A P^2)^(1/3).
    figures = at(small_wing(cells=FOUR), duty=duty)
    shaft = figures["input_power_w"].value * figures["drive_efficiency_percent"].value / 100
    bound = static_thrust_bound(density=DENSITY, diameter=0.1524, power=shaft)
    assert figures["thrust_g"].value / NEWTON_G <= bound * (1 + 1e-9)


@given(duties, st.floats(1.0, 30.0), st.floats(0.5, 1.8), st.floats(0.4, 1.6))
def test_scaled_propeller_never_beats_the_actuator_disc_in_flight(duty, speed, thrust, power):
    # Rankine and Froude: 2 / (1 + sqrt(1 + 8 Ct / (pi J^2))).
    from builds.engineering.propulsion import ScaledCoefficients, generic_propeller

    base = generic_propeller(diameter=0.1524, pitch=0.1143).coefficients
    ratio = speed / 30.0
    found = ScaledCoefficients(base, thrust, power).at(advance_ratio=ratio, speed=1.0)
    if found.thrust <= 0:
        return
    bound = flight_efficiency_bound(thrust_coefficient=found.thrust, advance_ratio=ratio)
    assert ratio * found.thrust / found.power <= bound * (1 + 1e-9)


@given(duties, speeds)
def test_power_from_the_cells_is_all_accounted_for(duty, speed):
    # Conservation of energy.
    figures = figures_of(small_wing(cells=FOUR))
    drive, reading_ = read_drive(figures), Reading()
    propeller = propeller_in_flight(figures.snapshot, drive.blades, reading_)
    moved = drive.moved(density=DENSITY, duty=duty, airspeed=speed, propeller=propeller)
    balance = energy_balance(motor=drive.motor, circuit=drive.circuit, point=moved.settled)
    assert balance.residual == pytest.approx(0.0, abs=1e-6 * max(1.0, balance.cells))


@given(duties)
def test_battery_gives_the_duty_times_the_motor_current(duty):
    figures = at(small_wing(cells=FOUR), duty=duty)
    expected = duty * figures["motor_current_a"].value
    assert figures["pack_current_a"].value == pytest.approx(expected)


def test_curve_rises_with_the_throttle_and_ends_at_full():
    figures = figures_of(small_wing(cells=FOUR))
    points = curve_over_duty(figures)
    thrusts = [point.thrust_g.value for point in points]
    assert thrusts == sorted(thrusts)
    assert points[-1].duty == 1.0
    assert points[-1].current_a.value == pytest.approx(figures["current_max_a"].value)
