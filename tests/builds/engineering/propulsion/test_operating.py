"""Operating points.

Unless a line says otherwise the numbers are an independent numerical solution (scipy brentq) of
M. Drela, First-Order DC Electric Motor Model (2007), with the propeller torque Cp rho n2 D5 / 2 pi.
"""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from builds.engineering.checks import OutOfRange
from builds.engineering.propulsion import (
    Circuit,
    Coefficients,
    ConstantCoefficients,
    MeasuredCoefficients,
    MeasuredRow,
    Motor,
    Propeller,
    Source,
    energy_balance,
    generic_propeller,
    operating_point,
    point_for_thrust,
    rewound,
    speed_constant,
    static_point,
    static_thrust_bound,
)

RPM = math.pi / 30
INCH = 0.0254
GRAVITY = 9.80665
REFERENCE = Motor(speed_constant(rpm_per_volt=900), 0.090, 0.9)
REFERENCE_PACK = Circuit(Source(11.1, 0.030), controller=0.005)
TEN_INCH = Propeller(0.254, ConstantCoefficients(0.1185, 0.0480))


def motor(rpm_per_volt, resistance, idle_current):
    return Motor(speed_constant(rpm_per_volt=rpm_per_volt), resistance, idle_current)


def reference_point(density=1.225, duty=1.0):
    return operating_point(
        motor=REFERENCE, propeller=TEN_INCH, circuit=REFERENCE_PACK, density=density, duty=duty
    )


def test_reference_drive_at_full_throttle():
    point = reference_point()
    assert point.speed / RPM == pytest.approx(8016.23, rel=1e-6)
    assert point.motor_current == pytest.approx(17.5447, rel=1e-5)
    assert point.pack_voltage == pytest.approx(10.5737, rel=1e-5)
    assert point.total_thrust == pytest.approx(10.7852, rel=1e-5)
    assert point.shaft_power == pytest.approx(148.253, rel=1e-5)
    assert point.electrical_power == pytest.approx(185.511, rel=1e-5)
    motor_voltage = point.controller_voltage - point.motor_current * 0.005
    efficiency = point.shaft_power / (motor_voltage * point.motor_current)
    assert efficiency == pytest.approx(0.805843, rel=1e-5)


def test_thinner_air_means_more_speed_and_less_current_and_thrust():
    point = reference_point(density=1.00649)
    assert point.speed / RPM == pytest.approx(8256.59, rel=1e-6)
    assert point.motor_current == pytest.approx(15.4081, rel=1e-5)
    assert point.total_thrust == pytest.approx(9.40074, rel=1e-5)


def test_at_part_throttle_the_pack_gives_less_than_the_motor_takes():
    point = reference_point(duty=0.6)
    assert point.speed / RPM == pytest.approx(5232.92, rel=1e-5)
    assert point.motor_current == pytest.approx(7.99288, rel=1e-5)
    assert point.pack_current == pytest.approx(4.79573, rel=1e-5)
    assert point.total_thrust == pytest.approx(4.59594, rel=1e-5)


def test_measured_table_against_its_own_mean():
    # Static rows of the 10x4.7, AIAA 2011-1255, three of its rows to four digits; held
    # above 6528 rpm. The figures beside come from all rows, hence 0.5 %.
    table = MeasuredCoefficients(
        [
            MeasuredRow(2377 * RPM, 0.0, 0.1059, 0.0431),
            MeasuredRow(4590 * RPM, 0.0, 0.1200, 0.0484),
            MeasuredRow(6528 * RPM, 0.0, 0.1299, 0.0531),
        ]
    )
    propeller = Propeller(0.254, table)
    full = operating_point(
        motor=REFERENCE, propeller=propeller, circuit=REFERENCE_PACK, density=1.225
    )
    assert full.is_held
    assert full.speed / RPM == pytest.approx(7884.7, rel=1e-3)
    assert full.motor_current == pytest.approx(18.714, rel=5e-3)
    assert full.total_thrust == pytest.approx(11.438, rel=5e-3)
    low = replace(REFERENCE_PACK, source=Source(8.0, 0.030))
    inside = operating_point(motor=REFERENCE, propeller=propeller, circuit=low, density=1.225)
    assert not inside.is_held
    assert inside.speed / RPM == pytest.approx(5972.35, rel=1e-3)
    assert inside.motor_current == pytest.approx(10.9125, rel=5e-3)
    assert inside.total_thrust == pytest.approx(6.45826, rel=5e-3)


