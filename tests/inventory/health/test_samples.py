"""Charge, rest and resistance from samples."""

import csv
import json
from math import cos, pi
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.health.samples import (
    LONGEST_STEP_S,
    REST_S,
    SHORTEST_REST_S,
    Integrator,
    Rest,
    Run,
    Sample,
    StepResistance,
    step_resistance_mohm,
    trapezoid_as,
)

DATA = Path(__file__).parent / "data"


def found_in(samples, **options):
    integrator = Integrator(**options)
    for sample in samples:
        integrator.take(sample)
    integrator.finish()
    return integrator.drain()


def runs_in(samples, **options):
    return [one for one in found_in(samples, **options) if isinstance(one, Run)]


def steady(current_a, seconds, *, start_s=0.0, step_s=1.0, **values):
    """Samples of one current, from its first moment to its last."""
    count = round(seconds / step_s)
    return [
        Sample(row=place + 2, at_s=start_s + place * step_s, current_a=current_a, **values)
        for place in range(count + 1)
    ]


def totals(found):
    return {
        kind: sum(one.charge_mah for one in found if isinstance(one, Run) and one.kind == kind)
        for kind in ("use", "charge")
    }


def flights():
    # Computed with PyBaMM 26.10.1.1 (BSD-3), parameter set Ai2020: constant-current discharges
    # with the charge that the simulation counted.
    with (DATA / "pybamm_flights.csv").open() as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("flight", flights()[:6], ids=lambda one: f"{one['amps']} A")
def test_a_steady_discharge_counts_what_the_simulation_counted(flight):
    amps, seconds = float(flight["amps"]), float(flight["minutes"]) * 60
    (run,) = runs_in(steady(amps, seconds))
    assert run.charge_mah == pytest.approx(float(flight["Ah_out"]) * 1000, rel=1e-6)
    assert run.ended_s - run.started_s == pytest.approx(seconds)


def test_the_trapezoid_rule_meets_an_integral_that_is_known():
    # The integral of 10 (1 - cos x) over one turn is 20 pi: calculus. The rule is exact to
    # rounding for a whole period of a trigonometric polynomial (Davis and Rabinowitz, Methods of
    # Numerical Integration, section 2.9, from memory, not verified).
    steps = 64
    samples = [
        Sample(row=n, at_s=2 * pi * n / steps, current_a=10 * (1 - cos(2 * pi * n / steps)))
        for n in range(steps + 1)
    ]
    (run,) = runs_in(samples)
    # The current that counts as none at both ends is left out.
    assert run.charge_mah * 3.6 == pytest.approx(20 * pi, rel=5e-4)


def test_a_current_that_turns_is_parted_where_it_crosses_zero():
    # Two triangles: 3 A over 3/5 of 10 s and 2 A over 2/5 of it.
    assert trapezoid_as(3.0, -2.0, 10.0) == pytest.approx((9.0, 4.0))
    assert trapezoid_as(-2.0, 3.0, 10.0) == pytest.approx((9.0, 4.0))


def test_charge_and_use_are_told_apart_by_the_sign_of_the_current():
    found = runs_in([*steady(5.0, 600), *steady(-2.0, 900, start_s=1000)])
    assert [one.kind for one in found] == ["use", "charge"]
    assert found[1].charge_mah == pytest.approx(500)


def test_a_rest_parts_two_uses_and_a_short_one_does_not():
    long_rest = [*steady(5.0, 300), *steady(0.0, REST_S + 60, start_s=301)]
    end_s = long_rest[-1].at_s
    assert len(runs_in([*long_rest, *steady(5.0, 300, start_s=end_s + 1)])) == 2
    short = [*steady(5.0, 300), *steady(0.0, 20, start_s=301), *steady(5.0, 300, start_s=322)]
    assert len(runs_in(short)) == 1


def test_a_hole_in_a_use_is_told_and_its_charge_is_not_made_up():
    samples = [*steady(6.0, 300), *steady(6.0, 300, start_s=300 + LONGEST_STEP_S + 1)]
    first, second = runs_in(samples)
    assert first.charge_mah + second.charge_mah == pytest.approx(1000)
    assert "its charge is missing" in first.flags[0]


def test_a_clock_that_goes_back_begins_a_new_use_and_is_told():
    samples = [*steady(6.0, 300, start_s=5000), *steady(6.0, 300, start_s=1000)]
    first, second = runs_in(samples)
    assert "clock goes back" in first.flags[0]
    assert second.started_s == 1000
    assert first.charge_mah + second.charge_mah == pytest.approx(1000)


