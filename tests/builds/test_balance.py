"""Where each pack must sit, told from marks; ballast and moves."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.balance import Choice, balance_of, cells_in_range, cg_over_places
from builds.drawing.pack_balance import draw_pack_balance, drawn_packs, places_mm
from tests.builds.figures.model_wing import changed, place, wing, with_mass
from tests.builds.figures.test_flight import STATIONS


def build(**limits):
    """The model wing with its wing, its tray and its limits."""
    limits = {"cg_min_x_mm": 190.0, "cg_max_x_mm": 215.0, "cg_target_x_mm": 195.0} | limits
    frame = place(
        1, "airframe", "airframe", 310, (245, 0, 0), (250, 900, 25), 31,
        values={"layout": "flying_wing", "wing_stations": STATIONS, "datum": "nose tip"},
    )  # fmt: skip
    found = changed(wing(**limits), "airframe", part=frame.part)
    able = {"cells_min": 3, "cells_max": 4}
    controller = place(5, "controller", "speed_controller", 22, (0, 0, 0), values=able).part
    found = changed(found, "controller", part=controller)
    return changed(found, "pack", x_min_mm=50.0, x_max_mm=100.0)


def pack(number, mass_g, cells=None, length_mm=75.0):
    box = (length_mm, 35, 35) if length_mm else None
    values = {} if cells is None else {"cell_count": cells}
    return place(number, "pack", "pack", mass_g, (90, 0, 12), box, values=values).part


def sheet_of(*packs, choice=None, **limits):
    return balance_of(build(**limits), packs, 90.0, choice)


def test_pack_for_a_wanted_balance_is_where_an_independent_solution_puts_it():
    # Independent numerical solution: for 195 mm the 210 g pack moves 34.571 mm ahead.
    (found,) = sheet_of(pack(70, 210)).packs
    assert found.figures["pack_x_wanted_mm"].value == pytest.approx(90 - 34.571, abs=5e-4)


@pytest.mark.parametrize(
    ("mass_g", "margin_percent", "x_mm"),
    # Independent numerical solution: neutral point 231.0 mm, mean chord 199.65 mm.
    [
        (210, 5, 136.7), (210, 10, 105.5), (210, 15, 74.3),
        (175, 5, 119.8), (175, 10, 84.4), (175, 15, 49.0),
        (190, 5, 127.8), (190, 10, 94.4), (190, 15, 61.0),
    ],
)  # fmt: skip
def test_pack_for_a_margin_is_where_an_independent_solution_puts_it(mass_g, margin_percent, x_mm):
    (found,) = sheet_of(pack(70, mass_g), choice=Choice(margin_percent=margin_percent)).packs
    # Lever: what the point lies off 231.0 mm moves the pack by as much more as all is heavier.
    beyond = found.figures["neutral_point_mm"].value - 231.0
    wanted = x_mm + beyond * (446 + mass_g) / mass_g
    assert found.figures["pack_x_for_margin_mm"].value == pytest.approx(wanted, abs=0.06)


def test_ballast_at_a_chosen_place_matches_an_independent_solution():
    # Independent numerical solution: 39.243 g at 10 mm bring 656 g to 195 mm.
    sheet = sheet_of(choice=Choice(ballast_x_mm=10.0))
    assert sheet.figures["ballast_1_g"].value == pytest.approx(39.243, abs=5e-4)


def test_ballast_is_looked_at_in_the_foremost_and_the_rearmost_part():
    sheet = sheet_of()
    assert [mark.name for mark in sheet.ballast_places] == ["camera", "propeller"]
    assert sheet.figures["ballast_1_g"].is_known
    assert "cannot do it" in sheet.figures["ballast_2_g"].missing[0]


def test_part_that_moves_takes_the_balance_along_as_the_handbook_says():
    # FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), chapter 10: weight moved over
    # whole weight is change of balance over way moved; 210 g of 656 g by -10 mm.
    sheet = sheet_of(choice=Choice(move="pack", move_mm=-10.0))
    assert sheet.figures["cg_shift_mm"].value == pytest.approx(-10 * 210 / 656)


def test_packs_whose_cells_suit_the_controller_come_first_then_the_lighter():
    packs = [pack(70, 100, cells=6), pack(71, 150), pack(72, 220, cells=4), pack(73, 210, cells=3)]
    found = sheet_of(*packs).packs
    assert [one.record.id for one in found] == [73, 72, 71, 70]
    assert [one.fits_cells for one in found] == [True, True, None, False]


def test_cells_are_not_compared_without_a_controller():
    assert cells_in_range(wing(), pack(70, 100, cells=4)) is None


@pytest.mark.parametrize(
    ("target_mm", "says"),
    # The wanted place moves 656/210 = 3.12 mm for each mm of balance; tray from 50 to 100 mm.
    [(195.0, "wanted"), (192.0, "range"), (206.0, "wanted")],
)
def test_tray_is_held_against_the_place_wanted(target_mm, says):
    (found,) = sheet_of(pack(70, 210), cg_target_x_mm=target_mm).packs
    assert found.tray == says


def test_tray_that_keeps_no_part_of_the_range_says_so():
    limits = {"cg_min_x_mm": 230.0, "cg_max_x_mm": 240.0, "cg_target_x_mm": 235.0}
    (found,) = sheet_of(pack(70, 210), **limits).packs
    assert found.tray == "none"


def test_place_is_told_from_marks_that_a_finger_finds():
    (found,) = sheet_of(pack(70, 210)).packs
    front_mm = found.figures["pack_x_wanted_mm"].value - 75 / 2
    told = {one.mark.name: (one.is_front, one.behind_mm) for one in found.wanted_from}
    assert told == {
        "the tray's front edge": (True, pytest.approx(front_mm - (50 - 75 / 2))),
        "the wing's leading edge at the root": (
            True, pytest.approx(front_mm - STATIONS[0]["leading_edge_x_mm"])
        ),
        "the nose": (True, pytest.approx(front_mm)),
    }  # fmt: skip


def test_pack_of_unknown_length_is_told_by_its_middle():
    (found,) = sheet_of(pack(70, 210, length_mm=None)).packs
    wanted = found.figures["pack_x_wanted_mm"].value
    tray = found.wanted_from[0]
    assert (tray.mark.name, tray.is_front) == ("the foremost place in the tray", False)
    assert tray.behind_mm == pytest.approx(wanted - 50)


def test_balance_over_all_packs_runs_from_the_heaviest_to_the_lightest():
    light, heavy = pack(70, 150), pack(71, 250)
    sheet = sheet_of(light, heavy)
    ends = sorted(one.figures["cg_x_mm"].value for one in sheet.packs)
    assert sheet.cg_range == tuple(ends)


def test_without_a_balance_there_is_no_range_and_no_chart():
    sheet = balance_of(with_mass(build(), "motor", None), [pack(70, 210)], 90.0)
    assert sheet.cg_range is None
    assert draw_pack_balance(sheet) == ""


@given(x_mm=st.floats(0, 300))
def test_line_of_the_chart_is_what_moving_the_pack_gives(x_mm):
    sheet = sheet_of(pack(70, 190))
    ((_, cg),) = cg_over_places(sheet.packs[0], [x_mm])
    there = balance_of(build(), [pack(70, 190)], x_mm).packs[0].figures["cg_x_mm"]
    assert cg == pytest.approx(there.value)


def test_chart_says_its_axes_and_its_ends_in_words():
    sheet = sheet_of(pack(70, 190))
    svg = draw_pack_balance(sheet)
    assert "middle of the pack, aft of the datum (mm)" in svg
    assert "centre of gravity, aft of the datum (mm)" in svg
    assert "C70: " in svg
    assert len(places_mm(sheet)) == 9


def test_chart_has_lines_for_the_lightest_and_the_heaviest_pack_only():
    sheet = sheet_of(*(pack(70 + number, 150 + 10 * number) for number in range(5)))
    assert [one.record.code for one in drawn_packs(sheet)] == ["C70", "C74"]
