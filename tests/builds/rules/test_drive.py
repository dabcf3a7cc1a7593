"""The drive as a whole. Worked cases: common practice, no source, where none is named."""

import pytest

from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, without

CELLS = "drive.more_cells_than_usual"
SAG = "drive.sag_at_end_of_flight"
SCALE = "drive.current_scale_differs"


# Power goes with the cube of the voltage: 1.5³ = 3.4; to keep it 1900 × 4/6 = 1267 rpm/V.
def test_six_cells_instead_of_four():
    build = with_part(aircraft(), "pack", cell_count=6)
    found = numbers(CELLS, build, motor_current_max_a=45.0)
    assert found == {
        "cell_count": 6,
        "usual_cell_count": 4,
        "power_ratio": pytest.approx(3.375),
        "kv_rpm_v": pytest.approx(1266.7, abs=0.1),
    }


@pytest.mark.parametrize(("current", "expected"), [(50.0, "caution"), (61.9, "warning")])
def test_more_cells_are_a_warning_when_the_controller_cannot_carry_it(current, expected):
    build = with_part(aircraft(), "pack", cell_count=6)
    assert levels(CELLS, build, motor_current_max_a=current) == [(expected, "")]


@pytest.mark.parametrize("cells", [3, 4])
def test_no_more_cells_than_usual_are_no_matter(cells):
    assert levels(CELLS, with_part(aircraft(), "pack", cell_count=cells)) == []


def test_more_cells_with_another_motor_are_not_compared():
    build = with_part(aircraft(usual_drive=(99, 4)), "pack", cell_count=6)
    assert (levels(CELLS, build), missing(CELLS, build)) == ([], [])


def test_without_a_usual_pack_there_is_nothing_to_compare():
    build = with_part(aircraft(usual_cell_count=None), "pack", cell_count=6)
    assert (levels(CELLS, build), missing(CELLS, build)) == ([], [])


def sagging(mohm, **pack):
    each = None if mohm is None else [4.0, mohm, 4.0, 4.0]
    return with_part(aircraft(), "pack", cell_resistance_mohm=each, **pack)


# 3.70 V at rest less 40 A × 10 mΩ are 3.30 V; less 40 A × 13.75 mΩ 3.15 V (Ohm's law).
@pytest.mark.parametrize(
    ("mohm", "expected"),
    [(9.0, []), (10.0, []), (13.75, ["caution"]), (17.5, ["caution"]), (18.0, ["warning"])],
)
def test_weakest_cell_at_the_end_of_a_flight(mohm, expected):
    found = levels(SAG, sagging(mohm), pack_current_each_max_a=40.0)
    assert [level for level, _ in found] == expected


def test_the_weakest_cell_is_shown():
    found = numbers(SAG, sagging(13.75), pack_current_each_max_a=40.0)
    assert found == {
        "cell_v": pytest.approx(3.15), "wanted_v": 3.3, "current_a": 40.0, "cell_mohm": 13.75,
    }  # fmt: skip


def test_lithium_ion_cells_may_fall_lower():
    build = sagging(10.0, chemistry="li_ion", continuous_c_rate=None, current_continuous_a=60.0)
    assert levels(SAG, build, pack_current_each_max_a=40.0) == []
    assert levels(SAG, build, pack_current_each_max_a=41.0) == [("caution", "pack")]


def test_an_overloaded_pack_is_left_to_the_rule_on_its_current():
    build = sagging(18.0, current_continuous_a=20.0)
    assert (levels(SAG, build, pack_current_each_max_a=40.0), missing(SAG, build)) == ([], [])


def test_the_sag_is_not_judged_unless_the_resistance_is_known():
    assert missing(SAG, sagging(None), pack_current_each_max_a=40.0) == [
        "Pack (Dunmarrow 4×1300): resistance of each cell (mΩ)"
    ]


# 78 A logged on a set-up that draws 40 A: the scale was set at half of the sheet's.
@pytest.mark.parametrize(
    ("setting", "expected"), [(20.5, ["caution"]), (40.0, []), (44.0, []), (44.1, ["caution"])]
)
def test_scale_of_the_current_sensor_against_the_sheet(setting, expected):
    found = levels(SCALE, aircraft(current_scale_mv_a=setting))
    assert [level for level, _ in found] == expected


def test_of_two_sensors_one_must_match():
    build = with_part(aircraft(current_scale_mv_a=18.0), "controller", current_sensor_mv_a=18.0)
    assert levels(SCALE, build) == []


def test_the_scale_is_not_judged_unless_it_is_known():
    build = aircraft(current_scale_mv_a=None)
    assert missing(SCALE, build) == ["this build: current scale (mV/A)"]
    build = with_part(aircraft(), "board", current_sensor_mv_a=None)
    assert missing(SCALE, build) == ["Board (Pellowick W3): current sensor (mV/A)"]


def test_a_build_without_sensor_has_no_scale():
    build = without(aircraft(), "board")
    assert (levels(SCALE, build), missing(SCALE, build)) == ([], [])