def test_a_clock_that_shakes_by_less_than_a_second_does_not():
    samples = steady(6.0, 300)
    samples[100] = samples[100]._replace(at_s=samples[99].at_s - 0.4)
    (run,) = runs_in(samples)
    assert run.flags == ()


def counted(*readings):
    return [Sample(row=n, at_s=30.0 * n, counter_mah=mah) for n, mah in enumerate(readings)]


def test_a_counter_that_starts_anew_is_counted_from_zero_and_told():
    # A cumulative counter that is reset counts on from nothing: 2100 to 6300, then 1900 and 3950,
    # by hand 4200 + 3950.
    first, second = runs_in(counted(2100, 4180, 6300, 1900, 3950))
    assert (first.charge_mah, second.charge_mah) == pytest.approx((4200, 3950))
    assert "starts anew in row 3" in first.flags[0]


def test_a_counter_of_a_charger_counts_in():
    (run,) = runs_in(counted(0, 400, 900), counts_in=True)
    assert (run.kind, run.charge_mah) == ("charge", pytest.approx(900))


def test_cells_are_read_at_the_end_of_a_rest():
    resting = steady(0.0, SHORTEST_REST_S + 30, start_s=601, cells_v=(3.81, 3.82))
    found = found_in([*steady(5.0, 600, cells_v=(3.6, 3.6)), *resting])
    (rest,) = [one for one in found if isinstance(one, Rest)]
    assert rest.cells_v == (3.81, 3.82)
    assert rest.rested_s == pytest.approx(SHORTEST_REST_S + 30)


def test_cells_are_not_read_soon_after_a_load():
    resting = steady(0.0, SHORTEST_REST_S / 2, start_s=601, cells_v=(3.81, 3.82))
    found = found_in([*steady(5.0, 600, cells_v=(3.6, 3.6)), *resting])
    assert not [one for one in found if isinstance(one, Rest)]


def test_a_step_of_current_shows_the_resistance():
    # By hand: 0.05 V lower at 10 A more is 5 mohm.
    assert step_resistance_mohm(4.00, 3.95, 2.0, 12.0) == pytest.approx(5.0)


@given(r1=st.floats(1, 20), r2=st.floats(1, 20), low_a=st.floats(1, 5), high_a=st.floats(10, 40))
def test_steps_find_the_resistance_of_each_cell_that_made_them(r1, r2, low_a, high_a):
    def at(place):
        amps = high_a if place % 10 < 5 else low_a
        cells = (4.0 - amps * r1 / 1000, 4.0 - amps * r2 / 1000)
        return Sample(row=place, at_s=float(place), current_a=amps, cells_v=cells)

    (found,) = [
        one for one in found_in([at(n) for n in range(120)]) if isinstance(one, StepResistance)
    ]
    assert found.resistance_mohm == pytest.approx((r1, r2), rel=1e-6)
    assert found.is_of_cells


recordings = st.lists(
    st.tuples(st.sampled_from((-8.0, -1.0, 0.0, 0.0, 3.0, 20.0)), st.integers(1, 200)),
    min_size=2,
    max_size=12,
)


def recording(pieces):
    samples, at_s = [], 0.0
    for current_a, seconds in pieces:
        for second in range(0, seconds, 7):
            samples.append(Sample(row=len(samples), at_s=at_s + second, current_a=current_a))
        at_s += seconds
    return samples


@given(recordings, st.data())
def test_splitting_a_recording_at_a_rest_changes_no_total(pieces, data):
    samples = recording(pieces)
    rests = [
        place
        for place in range(1, len(samples))
        if samples[place - 1].current_a == 0 and samples[place].current_a == 0
    ]
    if not rests:
        return
    cut = data.draw(st.sampled_from(rests))
    whole = totals(found_in(samples))
    parts = totals([*found_in(samples[:cut]), *found_in(samples[cut:])])
    assert parts == pytest.approx(whole)


@given(recordings, st.data())
def test_going_on_from_a_kept_state_finds_the_same(pieces, data):
    samples = recording(pieces)
    cut = data.draw(st.integers(0, len(samples)))
    first = Integrator()
    for sample in samples[:cut]:
        first.take(sample)
    second = Integrator(state=json.loads(json.dumps(first.state())))
    for sample in samples[cut:]:
        second.take(sample)
    second.finish()
    assert [*first.drain(), *second.drain()] == found_in(samples)


@given(recordings)
def test_a_recording_of_the_other_sign_swaps_charge_and_use(pieces):
    samples = recording(pieces)
    turned = [one._replace(current_a=-one.current_a) for one in samples]
    there, back = totals(found_in(samples)), totals(found_in(turned))
    assert (back["use"], back["charge"]) == pytest.approx((there["charge"], there["use"]))
