"""The pack itself. Worked cases: common practice, no source, where none is named."""

import pytest

from tests.builds.records_builder import (
    aircraft,
    judge,
    levels,
    missing,
    numbers,
    with_ground,
    with_part,
)

SWOLLEN = "packs.pack_swollen"
CHEMISTRY = "packs.charger_of_another_chemistry"
CELLS = "packs.charger_for_fewer_cells"
AIR = "packs.pack_too_large_for_air_travel"


# 29 mm as new, 34 mm now.
@pytest.mark.parametrize(
    ("height", "expected"), [(34.0, ["warning"]), (30.5, ["warning"]), (30.4, []), (29.0, [])]
)
def test_thickness_of_a_pack(height, expected):
    build = with_part(aircraft(), "pack", height_mm=height)
    assert [level for level, _ in levels(SWOLLEN, build)] == expected


def test_thickness_is_not_judged_unless_measured():
    build = with_part(aircraft(), "pack", rated={"mass_g": 158.0})
    assert missing(SWOLLEN, build) == [
        "Pack (Dunmarrow 4×1300): its thickness, from the maker and measured"
    ]


@pytest.mark.parametrize(
    ("chemistry", "expected"), [("li_ion", ["warning"]), ("lipo", []), ("lipo_hv", [])]
)
def test_chemistry_against_the_charger(chemistry, expected):
    build = with_part(aircraft(), "pack", chemistry=chemistry)
    assert [level for level, _ in levels(CHEMISTRY, build)] == expected


def test_chemistries_compare_without_regard_to_marks():
    build = with_ground(aircraft(), "charger", chemistries=["LiPo"])
    assert levels(CHEMISTRY, build) == []


def test_the_charger_is_not_judged_unless_named():
    gap = ["the charger among your ground gear"]
    assert missing(CHEMISTRY, aircraft(ground={})) == gap
    assert missing(CELLS, aircraft(ground={})) == gap


@pytest.mark.parametrize(("most", "expected"), [(3, ["caution"]), (4, [])])
def test_cells_against_the_charger(most, expected):
    build = with_ground(aircraft(), "charger", cells_max=most)
    assert [level for level, _ in levels(CELLS, build)] == expected


# 4 × 3.7 V × 4000 mAh are 59.2 Wh. Limits of 100 and 160 Wh: ICAO Doc 9284, table 8-1 (from
# memory, not verified).
@pytest.mark.parametrize(
    ("capacity", "expected"), [(4000.0, []), (10000.0, ["note"]), (12000.0, ["note"])]
)
def test_energy_of_a_pack(capacity, expected):
    build = with_part(aircraft(), "pack", capacity_mah=capacity)
    assert [level for level, _ in levels(AIR, build)] == expected


def test_energy_in_numbers():
    build = with_part(aircraft(), "pack", capacity_mah=12000.0)
    assert numbers(AIR, build) == {"energy_wh": pytest.approx(177.6), "limit_wh": 160.0}


def test_energy_is_not_judged_without_the_chemistry():
    build = with_part(aircraft(), "pack", chemistry=None)
    assert missing(AIR, build) == ["Pack (Dunmarrow 4×1300): chemistry"]


@pytest.mark.parametrize(
    ("verdict", "expected"),
    [
        ("fit", []),
        ("watch", ["note"]),
        ("cannot_tell", []),
        ("retire", ["caution"]),
        ("out_of_service", ["warning"]),
    ],
)
def test_what_the_log_says_of_the_pack_is_told(verdict, expected):
    build = with_part(aircraft(), "pack", health_verdict=verdict, health_reason="1008 of 1300 mAh.")
    assert [level for level, _ in levels("packs.pack_not_fit", build)] == expected


def test_the_reason_of_the_verdict_is_told_with_it():
    build = with_part(
        aircraft(), "pack", health_verdict="retire", health_reason="1008 of 1300 mAh."
    )
    (found,) = judge("packs.pack_not_fit", build).findings
    assert found.message.endswith("is worn. 1008 of 1300 mAh.")


def test_a_pack_that_was_taken_out_of_service_is_told_of_once():
    build = with_part(aircraft(), "pack", health_verdict="out_of_service", out_of_service="swollen")
    assert levels("packs.pack_not_fit", build) == []
    assert levels("records.unusable_part_fitted", build) == [("warning", "pack")]


NOT_FIT = "packs.pack_not_fit"
FULL = "packs.charger_set_to_another_voltage"


def judged(verdict, **reasons):
    """A pack with a verdict and the reasons for it, by what they are about."""
    return with_part(
        aircraft(),
        "pack",
        health_verdict=verdict,
        health_abouts=tuple(reasons),
        health_messages=tuple(reasons.values()),
    )


def test_a_pack_out_of_service_is_one_final_finding_with_all_its_reasons():
    build = judged("out_of_service", swelling="Swollen by 17 %.", low_cell="Cell 3 read 2.61 V.")
    (found,) = judge(NOT_FIT, build).findings
    assert found.is_final
    assert found.message.endswith("must not be used. Swollen by 17 %. Cell 3 read 2.61 V.")


@pytest.mark.parametrize("verdict", ["watch", "retire"])
def test_causes_with_a_rule_of_their_own_are_not_told_twice(verdict):
    assert levels(NOT_FIT, judged(verdict, capacity="77.5 % of rated.")) == []


def test_other_causes_are_told_by_themselves():
    build = judged("watch", capacity="88 % of rated.", inspection="Inspected after a crash.")
    (found,) = judge(NOT_FIT, build).findings
    assert found.message.endswith("is to be watched. Inspected after a crash.")


@pytest.mark.parametrize(
    ("about", "settled_by"),
    [
        ("cycles", "a log of three cycles or more"),
        ("capacity", "its capacity, from a full charge and a discharge in a tester"),
    ],
)
def test_what_the_log_cannot_tell_is_not_judged(about, settled_by):
    build = judged("cannot_tell", **{about: "Not known."})
    assert missing(NOT_FIT, build) == [f"Pack (Dunmarrow 4×1300): {settled_by}"]


def test_a_log_that_contradicts_itself_is_told_elsewhere():
    build = judged("cannot_tell", log="1720 mAh out of 1500 mAh.")
    assert (levels(NOT_FIT, build), missing(NOT_FIT, build)) == ([], [])


def test_a_pack_out_of_service_is_not_told_of_as_swollen_too():
    build = with_part(aircraft(), "pack", height_mm=34.0, health_verdict="out_of_service")
    assert (levels(SWOLLEN, build), missing(SWOLLEN, build)) == ([], [])


# A cell of 4.20 V charged to 4.35 V.
@pytest.mark.parametrize(
    ("set_to", "full", "expected"),
    [(4.35, 4.2, ["warning"]), (4.2, 4.2, []), (4.2, 4.35, ["note"]), (None, 4.2, [])],
)
def test_the_voltage_the_charger_is_set_to(set_to, full, expected):
    build = with_ground(aircraft(), "charger", cell_full_v=set_to)
    build = with_part(build, "pack", cell_full_v=full)
    assert [level for level, _ in levels(FULL, build)] == expected


def test_the_setting_is_not_judged_without_the_packs_full_voltage():
    build = with_ground(aircraft(), "charger", cell_full_v=4.2)
    build = with_part(build, "pack", cell_full_v=None)
    assert missing(FULL, build) == ["Pack (Dunmarrow 4×1300): cell full (V)"]
