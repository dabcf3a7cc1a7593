"""Voltage of the pack. Worked cases: common practice, no source, where none is named."""

from dataclasses import replace

import pytest

from builds.findings import Finding, Level
from builds.records import Value
from tests.builds.records_builder import (
    aircraft,
    judge,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
)

TOO_HIGH = "electrical.pack_voltage_too_high"
CELLS = "electrical.wrong_cell_count"
LANDING = "electrical.too_little_voltage_at_landing"
CAPACITOR = "electrical.capacitor_voltage_too_low"
SENSING = "electrical.pack_voltage_beyond_sensing"


def with_pack(cells, full=4.2, **changes):
    return with_part(aircraft(), "pack", cell_count=cells, cell_full_v=full, **changes)


def test_warns_of_a_pack_above_what_the_video_unit_takes():
    build = with_part(with_pack(4, 4.35), "video", voltage_max_v=17.0)
    (found,) = judge(TOO_HIGH, build).findings
    assert [replace(found, inputs=())] == [
        Finding(
            rule=TOO_HIGH,
            level=Level.WARNING,
            message="Video (Corrimuir A25) takes 17.0 V at most; this pack is 17.4 V full "
            "(4 cells × 4.35 V).",
            remedy="Put a regulator in between, fly a pack with fewer cells or fit another part.",
            numbers=(("full_v", 17.4), ("max_v", 17.0)),
            position="video",
            source="the maker's sheet; the margin of 2 % is common practice, no source",
            is_final=True,
        ),
    ]
    assert {"pack full (V)", "Video (Corrimuir A25): voltage max (V)"} < {
        given.what for given in found.inputs
    }


# Voltages of full cells: 4.20 V, high-voltage cells 4.35 V (common practice, no source).
@pytest.mark.parametrize(
    ("cells", "full", "most", "expected"),
    [
        (6, 4.20, 17.0, ["warning"]),
        (4, 4.35, 17.0, ["warning"]),
        (4, 4.20, 17.0, ["caution"]),
        (6, 4.20, 25.2, ["caution"]),
        (4, 4.20, 17.2, []),
        (3, 4.20, 17.0, []),
    ],
)
def test_full_pack_against_the_highest_voltage_of_a_video_unit(cells, full, most, expected):
    build = with_part(with_pack(cells, full), "video", voltage_max_v=most)
    assert [level for level, _ in levels(TOO_HIGH, build)] == expected


def test_a_fitted_regulator_takes_the_place_of_what_it_feeds():
    build = with_part(with_part(with_pack(6), "video", voltage_max_v=17.0), "regulator")
    assert levels(TOO_HIGH, build) == []


def test_the_regulator_itself_is_judged():
    build = with_part(with_pack(6), "regulator", voltage_in_max_v=20.0)
    assert levels(TOO_HIGH, build) == [("warning", "regulator")]


def test_a_regulator_named_but_not_fitted_protects_nothing():
    assert levels(TOO_HIGH, with_part(with_pack(6), "video", voltage_max_v=17.0)) == [
        ("warning", "video")
    ]


def test_a_part_on_a_rail_of_the_board_does_not_see_the_pack():
    build = with_place(with_part(with_pack(6), "camera", voltage_max_v=5.5), "camera",
                       supply="board_5v")  # fmt: skip
    assert levels(TOO_HIGH, build) == []


def test_an_unknown_supply_is_not_judged():
    build = with_place(with_pack(6), "camera", supply="")
    assert missing(TOO_HIGH, build) == ["Camera (Corrimuir A19): where it gets its power"]


def test_an_unknown_highest_voltage_is_not_judged():
    build = with_part(aircraft(), "camera", voltage_max_v=None)
    assert missing(TOO_HIGH, build) == ["Camera (Corrimuir A19): voltage max (V)"]


def test_a_speed_controller_without_cell_count_is_judged_by_its_voltage():
    build = with_part(with_pack(6), "controller", cells_max=None, voltage_max_v=17.0)
    assert levels(TOO_HIGH, build) == [("warning", "controller")]
    assert levels(CELLS, build) == []


def test_too_many_cells_on_a_speed_controller_are_one_finding_only():
    build = with_part(with_pack(6), "controller", cells_min=2, cells_max=4, voltage_max_v=17.0)
    assert levels(TOO_HIGH, build) == []
    assert levels(CELLS, build) == [("warning", "controller")]
    assert numbers(CELLS, build) == {"cell_count": 6, "cells_min": 2, "cells_max": 4}


def test_high_voltage_cells_at_the_highest_count_need_the_controllers_voltage():
    build = with_part(with_pack(4, 4.35), "controller", cells_max=4, voltage_max_v=None)
    assert missing(TOO_HIGH, build) == ["Controller (Ostrelka 50): voltage max (V)"]


