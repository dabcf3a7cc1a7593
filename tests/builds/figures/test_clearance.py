"""What is to spare between a room and a part, at worst and most likely."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.figures.clearance import (
    BORE_LIMIT_MM,
    Gap,
    at_likely_worst,
    at_worst,
    bore_measure,
    each_side,
    part_measure,
    place_measure,
    to_spare,
)
from builds.figures.results import NotKnown
from builds.records import Value
from tests.builds.records_builder import aircraft, with_part, with_place

sizes = st.floats(min_value=1, max_value=500)


def length_gap(room_mm, body):
    build = with_part(with_place(aircraft(), "pack", length_mm=room_mm), "pack", length_mm=body)
    tray = build.at("pack")
    return Gap(place_measure(tray, "length_mm"), part_measure(tray, "length_mm"))


def test_limits_become_a_standard_uncertainty_as_of_a_rectangle():
    # By hand with JCGM 100:2008, 4.3.7 (a / sqrt 3) and 5.1.2 (10): limits 0.3 and 0.2 mm give
    # sqrt((0.09 + 0.04) / 3) = 0.20817 mm.
    spare = to_spare(length_gap(98.0, 75.0))
    assert spare.value == pytest.approx(23.0)
    assert spare.uncertainty == pytest.approx(0.20817, abs=1e-5)


def test_worst_case_adds_every_limit_and_the_likely_one_the_root_of_squares():
    # By hand: 23 - (0.3 + 0.2) = 22.5; 23 - 2 x 0.20817 = 22.58367 (JCGM 100:2008, 6.3.3, k = 2).
    gap = length_gap(98.0, 75.0)
    assert at_worst(gap).value == pytest.approx(22.5)
    assert at_likely_worst(gap).value == pytest.approx(22.58367, abs=1e-5)


def test_stated_uncertainty_of_a_measured_length_is_used():
    gap = length_gap(98.0, Value(75.0, "measured", 0.05))
    # By hand: sqrt(0.09 / 3 + 0.05^2) = 0.18028; worst case 23 - 0.3 - 2 x 0.05.
    assert to_spare(gap).uncertainty == pytest.approx(0.18028, abs=1e-5)
    assert at_worst(gap).value == pytest.approx(22.6)
    assert [one.source for one in to_spare(gap).inputs] == [
        "build",
        "assumed",
        "measured",
        "measured",
    ]


def test_limits_that_nobody_stated_are_named_as_assumed():
    inputs = to_spare(length_gap(98.0, 75.0)).inputs
    assert [one.source for one in inputs] == ["build", "assumed", "sheet", "assumed"]
    assert [one.value for one in inputs] == [98.0, 0.3, 75.0, 0.2]


def test_gap_each_side_is_half_of_what_is_to_spare():
    assert each_side(length_gap(98.0, 75.0)).value == pytest.approx(11.5)


def test_size_asked_about_is_taken_as_exact():
    gap = length_gap(98.0, Value(75.0, "asked"))
    assert at_worst(gap).value == pytest.approx(22.7)


def test_bore_is_rounder_than_a_pocket():
    board = with_part(aircraft(), "propeller", bore_mm=5.0).at("propeller")
    assert bore_measure(board, "bore_mm").limit_mm == BORE_LIMIT_MM
    guessed = with_part(aircraft(), "propeller", bore_mm=Value(5.0, "guessed")).at("propeller")
    assert bore_measure(guessed, "bore_mm").limit_mm == 1.0


def test_place_and_part_without_a_length_are_named():
    tray = with_place(aircraft(), "pack", length_mm=None).at("pack")
    with pytest.raises(NotKnown, match="the place “Pack”: length"):
        place_measure(tray, "length_mm")
    bare = with_part(aircraft(), "pack", length_mm=None).at("pack")
    with pytest.raises(NotKnown, match="length"):
        part_measure(bare, "length_mm")


@given(room=sizes, body=sizes, u=st.floats(min_value=0.001, max_value=2))
def test_likely_least_lies_between_worst_and_nominal(room, body, u):
    gap = length_gap(room, Value(body, "measured", u))
    assert at_worst(gap).value - 1e-9 <= at_likely_worst(gap).value <= to_spare(gap).value
