"""Weight and balance. Worked cases: common practice, no source, or the balance of moments."""

from dataclasses import replace

import pytest

from builds.records import Value, WeighInRecord
from tests.builds.records_builder import (
    aircraft,
    figure,
    judge,
    levels,
    missing,
    numbers,
    with_part,
    with_place,
    without,
)

HEAVY = "weight.too_heavy"
LINE = "weight.above_club_line"
BALANCE = "weight.balance_out_of_range"
TRAY = "weight.pack_place_outside_tray"
OFF = "weight.pack_off_its_tray"
UNWEIGHED = "weight.heavy_parts_not_weighed"


# Within 2 % below the limit it is near: 686 g and more.
@pytest.mark.parametrize(
    ("weight", "expected"),
    [(700.1, ["warning"]), (700.0, ["note"]), (686.1, ["note"]), (686.0, [])],
)
def test_weight_against_the_airframes_limit(weight, expected):
    assert [level for level, _ in levels(HEAVY, aircraft(), auw_g=weight)] == expected


def test_the_builds_own_limit_comes_first():
    assert numbers(HEAVY, aircraft(takeoff_mass_max_g=250.0), auw_g=300.0) == {
        "auw_g": 300.0,
        "max_g": 250.0,
    }


def test_a_lower_bound_above_the_limit_is_found():
    build = with_part(aircraft(takeoff_mass_max_g=100.0), "camera", mass_g=None)
    assert levels(HEAVY, build) == [("warning", "")]


def test_a_lower_bound_below_the_limit_is_not_judged():
    build = without(with_part(aircraft(), "camera", mass_g=None), "gps")
    assert missing(HEAVY, build) == ["Camera (Corrimuir A19): mass (g)", "Gps: nothing fitted"]


def test_weight_is_not_judged_without_a_limit():
    build = with_part(aircraft(), "airframe", takeoff_mass_max_g=None)
    assert missing(HEAVY, build) == ["airframe: takeoff mass max (g)"]


@pytest.mark.parametrize(
    ("weight", "high", "expected"),
    [(249.0, 251.0, ["note"]), (260.0, 262.0, ["note"]), (245.0, 247.0, [])],
)
def test_weight_against_the_clubs_line(weight, high, expected):
    given = figure("auw_g", weight, low=2 * weight - high, high=high)
    found = levels(LINE, aircraft(club_mass_line_g=250.0), auw_g=given)
    assert [level for level, _ in found] == expected


def test_without_a_line_there_is_nothing_to_keep():
    assert levels(LINE, aircraft(), auw_g=9000.0) == []


# The range is 129.4 to 138.6 mm, its outer fifths begin at 131.24 and 136.76 mm.
@pytest.mark.parametrize(
    ("x", "expected"),
    [
        (143.0, ["warning"]),
        (129.3, ["warning"]),
        (129.4, ["caution"]),
        (138.6, ["caution"]),
        (131.2, ["caution"]),
        (136.8, ["caution"]),
        (131.3, []),
        (136.7, []),
        (134.0, []),
    ],
)
def test_balance_against_its_range(x, expected):
    assert [level for level, _ in levels(BALANCE, aircraft(), cg_x_mm=x)] == expected


def test_the_remedy_for_the_balance_is_where_the_pack_must_sit():
    (found,) = judge(BALANCE, aircraft(), cg_x_mm=143.0, pack_x_wanted_mm=66.0).findings
    assert found.remedy == "Move the middle of the pack to 66.0 mm."


def test_balance_is_not_judged_while_a_mass_is_unknown():
    build = with_part(aircraft(), "camera", mass_g=None)
    assert missing(BALANCE, build) == ["Camera (Corrimuir A19): mass (g)"]


def test_balance_is_not_judged_without_its_range():
    build = with_part(aircraft(), "airframe", cg_max_x_mm=None)
    assert missing(BALANCE, build) == ["Airframe (airframe): cg max x (mm)"]


# A pack wanted at 42.8 mm on a tray from 58 to 78 mm.
@pytest.mark.parametrize(
    ("x", "low", "high", "expected"),
    [
        (42.8, 30.0, 57.9, ["warning"]),
        (42.8, 24.6, 61.2, ["caution"]),
        (42.8, None, None, ["warning"]),
        (58.0, 50.0, 66.0, []),
        (78.1, 78.05, 80.0, ["warning"]),
    ],
)
def test_place_wanted_for_the_pack_against_its_tray(x, low, high, expected):
    given = figure("pack_x_wanted_mm", x, low=low, high=high)
    assert [level for level, _ in levels(TRAY, aircraft(), pack_x_wanted_mm=given)] == expected


