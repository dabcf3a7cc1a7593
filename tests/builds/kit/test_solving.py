"""Choosing a kit, against scipy's assignment solver and against trying every choice."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from builds.kit.problem import Aim, Cut, Distance, Problem, Row, merge_pairs, value_of
from builds.kit.solving import find_kit

SMALL_CASES = 200


def _nothing_against(picks):
    return ()


def _mass(costs):
    return [[(Aim("mass", costs), 1.0)]]


@pytest.mark.parametrize("number", range(20))
def test_without_rules_it_is_the_assignment_that_scipy_finds(number):
    """Source: scipy.optimize.linear_sum_assignment, an independent exact method."""
    places, parts = 3 + number % 6, 9 + number
    mass_g = np.random.default_rng(number).uniform(1, 60, (places, parts)).round(1)
    problem = Problem({place: tuple(range(parts)) for place in range(places)})
    costs = {(place, part): mass_g[place, part] for place in range(places) for part in range(parts)}
    rows, columns = linear_sum_assignment(mass_g)

    answer = find_kit(problem, _mass(costs), _nothing_against, alternatives=0)

    assert answer.state == "optimal"
    chosen = value_of(problem, _mass(costs)[0], answer.picks)
    assert chosen == pytest.approx(mass_g[rows, columns].sum())


def _case(number):
    """A small case: parts shared by positions, bags, a balance row, and a hidden rule each."""
    dice = random.Random(number)  # noqa: S311 # a test needs no secrets
    places = dice.randint(2, 4)
    parts = range(dice.randint(places, 7))
    candidates = {
        place: tuple(part for part in parts if dice.random() < 0.7) for place in range(places)
    }
    stock = {part: 2 for part in parts if dice.random() < 0.2}
    picks = [(place, part) for place, held in candidates.items() for part in held]
    mass = {pick: dice.randint(1, 30) for pick in picks}
    arm = {pick: mass[pick] * dice.randint(-5, 5) for pick in picks}
    barred = {
        pair
        for pair in itertools.combinations(picks, 2)
        if pair[0][0] != pair[1][0] and dice.random() < 0.25
    }
    threes = {
        three
        for three in itertools.combinations(picks, 3)
        if len({place for place, _ in three}) == 3 and dice.random() < 0.1
    }
    return candidates, stock, mass, arm, barred, threes


def _stands(picks, barred, threes):
    return not any(set(group) <= set(picks) for group in (*barred, *threes))


def _by_trying(candidates, stock, arm, barred, threes):
    for parts in itertools.product(*candidates.values()):
        picks = tuple(zip(candidates, parts, strict=True))
        has_enough = all(parts.count(part) <= stock.get(part, 1) for part in parts)
        is_balanced = abs(sum(arm[pick] for pick in picks)) <= 60
        if has_enough and is_balanced and _stands(picks, barred, threes):
            yield picks


@pytest.mark.parametrize("number", range(SMALL_CASES))
def test_finds_what_trying_every_choice_finds(number):
    candidates, stock, mass, arm, barred, threes = _case(number)
    balance = Row("balance", arm, -60, 60)
    problem = Problem(candidates, stock, cuts=merge_pairs(barred), rows=(balance,))

    def judge(picks):
        return [
            Cut(tuple(frozenset({pick}) for pick in three), "three")
            for three in threes
            if set(three) <= picks
        ]

    stages = [[(Aim("mass", mass), 1.0)], [(Aim("balance", distances=(Distance(arm, 0.0),)), 1.0)]]
    standing = list(_by_trying(candidates, stock, arm, barred, threes))

    answer = find_kit(problem, stages, judge, alternatives=500)

    if not standing:
        assert answer.state == "impossible"
        assert answer.clash is not None
        return
    best = min(
        (sum(mass[pick] for pick in picks), abs(sum(arm[pick] for pick in picks)))
        for picks in standing
    )
    assert answer.state == "optimal"
    assert tuple(value_of(problem, stage, answer.picks) for stage in stages) == best
    assert answer.is_all
    assert len(answer.alternatives) + 1 >= len({_parts(picks) for picks in standing})


def _parts(picks):
    return tuple(sorted(part for _, part in picks))


@pytest.mark.parametrize("number", range(0, SMALL_CASES, 10))
def test_one_part_more_never_takes_a_kit_away(number):
    candidates, stock, mass, arm, barred, _ = _case(number)
    problem = Problem(candidates, stock, cuts=merge_pairs(barred))
    wider = Problem(
        {place: (*parts, "new") for place, parts in candidates.items()}, stock, problem.cuts
    )
    before = find_kit(problem, _mass(mass), _nothing_against, alternatives=0)
    new = dict.fromkeys(((place, "new") for place in candidates), 99)

    after = find_kit(wider, _mass(mass | new), _nothing_against, alternatives=0)

    if before.state == "optimal":
        assert after.state == "optimal"
        old_g = value_of(problem, _mass(mass)[0], before.picks)
        assert value_of(wider, _mass(mass | new)[0], after.picks) <= old_g


def test_a_clash_names_only_what_is_part_of_it():
    problem = Problem({"motor": ("m",), "pack": ("p",), "camera": ("c1", "c2")})
    clash = Cut((frozenset({("motor", "m")}), frozenset({("pack", "p")})), "too_many_cells", "No.")
    other = Cut((frozenset({("camera", "c1")}),), "too_wide", "Too wide.")

    answer = find_kit(
        problem, [], lambda picks: [one for one in (clash, other) if one.forbids(picks)]
    )

    assert answer.state == "impossible"
    assert answer.clash.positions == ("motor", "pack")
    assert answer.clash.reasons == (("too_many_cells", "No."),)


def test_a_position_without_a_candidate_is_the_clash():
    answer = find_kit(Problem({"motor": ("m",), "pack": ()}), [], _nothing_against)

    assert answer.clash.positions == ("pack",)


def test_two_positions_that_want_the_same_part_clash_without_a_rule():
    answer = find_kit(
        Problem({"left": ("s",), "right": ("s",), "gps": ("g",)}), [], _nothing_against
    )

    assert answer.clash.positions == ("left", "right")
    assert answer.clash.reasons == ()


def test_a_bag_serves_as_many_positions_as_it_has_pieces():
    problem = Problem({"left": ("bag",), "right": ("bag",)}, stock={"bag": 2})

    assert find_kit(problem, [], _nothing_against).state == "optimal"


def test_fewest_owners_leads_over_less_mass_when_it_comes_first():
    problem = Problem({"a": ("a1", "a2"), "b": ("b1", "b2")})
    owners = Aim("owners", named={("a", "a1"): "x", ("b", "b1"): "y"})
    mass = Aim("mass", {("a", "a1"): 1, ("a", "a2"): 5, ("b", "b1"): 1, ("b", "b2"): 5})

    first = find_kit(problem, [[(owners, 1.0)], [(mass, 1.0)]], _nothing_against)
    weighed = find_kit(problem, [[(owners, 1.0), (mass, 1.0)]], _nothing_against)

    assert first.picks == {("a", "a2"), ("b", "b2")}
    assert weighed.picks == {("a", "a1"), ("b", "b1")}


def test_of_several_aircraft_most_are_finished_and_the_scarce_part_goes_once():
    problem = Problem(
        {"a motor": ("m",), "b motor": ("m",), "b pack": ("p",), "c pack": ("p",)},
        group_of={"a motor": "A", "b motor": "B", "b pack": "B", "c pack": "C"},
        may_stay_open=frozenset("ABC"),
    )

    answer = find_kit(problem, [[(Aim("finished", filled=-1.0), 1.0)]], _nothing_against)

    assert answer.picks == {("a motor", "m"), ("c pack", "p")}


def test_a_search_that_is_stopped_says_that_nothing_was_found():
    answer = find_kit(
        Problem({"a": ("x",)}), [], _nothing_against, goes_on=lambda rounds, cuts: False
    )

    assert answer.state == "not_found"