def test_a_nine_inch_propeller_at_rest():
    # DA4002 9x6.75 (AIAA 2014-2151), static coefficients near 8000 rpm: 0.1388, 0.079.
    point = static_point(
        motor=REFERENCE,
        coefficients=Coefficients(0.1388, 0.079),
        diameter=9 * INCH,
        circuit=REFERENCE_PACK,
        density=1.225,
    )
    assert point.motor_current == pytest.approx(17.2226, rel=2e-3)
    assert point.total_thrust == pytest.approx(8.36343, rel=2e-3)


def four_cell_drive():
    # One invented motor, 6x4.5 placeholder coefficients, 3.8 V a cell.
    return (
        motor(1960, 0.055, 1.3),
        Propeller(6 * INCH, ConstantCoefficients(0.11, 0.055)),
        Circuit(Source(15.2, 0.018), shared_lead=0.006, controller=0.004),
    )


def test_four_cells():
    drive, propeller, circuit = four_cell_drive()
    point = operating_point(motor=drive, propeller=propeller, circuit=circuit, density=1.225)
    assert point.pack_current == pytest.approx(31.773, rel=1e-4)
    assert point.total_thrust / GRAVITY * 1000 == pytest.approx(1248.3, rel=1e-4)
    assert point.electrical_power == pytest.approx(458.7, rel=2e-4)
    assert point.controller_voltage / 4 == pytest.approx(3.61, abs=0.005)
    assert point.speed / RPM == pytest.approx(24623, rel=1e-4)


def test_six_cells_on_the_same_motor_and_propeller_draw_far_more():
    drive, propeller, _ = four_cell_drive()
    circuit = Circuit(Source(22.8, 0.039), shared_lead=0.006, controller=0.004)
    point = operating_point(motor=drive, propeller=propeller, circuit=circuit, density=1.225)
    assert point.pack_current == pytest.approx(56.561, rel=1e-4)
    assert point.total_thrust / GRAVITY * 1000 == pytest.approx(2263.8, rel=1e-4)
    assert point.electrical_power == pytest.approx(1145.6, rel=2e-4)
    assert point.speed / RPM == pytest.approx(33159, rel=1e-4)


def test_six_cells_on_the_motor_wound_slower():
    drive, propeller, _ = four_cell_drive()
    circuit = Circuit(Source(22.8, 0.039), shared_lead=0.006, controller=0.004)
    slow = rewound(motor=drive, speed_ratio=1300 / 1960)
    point = operating_point(motor=slow, propeller=propeller, circuit=circuit, density=1.225)
    assert point.pack_current == pytest.approx(21.373, rel=1e-4)
    assert point.total_thrust / GRAVITY * 1000 == pytest.approx(1266.8, rel=1e-4)
    assert point.electrical_power == pytest.approx(466.8, rel=2e-4)


@given(ratio=st.floats(0.3, 3.0), duty=st.floats(0.3, 1.0), airspeed=st.floats(0, 20))
@settings(max_examples=50)
def test_scaling_cells_and_winding_together_changes_current_only(ratio, duty, airspeed):
    # Exact invariance of the model: V x k, Kv / k, every R x k2, I0 / k.
    drive, _, circuit = four_cell_drive()
    propeller = generic_propeller(diameter=6 * INCH, pitch=4.5 * INCH)
    scaled_circuit = Circuit(
        Source(circuit.source.voltage * ratio, circuit.source.resistance * ratio**2),
        shared_lead=circuit.shared_lead * ratio**2,
        controller=circuit.controller * ratio**2,
    )
    scaled_drive = rewound(motor=drive, speed_ratio=1 / ratio)
    common = {"propeller": propeller, "density": 1.225, "duty": duty, "airspeed": airspeed}
    one = operating_point(motor=drive, circuit=circuit, **common)
    other = operating_point(motor=scaled_drive, circuit=scaled_circuit, **common)
    assert other.speed == pytest.approx(one.speed, rel=1e-9)
    assert other.total_thrust == pytest.approx(one.total_thrust, rel=1e-8, abs=1e-9)
    assert other.electrical_power == pytest.approx(one.electrical_power, rel=1e-8)
    assert other.pack_current * ratio == pytest.approx(one.pack_current, rel=1e-8)


drives = st.builds(motor, st.floats(400, 3000), st.floats(0.02, 0.3), st.floats(0.1, 2.0))
circuits = st.builds(
    Circuit,
    source=st.builds(Source, voltage=st.floats(6, 26), resistance=st.floats(0.001, 0.1)),
    shared_lead=st.floats(0, 0.02),
    branch_lead=st.floats(0, 0.02),
    controller=st.floats(0, 0.02),
    motors=st.integers(1, 4),
)
propellers = st.builds(
    lambda diameter, ratio: generic_propeller(diameter=diameter, pitch=diameter * ratio),
    st.floats(0.08, 0.4),
    st.floats(0.35, 1.1),
)