def test_the_tray_is_not_judged_unless_known():
    build = with_place(aircraft(), "pack", x_min_mm=None)
    assert missing(TRAY, build) == ["the place “Pack”: x min (mm)"]


@pytest.mark.parametrize(("x", "expected"), [(57.9, ["caution"]), (58.0, []), (78.0, [])])
def test_place_of_the_pack_against_its_tray(x, expected):
    build = with_place(aircraft(), "pack", x_mm=x)
    assert [level for level, _ in levels(OFF, build)] == expected


def test_heavy_parts_with_the_makers_mass_are_one_note():
    build = with_part(aircraft(), "airframe", mass_g=Value(177.0, "sheet"))
    build = with_part(build, "pack", mass_g=Value(158.0, "sheet"))
    assert levels(UNWEIGHED, build) == [("note", "")]
    assert [title for title, _ in numbers(UNWEIGHED, build)["parts"]] == [
        "Airframe (airframe)",
        "Pack (Dunmarrow 4×1300)",
    ]


# 292 g are 28 % of 1042 g.
def test_a_tenth_of_the_weight_is_not_heavy():
    build = with_part(aircraft(), "pack", mass_g=Value(50.0, "sheet"))
    assert levels(UNWEIGHED, build, auw_g=500.0) == []
    assert levels(UNWEIGHED, build, auw_g=499.0) == [("note", "")]


SCALE = "weight.sum_far_from_scale"
STALE = "weight.weigh_in_is_stale"


def weighed(mass_g, revision=3):
    build = aircraft(revision=3)
    on_scale = build.fitted() if revision == 3 else ()
    shown = WeighInRecord(1, mass_g, revision, uncertainty_g=0.5, on_scale=on_scale)
    return replace(build, weigh_ins=(shown,))


def sum_g():
    return sum(p.part.get("mass_g") * p.quantity for p in aircraft().fitted())


@pytest.mark.parametrize(
    ("difference_g", "expected"), [(5.0, []), (5.1, ["caution"]), (-5.1, ["caution"])]
)
def test_sum_against_the_scale(difference_g, expected):
    build = weighed(sum_g() + difference_g)
    assert [level for level, _ in levels(SCALE, build)] == expected


def test_light_aircraft_is_held_to_two_percent():
    # 2 % of 200 g is 4 g, common practice, no source.
    build = replace(weighed(sum_g()), weigh_ins=(WeighInRecord(1, 200.0, 3),))
    assert [level for level, _ in levels(SCALE, build, weighed_difference_g=4.1)] == ["caution"]
    assert levels(SCALE, build, weighed_difference_g=4.0) == []


def test_sum_is_not_judged_while_a_part_on_the_scale_has_no_mass():
    bare = with_part(aircraft(revision=3), "camera", mass_g=None)
    shown = WeighInRecord(1, 600.0, 3, on_scale=bare.fitted())
    build = replace(bare, weigh_ins=(shown,))
    assert missing(SCALE, build) == ["Camera (Corrimuir A19): mass (g)"]


def test_aircraft_that_was_never_weighed_has_nothing_to_compare():
    assert levels(SCALE, aircraft()) == levels(STALE, aircraft()) == []


def test_weigh_in_before_the_latest_change_is_noted():
    assert numbers(STALE, weighed(600.0, revision=2)) == {"weighed_in_revision": 2, "revision": 3}
    assert levels(STALE, weighed(600.0)) == []


def test_stale_weigh_in_is_not_held_against_the_sum():
    assert levels(SCALE, weighed(900.0, revision=2)) == []


def test_the_place_of_a_second_pack_is_not_judged_by_that_of_the_first():
    build = aircraft()
    second = replace(build.at("pack"), id=90, key="second", x_min_mm=10.0, x_max_mm=20.0)
    build = replace(build, positions=(*build.positions, second), packs_wiring="parallel")
    found = levels("weight.pack_place_outside_tray", build, pack_x_wanted_mm=90.0)
    assert [place for _, place in found] == ["pack"]


def test_the_pack_is_not_sent_to_a_place_outside_its_tray():
    found = judge("weight.balance_out_of_range", aircraft(), cg_x_mm=150.0, pack_x_wanted_mm=20.0)
    (finding,) = found.findings
    assert "ballast" in finding.remedy
    assert "20" not in finding.remedy


def test_heavy_parts_are_not_asked_of_an_empty_build():
    assert missing("weight.heavy_parts_not_weighed", replace(aircraft(), positions=())) == []
