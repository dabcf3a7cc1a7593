"""A weigh-in of the whole aircraft leads over the sum of its parts."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.figures import figures_of
from builds.records import BuildSnapshot, Value
from tests.builds.figures.model_wing import (
    RECTANGULAR,
    changed,
    figure,
    place,
    weigh_in,
    wing,
    with_mass,
)

PLACE_MM = 2.0  # what each place adds to the uncertainty of the balance: common practice


def test_difference_is_shared_out_as_an_independent_solution_does():
    # Independent numerical solution of the least squares, numpy matrices: 668 +- 1 g against
    # parts of 656 g leave 667.988 g, u 0.5771 g, and a balance at 206.767 mm.
    build = wing(weigh_in(668.0))
    mass, cg = figure(build, "auw_g"), figure(build, "cg_x_mm")
    assert mass.value == pytest.approx(667.988, abs=5e-4)
    assert mass.uncertainty == pytest.approx(0.5771, abs=5e-5)
    assert cg.value == pytest.approx(206.767, abs=5e-4)
    assert mass.source.startswith("Weighed whole")
    assert [one.name for one in mass.inputs] == ["weighed whole"]


def test_sum_against_scale_says_how_much_and_how_surprising():
    # u(M) of the parts 18.0485 g by the uncertainties package 3.2.3.
    found = figure(wing(weigh_in(668.0)), "weighed_difference_g")
    assert found.value == pytest.approx(12.0)
    assert found.uncertainty == pytest.approx((18.0485**2 + 1 / 3) ** 0.5, abs=1e-4)
    assert found.note.startswith("0.7 times")


def test_without_a_weigh_in_the_sum_stands_and_the_difference_does_not_apply():
    found = figure(wing(), "weighed_difference_g")
    assert found.missing == ()
    assert "not weighed whole" in found.note
    assert figure(wing(), "auw_g").value == pytest.approx(656.0)


def test_weigh_in_of_an_older_revision_is_not_used():
    stale = replace(weigh_in(668.0), revision=6)
    assert figure(wing(stale), "auw_g").value == pytest.approx(656.0)


def test_newest_of_two_weigh_ins_leads():
    build = wing(weigh_in(660.0), weigh_in(700.0))
    assert figure(build, "auw_g").value == pytest.approx(660.0, abs=0.1)


def test_what_was_left_off_the_scale_is_added():
    without = weigh_in(649.0, left_off=["propeller"])
    mass = figure(wing(without), "auw_g")
    # The parts without the propeller weigh 649 g too, so nothing is to be shared out.
    assert mass.value == pytest.approx(656.0)
    assert mass.uncertainty == pytest.approx((2 / 3) ** 0.5, abs=0.01)
    assert [one.name for one in mass.inputs] == ["weighed whole", "propeller (propeller): mass (g)"]


def test_other_pack_takes_the_place_of_the_weighed_one():
    heavier = place(99, "pack", "pack", 260, (90, 0, 12)).part
    build = wing(weigh_in(668.0)).with_pack(heavier)
    assert figure(build, "auw_g").value == pytest.approx(667.988 + 50 - 0.0123, abs=1e-3)


def test_weight_without_the_pack_is_what_the_scale_leaves():
    build = wing(weigh_in(668.0))
    assert figure(build, "empty_g").value == pytest.approx(667.988 - 210.0123, abs=1e-3)


def test_part_that_nobody_weighed_gets_what_the_others_leave():
    bare = with_mass(wing(), "airframe", None)
    build = replace(bare, weigh_ins=(weigh_in(668.0, of=bare),))
    mass = figure(build, "auw_g")
    assert not mass.is_lower_bound
    assert mass.value == pytest.approx(668.0, abs=0.01)
    # 322 g of airframe at 245 mm instead of 310 g: moments about the datum by hand.
    assert figure(build, "cg_x_mm").value == pytest.approx(
        (656 * 206.0673 + 12 * 245) / 668, abs=0.01
    )


def test_two_parts_that_nobody_weighed_leave_the_balance_open():
    bare = with_mass(with_mass(wing(), "airframe", None), "wiring", None)
    build = replace(bare, weigh_ins=(weigh_in(668.0, of=bare),))
    assert figure(build, "auw_g").value == pytest.approx(668.0, abs=0.01)
    assert set(figure(build, "cg_x_mm").missing) == {
        "airframe (airframe): mass (g)",
        "wiring (wiring): mass (g)",
    }


def test_a_place_that_must_be_filled_and_is_not_stays_a_gap():
    build = wing(weigh_in(668.0))
    empty = replace(build.positions[0], id=50, key="gps", name="GPS", kind="gps", part=None)
    found = figure(replace(build, positions=(*build.positions, empty)), "auw_g")
    assert found.left_out == ("GPS: nothing fitted",)


def handbook(x_mm, *weigh_ins):
    """7800 units of mass, 65 of them movable, weighed and balanced while those sat at 1500."""
    hold = place(2, "hold", "hardware", 65, (x_mm, 0, 0))
    body = place(1, "body", "airframe", 7735, (0, 0, 0))
    return BuildSnapshot(1, "Plane", (body, hold), weigh_ins=weigh_ins, revision=7)


def test_measured_balance_point_moves_with_the_weight_as_the_handbook_says():
    # FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), chapter 10, weight shifting:
    # 7800 lb balanced at 81.5 in; 65 lb moved from station 150 to 30 -> 80.5 in. Tenths of an
    # inch stand for millimetres here, and pounds for grams.
    weighed = weigh_in(7800.0, of=handbook(1500), cg_x_mm=815.0, cg_uncertainty_mm=1.0)
    found = figure(handbook(300, weighed), "cg_x_mm")
    assert found.value == pytest.approx(805.0, abs=0.01)
    assert found.source.startswith("Balanced whole")


def test_measured_balance_point_leads_over_that_of_the_sum():
    build = wing(weigh_in(656.0, cg_x_mm=203.0, cg_uncertainty_mm=0.5))
    found = figure(build, "cg_x_mm")
    assert (found.value, found.uncertainty) == pytest.approx((203.0, 0.5))
    difference = figure(build, "balance_point_difference_mm")
    assert difference.value == pytest.approx(203.0 - 206.0673, abs=5e-4)


def test_measured_balance_point_needs_no_places():
    build = wing(weigh_in(656.0, cg_x_mm=203.0))
    for position in build.positions:
        build = changed(build, position.key, x_mm=None)
    blind = replace(build, weigh_ins=(weigh_in(656.0, of=build, cg_x_mm=203.0),))
    assert figure(blind, "cg_x_mm").value == pytest.approx(203.0)


def test_pack_goes_where_the_weighed_aircraft_balances_as_wanted():
    build = wing(weigh_in(668.0, cg_x_mm=208.0), cg_target_x_mm=200.0)
    wanted = figure(build, "pack_x_wanted_mm").value
    moved = changed(build, "pack", x_mm=wanted)
    assert figure(moved, "cg_x_mm").value == pytest.approx(200.0)


def finely_weighed():
    """The wing with every part weighed to 0.1 g."""
    build = wing()
    for position in build.positions:
        values = position.part.values
        fine = replace(values["mass_g"], uncertainty=0.1)
        build = changed(
            build, position.key, part=replace(position.part, values=values | {"mass_g": fine})
        )
    return build


def test_what_no_part_explains_counts_as_not_listed():
    # 10 g more than parts that are known to 0.35 g together: glue and wire, not 12 wrong scales.
    build = finely_weighed()
    weighed = replace(build, weigh_ins=(weigh_in(666.0, of=build),))
    mass, cg = figure(weighed, "auw_g"), figure(weighed, "cg_x_mm")
    assert mass.value == pytest.approx(666.0, abs=0.01)
    assert mass.uncertainty == pytest.approx(1 / RECTANGULAR, abs=1e-3)
    assert "10.0 g of it are in no part" in mass.note
    assert cg.value == pytest.approx(206.0673, abs=1e-3)
    # Nobody knows where the 10 g sit: radius of gyration of the parts along x, times the share.
    arms = [(p.part.get("mass_g"), p.x_mm - 206.0673) for p in build.positions]
    gyration = (sum(m * arm**2 for m, arm in arms) / 656) ** 0.5
    without = figure(build, "cg_x_mm").uncertainty
    expected = (without**2 + (10 / 666 * gyration) ** 2) ** 0.5
    assert cg.uncertainty == pytest.approx(expected, rel=1e-3)


def test_parts_heavier_than_the_scale_leave_the_balance_where_it_was():
    heavy = wing(weigh_in(500.0))
    assert figure(heavy, "auw_g").value == pytest.approx(500.0, abs=0.01)
    assert figure(heavy, "cg_x_mm").value == pytest.approx(206.0673, abs=0.02)
    assert figure(heavy, "weighed_difference_g").value == pytest.approx(-156.0)


@given(shown_g=st.floats(622, 690))
def test_total_lies_between_the_sum_and_the_scale_and_is_better_known_than_either(shown_g):
    found = figures_of(wing(weigh_in(shown_g)))["auw_g"]
    low, high = sorted((656.0, shown_g))
    assert low - 1e-9 <= found.value <= high + 1e-9
    assert found.uncertainty <= 1 / RECTANGULAR


def test_scale_without_a_stated_uncertainty_has_its_usual_limit():
    # JCGM 100:2008, 4.3.7: a limit of 1 g is a standard uncertainty of 0.577 g.
    shown = replace(weigh_in(668.0), uncertainty_g=None)
    assert figure(wing(shown), "auw_g").uncertainty == pytest.approx(0.577, abs=1e-3)


def test_guess_that_was_on_the_scale_makes_the_weight_no_guess():
    build = wing()
    part = build.at("airframe").part
    guess = replace(part, values=part.values | {"mass_g": Value(300.0, "guessed")})
    guessed = changed(build, "airframe", part=guess)
    weighed = replace(guessed, weigh_ins=(weigh_in(668.0, of=guessed),))
    assert figure(guessed, "auw_g").guesses
    assert figure(weighed, "auw_g").guesses == ()