def test_a_speed_controller_hangs_on_the_pack_whatever_is_recorded():
    build = with_place(with_pack(6), "controller", supply="")
    build = with_part(build, "controller", cells_max=None, voltage_max_v=17.0)
    assert levels(TOO_HIGH, build) == [("warning", "controller")]


@pytest.mark.parametrize(
    ("cells", "expected"),
    [(1, [("warning", "controller")]), (2, []), (4, []), (5, [("warning", "controller")])],
)
def test_cell_count_at_the_ends_of_a_controllers_range(cells, expected):
    build = with_part(with_pack(cells), "controller", cells_min=2, cells_max=4)
    build = with_part(build, "motor", cells_min=1, cells_max=6)
    assert levels(CELLS, build) == expected


def test_too_few_cells_for_a_motor_are_only_a_note():
    build = with_part(with_pack(3), "motor", cells_min=4)
    assert levels(CELLS, build) == [("note", "motor")]


def test_a_motor_without_cell_count_is_not_judged():
    build = with_part(aircraft(), "motor", cells_max=None)
    assert missing(CELLS, build) == ["Motor (Ostrelka 2207): cells max"]


def test_the_cell_count_of_a_nickel_pack_is_judged_by_volts():
    build = with_pack(7, 1.45, chemistry="nimh")
    assert levels(CELLS, build) == []


# 3 × 3.3 V = 9.9 V against 9 V and a dropout of 1.2 V (common practice, no source).
@pytest.mark.parametrize(
    ("cells", "dropout", "expected"),
    [(3, 1.2, [("caution", "regulator")]), (3, 0.9, []), (4, 1.2, [])],
)
def test_voltage_at_landing_against_output_and_dropout_of_a_regulator(cells, dropout, expected):
    build = with_part(with_pack(cells), "regulator", voltage_in_min_v=None, dropout_v=dropout)
    assert levels(LANDING, build) == expected


def test_voltage_at_landing_against_a_camera():
    build = with_part(with_pack(3), "camera", voltage_min_v=10.0)
    found = numbers(LANDING, build)
    assert found == {"landing_v": pytest.approx(9.9), "min_v": 10.0}


def test_a_club_may_land_at_another_voltage():
    build = with_part(with_pack(3), "camera", voltage_min_v=10.0)
    limits = {f"{LANDING}.cell_v": Value(3.5, "measured")}
    assert levels(LANDING, replace(build, rule_limits=limits)) == []


def test_voltage_at_landing_equal_to_the_least_is_enough():
    assert levels(LANDING, with_part(with_pack(3), "camera", voltage_min_v=9.9)) == []


def test_voltage_at_landing_is_not_judged_without_the_least():
    build = with_part(aircraft(), "camera", voltage_min_v=None)
    assert missing(LANDING, build) == ["Camera (Corrimuir A19): voltage min (V)"]


# 25 V capacitor on a 25.2 V pack bursts; 35 V is the usual choice (common practice, no source).
@pytest.mark.parametrize(
    ("cells", "rating", "expected"),
    [(6, 25.0, ["warning"]), (6, 31.0, ["caution"]), (6, 31.5, []), (6, 35.0, []), (4, 25.0, [])],
)
def test_rating_of_the_capacitor(cells, rating, expected):
    build = with_part(with_pack(cells), "controller", capacitor_voltage_v=rating)
    assert [level for level, _ in levels(CAPACITOR, build)] == expected


def test_a_capacitor_of_unknown_rating_is_not_judged():
    build = with_part(aircraft(), "controller", capacitor_voltage_v=None)
    assert missing(CAPACITOR, build) == ["Controller (Ostrelka 50): capacitor voltage (V)"]


def test_no_capacitor_is_no_fault():
    build = with_part(aircraft(), "controller", capacitor_uf=None, capacitor_voltage_v=None)
    assert (levels(CAPACITOR, build), missing(CAPACITOR, build)) == ([], [])


# 25.2 V on an input for 18 V (common practice, no source).
@pytest.mark.parametrize(("most", "expected"), [(18.0, ["warning"]), (25.2, []), (36.0, [])])
def test_range_of_voltage_sensing(most, expected):
    build = with_part(with_pack(6), "board", sense_voltage_max_v=most)
    assert [level for level, _ in levels(SENSING, build)] == expected


def test_sensing_is_not_judged_without_its_range():
    build = with_part(aircraft(), "board", sense_voltage_max_v=None)
    assert missing(SENSING, build) == ["Board (Pellowick W3): sense voltage max (V)"]
