"""Figures and findings of two packs, in series and in parallel."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.figures import figures_of
from builds.records import PositionRecord
from tests.builds.records_builder import aircraft, levels, missing, numbers, part, with_part

DRIVE = ("pack_full_v", "current_max_a", "motor_current_max_a", "power_max_w", "rpm_max")
UNLIKE = "packs.unlike_in_parallel"
CELLS = "electrical.wrong_cell_count"


def with_two(wiring, first=None, second=None):
    """The wing with a second pack behind the first."""
    build = with_part(aircraft(packs_wiring=wiring), "pack", **(first or {}))
    place = PositionRecord(
        id=90, key="pack_2", name="Second pack", kind="pack", x_mm=90.0, y_mm=0.0, z_mm=0.0,
        part=part("pack", id=90, **(second or first or {})),
    )  # fmt: skip
    return replace(build, positions=(*build.positions, place))


def value(build, name):
    return figures_of(build)[name].value


HALF = {"cell_count": 3, "cell_resistance_mohm": [5.0] * 3}
WHOLE = {"cell_count": 6, "cell_resistance_mohm": [5.0] * 6}


def test_two_packs_in_series_drive_like_one_of_all_their_cells():
    # Kirchhoff's voltage law: voltages and resistances in series add up.
    two, one = with_two("series", HALF), with_part(aircraft(), "pack", **WHOLE)
    for name in DRIVE:
        assert value(two, name) == pytest.approx(value(one, name)), name


def test_two_packs_in_parallel_drive_like_one_of_half_the_resistance():
    # Kirchhoff's current law: equal sources side by side, half the resistance.
    each = {"cell_resistance_mohm": [4.0] * 4}
    two = with_two("parallel", each)
    one = with_part(aircraft(), "pack", cell_resistance_mohm=[2.0] * 4)
    for name in DRIVE:
        assert value(two, name) == pytest.approx(value(one, name)), name


def test_packs_in_parallel_share_the_current():
    two = with_two("parallel", {"cell_resistance_mohm": [8.0] * 4})
    half = value(two, "current_max_a") / 2
    assert value(two, "pack_current_each_max_a") == pytest.approx(half)


def test_packs_in_series_carry_the_whole_current_each():
    two = with_two("series", HALF)
    whole = value(two, "current_max_a")
    assert value(two, "pack_current_each_max_a") == pytest.approx(whole)


@given(st.floats(1.0, 30.0), st.floats(1.0, 30.0))
def test_the_pack_of_less_resistance_gives_the_larger_share(first_mohm, second_mohm):
    # The current divider: shares are as the conductances.
    two = with_two(
        "parallel",
        {"cell_resistance_mohm": [first_mohm] * 4},
        {"cell_resistance_mohm": [second_mohm] * 4},
    )
    most = max(first_mohm, second_mohm) / (first_mohm + second_mohm)
    share = value(two, "pack_current_each_max_a") / value(two, "current_max_a")
    assert share == pytest.approx(most)


def test_two_packs_of_which_nobody_said_how_they_are_joined_leave_the_drive_unknown():
    two = with_two("")
    for name in (*DRIVE, "pack_current_each_max_a", "endurance_min"):
        assert figures_of(two)[name].missing == ("how the packs are joined",), name


def test_packs_of_other_cells_in_parallel_leave_the_drive_unknown():
    two = with_two("parallel", HALF, WHOLE)
    (gap,) = figures_of(two)["power_max_w"].missing
    assert "must not be joined in parallel" in gap


def test_two_packs_last_longer_in_parallel_than_one():
    each = {"cell_resistance_mohm": [5.0] * 4}
    one = with_part(aircraft(), "pack", **each)
    assert value(with_two("parallel", each), "endurance_min") > value(one, "endurance_min")


def test_the_cells_of_packs_in_series_count_together():
    # A controller for six cells at most, two packs of four.
    two = with_two("series", {"cell_count": 4})
    assert ("warning", "controller") in levels(CELLS, two)
    assert levels(CELLS, with_two("parallel", {"cell_count": 4})) == []


def test_cells_are_not_judged_while_the_wiring_is_unknown():
    assert set(missing(CELLS, with_two(""))) == {"how the packs are joined"}


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ({}, {}, []),
        ({"cell_count": 4}, {"cell_count": 6}, [("warning", "")]),
        ({}, {"chemistry": "li_ion"}, [("warning", "")]),
        ({"capacity_mah": 1300.0}, {"capacity_mah": 1500.0}, [("caution", "")]),
        ({"capacity_mah": 1350.0}, {"capacity_mah": 1500.0}, []),
        (
            {"cell_resistance_mohm": [4.0] * 4},
            {"cell_resistance_mohm": [6.0] * 4},
            [("caution", "")],
        ),
        ({"cell_resistance_mohm": [4.0] * 4}, {}, []),
    ],
)  # fmt: skip
def test_unlike_packs_in_parallel(first, second, expected):
    # Common practice, no source: alike within a tenth.
    assert levels(UNLIKE, with_two("parallel", first, second)) == expected


def test_unlike_packs_in_series_are_no_business_of_that_rule():
    assert levels(UNLIKE, with_two("series", {"cell_count": 4}, {"cell_count": 6})) == []


def test_unlike_packs_are_named_in_numbers():
    two = with_two("parallel", {"capacity_mah": 1300.0}, {"capacity_mah": 1500.0})
    assert numbers(UNLIKE, two) == {"capacity_mah": (1300.0, 1500.0)}


def test_packs_are_not_compared_while_the_wiring_is_unknown():
    assert missing(UNLIKE, with_two("")) == ["this build: how the packs are joined"]


def test_packs_in_parallel_with_a_lead_each_share_its_current():
    two = with_two("parallel")
    whole = value(two, "current_max_a")
    two = with_part(two, "lead", current_rating_a=whole * 0.7)
    assert levels("leads.main_lead_overloaded", two) == [("caution", "lead")]
    other = PositionRecord(
        id=95, key="lead_2", name="Lead 2", kind="lead", part=two.at("lead").part
    )
    two = replace(two, positions=(*two.positions, other))
    assert levels("leads.main_lead_overloaded", two) == []