@given(drive=drives, circuit=circuits, propeller=propellers, duty=st.floats(0.2, 1.0))
def test_closed_form_and_bracketed_root_agree_at_rest(drive, circuit, propeller, duty):
    found = operating_point(
        motor=drive, propeller=propeller, circuit=circuit, density=1.2, duty=duty
    )
    closed = static_point(
        motor=drive,
        coefficients=propeller.coefficients.at(advance_ratio=0.0, speed=1.0),
        diameter=propeller.diameter,
        circuit=circuit,
        density=1.2,
        duty=duty,
    )
    assert found.speed == pytest.approx(closed.speed, rel=1e-9)


@given(drive=drives, circuit=circuits, propeller=propellers, airspeed=st.floats(0, 40))
def test_energy_from_the_cells_is_all_accounted_for(drive, circuit, propeller, airspeed):
    point = operating_point(
        motor=drive, propeller=propeller, circuit=circuit, density=1.2, airspeed=airspeed
    )
    balance = energy_balance(motor=drive, circuit=circuit, point=point)
    assert abs(balance.residual) <= 1e-9 * balance.cells


@given(drive=drives, circuit=circuits, propeller=propellers)
def test_thrust_never_beats_momentum_theory(drive, circuit, propeller):
    point = operating_point(motor=drive, propeller=propeller, circuit=circuit, density=1.2)
    bound = static_thrust_bound(density=1.2, diameter=propeller.diameter, power=point.shaft_power)
    assert 0 < point.thrust < bound


@given(drive=drives, circuit=circuits, propeller=propellers, duty=st.floats(0.2, 0.95))
def test_more_throttle_means_more_of_everything(drive, circuit, propeller, duty):
    common = {"motor": drive, "propeller": propeller, "circuit": circuit, "density": 1.2}
    less = operating_point(**common, duty=duty)
    more = operating_point(**common, duty=duty + 0.05)
    # Past half its voltage at rest a pack gives less power for more current (maximum power
    # transfer, Jacobi), and more throttle no longer helps.
    assume(more.controller_voltage > 0.6 * circuit.source.voltage)
    assert more.speed > less.speed
    assert more.pack_current > less.pack_current
    assert more.total_thrust > less.total_thrust


def test_more_throttle_no_longer_helps_a_pack_pulled_below_half_its_voltage():
    # Maximum power transfer (Jacobi): a source gives its greatest power at half its voltage.
    common = {
        "motor": motor(1300, 0.06, 2.0),
        "propeller": generic_propeller(diameter=0.375, pitch=0.375),
        "circuit": Circuit(Source(26.0, 0.1), motors=2),
        "density": 1.2,
    }
    part, full = operating_point(**common, duty=0.7), operating_point(**common)
    assert full.controller_voltage < 13.0
    assert full.total_thrust < part.total_thrust


@given(drive=drives, circuit=circuits, propeller=propellers, airspeed=st.floats(0, 30))
def test_thrust_falls_with_airspeed(drive, circuit, propeller, airspeed):
    common = {"motor": drive, "propeller": propeller, "circuit": circuit, "density": 1.2}
    slow = operating_point(**common, airspeed=airspeed)
    fast = operating_point(**common, airspeed=airspeed + 2)
    assert fast.total_thrust <= slow.total_thrust * (1 + 1e-9)


def test_airspeed_root_against_a_residual_written_out_here():
    # Independent numerical solution: pack current from the propeller equals that from the motor.
    drive, _, circuit = four_cell_drive()
    propeller = generic_propeller(diameter=6 * INCH, pitch=4.5 * INCH)

    def residual(rpm):
        n = rpm / 60
        share = 12.0 / (n * 0.1524) / (1.3 * 0.75)
        torque = 0.0535 * (1 - 0.64 * share**2) * 1.225 * n**2 * 0.1524**5 / (2 * math.pi)
        current = 1.3 + torque * 1960 * RPM
        return 15.2 - current * (0.018 + 0.006 + 0.004 + 0.055) - rpm / 1960

    point = operating_point(
        motor=drive, propeller=propeller, circuit=circuit, density=1.225, airspeed=12.0
    )
    assert point.speed / RPM == pytest.approx(brentq(residual, 15000, 29000), rel=1e-9)


def test_level_flight_finds_the_throttle_that_gives_the_thrust():
    drive, _, circuit = four_cell_drive()
    propeller = generic_propeller(diameter=6 * INCH, pitch=4.5 * INCH)
    common = {"motor": drive, "propeller": propeller, "circuit": circuit, "density": 1.225}
    point = point_for_thrust(**common, thrust=1.0408, airspeed=15.0)
    assert point.total_thrust == pytest.approx(1.0408, rel=1e-9)
    assert operating_point(**common, duty=point.duty, airspeed=15.0) == point
    assert point.pack_current < point.motor_current


