"""Ratings, leads and rails beside what full throttle and the servos draw."""

from dataclasses import replace

import pytest

from builds.figures import figures_of
from builds.figures.leads import lead_figures
from builds.figures.rails import rail_figures
from builds.figures.ratings import ratings
from builds.powering import grouped
from tests.builds.figures.drives import position, small_wing
from tests.builds.records_builder import aircraft, with_part

FOUR = [4.1, 4.0, 4.2, 4.1]
LEAD = "Lead (lead)"
SERVO_RAIL = "Board (Pellowick W3): its servo rail"


def with_lead(**values):
    snapshot = small_wing(cells=FOUR)
    lead = replace(position(5, "lead", {"plug_a": "two-pin", **values}), id=5)
    return replace(snapshot, positions=tuple(lead if p.id == 5 else p for p in snapshot.positions))


def leads(snapshot):
    return grouped(lead_figures(figures_of(snapshot)))


def rails(snapshot):
    return grouped(rail_figures(figures_of(snapshot)))


def shares(snapshot):
    return dict(ratings(figures_of(snapshot)))


def test_share_of_the_controllers_rating_is_current_over_rating():
    snapshot = small_wing(cells=FOUR)
    current = figures_of(snapshot)["motor_current_max_a"].value
    found = shares(snapshot)["Speed controller (speed_controller): current all the time"]
    assert found.value == pytest.approx(100 * current / 40.0)
    assert found.low < found.value < found.high


def test_label_of_a_pack_counts_as_rate_times_capacity():
    # 75 x 1.3 Ah = 97.5 A.
    snapshot = small_wing(cells=FOUR)
    current = figures_of(snapshot)["current_max_a"].value
    found = shares(snapshot)["Pack (pack): current by its label"]
    assert found.value == pytest.approx(100 * current / 97.5)


def test_power_of_a_motor_is_its_share_of_all():
    snapshot = small_wing(cells=FOUR)
    four = replace(
        snapshot,
        positions=tuple(
            replace(p, quantity=4) if p.kind in ("motor", "propeller") else p
            for p in snapshot.positions
        ),
    )
    power = figures_of(four)["power_max_w"].value
    assert shares(four)["Motor (motor): power at most"].value == pytest.approx(
        100 * power / 4 / 900
    )


def test_plug_is_not_judged_for_want_of_its_makers_data():
    assert (
        "its maker's data decide"
        in shares(small_wing(cells=FOUR))["Pack (pack): plug two-pin"].missing[0]
    )


def test_lead_loses_what_ohms_law_says():
    # ASTM B258 and IEC 60028: 13.1745 mohm/m for 16 AWG; 2 x 0.15 m are 3.9524 mohm.
    snapshot = with_lead(gauge_awg=16, loop_length_mm=300.0)
    current = figures_of(snapshot)["current_max_a"].value
    found = leads(snapshot)[LEAD]
    assert found["lead_resistance_mohm"].value == pytest.approx(3.9524, abs=1e-3)
    assert found["lead_drop_v"].value == pytest.approx(3.9524e-3 * current, rel=1e-4)
    assert found["lead_heat_w"].value == pytest.approx(3.9524e-3 * current**2, rel=1e-4)
    assert found["lead_heat_per_metre"].value == pytest.approx(13.1745e-3 * current**2, rel=1e-4)


def test_heat_is_as_uncertain_as_twice_the_current():
    # JCGM 100:2008, 5.1.6: relative uncertainty times the power of the input.
    snapshot = with_lead(gauge_awg=16, loop_length_mm=300.0)
    current, heat = figures_of(snapshot)["current_max_a"], leads(snapshot)[LEAD]["lead_heat_w"]
    assert heat.uncertainty / heat.value == pytest.approx(2 * current.uncertainty / current.value)


def test_lead_without_a_gauge_says_what_it_lacks():
    found = leads(with_lead())[LEAD]["lead_drop_v"]
    assert found.missing == ("Lead (lead): loop length (mm)", "Lead (lead): gauge (AWG)")


def test_lead_with_another_plug_does_not_carry_the_packs_current():
    snapshot = small_wing(cells=FOUR)
    values = {"gauge_awg": 26, "loop_length_mm": 500.0, "plug_a": "servo"}
    thin = replace(position(7, "lead", values), name="Servo lead")
    found = leads(replace(snapshot, positions=(*snapshot.positions, thin)))
    assert found[LEAD]["lead_drop_v"].is_known
    assert "what current it carries" in found["Servo lead (lead)"]["lead_drop_v"].missing[0]


def test_rail_adds_up_what_hangs_on_it():
    # Kirchhoff: two servos of 250 mA in use and 900 mA stalled on a rail of 4 A, 6 A short.
    found = rails(aircraft())[SERVO_RAIL]
    assert found["rail_use_a"].value == pytest.approx(0.5)
    assert found["rail_stalled_a"].value == pytest.approx(1.8)
    assert found["rail_continuous_left_a"].value == pytest.approx(3.5)
    assert found["rail_peak_left_a"].value == pytest.approx(4.2)


def test_unknown_current_at_rest_leaves_the_rest_of_the_budget():
    found = rails(aircraft())[SERVO_RAIL]
    assert len(found["rail_rest_a"].missing) == 2
    known = rails(
        with_part(
            with_part(aircraft(), "servo_left", current_idle_ma=8.0),
            "servo_right",
            current_idle_ma=8.0,
        )
    )
    assert known[SERVO_RAIL]["rail_rest_a"].value == pytest.approx(0.016)


def test_rail_on_which_nothing_hangs_is_left_out():
    assert not any("9 V rail" in label for label in rails(aircraft()))