def test_level_flight_says_when_full_throttle_is_not_enough():
    with pytest.raises(OutOfRange, match="full throttle gives"):
        point_for_thrust(
            motor=REFERENCE,
            propeller=TEN_INCH,
            circuit=REFERENCE_PACK,
            density=1.225,
            thrust=30.0,
        )


@given(drive=drives, circuit=circuits, propeller=propellers, share=st.floats(0.05, 0.95))
@example(
    drive=motor(566.0, 0.25, 2.0),
    circuit=Circuit(Source(6.0, 0.09375), motors=4),
    propeller=generic_propeller(diameter=0.375, pitch=0.375),
    share=0.0625,
)
@settings(max_examples=30)
def test_any_thrust_below_the_greatest_is_found(drive, circuit, propeller, share):
    common = {"motor": drive, "propeller": propeller, "circuit": circuit, "density": 1.2}
    full = operating_point(**common).total_thrust
    assume(full > 0.1)
    point = point_for_thrust(**common, thrust=share * full)
    assert point.total_thrust == pytest.approx(share * full, rel=1e-6)


def test_coefficients_of_one_static_measurement_are_marked_in_flight():
    common = {"motor": REFERENCE, "propeller": TEN_INCH, "circuit": REFERENCE_PACK}
    assert not operating_point(**common, density=1.225).is_held
    assert operating_point(**common, density=1.225, airspeed=10.0).is_held


@pytest.mark.parametrize(
    "wrong",
    [{"density": 0.0}, {"density": math.nan}, {"duty": 0.0}, {"duty": 1.2}, {"airspeed": -1.0}],
)
def test_refuses_what_cannot_be(wrong):
    inputs = {"motor": REFERENCE, "propeller": TEN_INCH, "circuit": REFERENCE_PACK}
    with pytest.raises(OutOfRange):
        operating_point(**{**inputs, "density": 1.225, **wrong})


def test_says_when_the_idle_current_takes_the_whole_voltage():
    weak = Circuit(Source(1.0, 2.0))
    with pytest.raises(OutOfRange, match="does not turn"):
        operating_point(motor=REFERENCE, propeller=TEN_INCH, circuit=weak, density=1.225)


# The invented demonstration: fresh packs at 4.10 V a cell, generic coefficients, and one set of
# leads (7.5 milliohm) and controllers (10 milliohm). Current and power were given with the
# scenario; resistance and idle current of the 1900 rpm/V motor are our choice that meets them.
FAST = motor(1900, 0.043, 1.2)
SLOW = motor(1300, 0.088, 0.9)
TWIN = motor(1400, 0.075, 0.9)
TWENTY_GAUGE_BRANCH = 2 * 0.49 * 0.033309


def demo_circuit(cells, cell_resistance, **more):
    source = Source(4.10 * cells, cell_resistance * cells)
    return Circuit(source, shared_lead=0.0075, controller=0.010, **more)


@pytest.mark.parametrize(
    ("drive", "circuit", "current", "power", "ratio"),
    [
        (FAST, demo_circuit(4, 0.0041), 33.8, 527, 2.94),
        (FAST, demo_circuit(6, 0.0056), 61.9, 1363, None),
        (SLOW, demo_circuit(6, 0.0056), 25.3, 596, 3.2),
    ],
)
def test_invented_demo_wing(drive, circuit, current, power, ratio):
    propeller = generic_propeller(diameter=6 * INCH, pitch=4.5 * INCH)
    point = operating_point(motor=drive, propeller=propeller, circuit=circuit, density=1.225)
    assert point.pack_current == pytest.approx(current, rel=0.02)
    assert point.electrical_power == pytest.approx(power, rel=0.02)
    if ratio:
        assert point.total_thrust / (0.5091 * GRAVITY) == pytest.approx(ratio, rel=0.02)


def test_invented_demo_twin_draws_from_one_pack_through_two_wing_leads():
    propeller = generic_propeller(diameter=7 * INCH, pitch=5 * INCH)
    circuit = demo_circuit(4, 0.0195, motors=2, branch_lead=TWENTY_GAUGE_BRANCH)
    point = operating_point(motor=TWIN, propeller=propeller, circuit=circuit, density=1.225)
    assert point.motor_current == pytest.approx(18.5, rel=0.02)
    assert point.pack_current == pytest.approx(37.0, rel=0.02)


def test_invented_demo_trainer():
    propeller = generic_propeller(diameter=7 * INCH, pitch=5 * INCH)
    circuit = demo_circuit(4, 0.0044)
    point = operating_point(motor=TWIN, propeller=propeller, circuit=circuit, density=1.225)
    assert point.pack_current == pytest.approx(27.2, rel=0.02)
