"""How worn the pack is. Worked cases: common practice, no source."""

import pytest

from tests.builds.records_builder import aircraft, judge, levels, missing, numbers, with_part

CAPACITY = "ageing.capacity_low"
RISEN = "ageing.resistance_risen"
CLASS = "ageing.resistance_high_for_class"
LOG = "ageing.log_contradicts_itself"
DUTY = "ageing.worn_pack_for_hard_duty"
PACK = "Pack (Dunmarrow 4×1300)"
RULES = [CAPACITY, RISEN, CLASS, LOG, DUTY]


def pack(**changes):
    return with_part(aircraft(), "pack", **changes)


# 77.5 % of the rated capacity.
@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        (97.0, []),
        (90.0, []),
        (89.9, ["note"]),
        (80.0, ["note"]),
        (77.5, ["caution"]),
        (70.0, ["caution"]),
        (69.9, ["warning"]),
    ],
)
def test_capacity_that_is_left(percent, expected):
    build = pack(capacity_percent=percent, capacity_now_mah=13 * percent)
    assert [level for level, _ in levels(CAPACITY, build)] == expected


def test_capacity_is_not_judged_unless_the_log_tells_it():
    build = pack(capacity_percent=None)
    assert missing(CAPACITY, build) == [f"{PACK}: capacity left, of rated (%)"]


# 2.72 times the first resistance.
@pytest.mark.parametrize(
    ("ratio", "expected"),
    [(1.05, []), (1.5, []), (1.6, ["note"]), (2.0, ["note"]), (2.72, ["caution"])],
)
def test_resistance_against_the_first(ratio, expected):
    assert [level for level, _ in levels(RISEN, pack(resistance_ratio=ratio))] == expected


@pytest.mark.parametrize(
    ("degrees", "ending"), [(6.0, " (last read at 6.0 °C)"), (22.0, ""), (None, "")]
)
def test_resistance_that_cannot_be_compared_is_not_judged(degrees, ending):
    build = pack(resistance_ratio=None, resistance_temperature_c=degrees)
    wanted = f"{PACK}: its resistance, early and now, by one method at 20 to 25 °C"
    assert missing(RISEN, build) == [f"{wanted}{ending}"]


# 10.6 mOhm x 1.3 Ah are 13.8 mOhm Ah.
@pytest.mark.parametrize(
    ("mohm", "ratio", "expected"),
    [
        (10.6, None, ["caution"]),
        (10.6, 1.2, ["note"]),
        (10.6, 2.7, []),
        (7.0, None, ["note"]),
        (8.0 / 1.3, None, []),
        (4.0, None, []),
    ],
)
def test_resistance_beside_other_packs(mohm, ratio, expected):
    build = pack(cell_resistance_mohm=[mohm] * 4, resistance_ratio=ratio)
    assert [level for level, _ in levels(CLASS, build)] == expected


def test_lithium_ion_is_not_compared_with_lithium_polymer():
    build = pack(chemistry="li_ion", cell_resistance_mohm=[20.0] * 4)
    assert (levels(CLASS, build), missing(CLASS, build)) == ([], [])


def test_a_cold_reading_is_not_compared():
    build = pack(cell_resistance_mohm=[20.0] * 4, resistance_temperature_c=6.0)
    assert levels(CLASS, build) == []
    assert missing(CLASS, build)[0].endswith("(last read at 6.0 °C)")


def test_the_class_is_not_judged_without_a_reading():
    build = pack(cell_resistance_mohm=None)
    assert missing(CLASS, build) == [f"{PACK}: resistance of each cell (mΩ)"]


def test_a_log_that_cannot_be_true():
    build = pack(log_contradictions=("1720 mAh out of a pack of 1500 mAh.", "In the future."))
    (found,) = judge(LOG, build).findings
    assert (found.level.label, dict(found.numbers)) == ("caution", {"contradiction_count": 2})
    assert "1720 mAh" in found.message


def test_a_log_without_contradictions_is_silent():
    assert levels(LOG, pack()) == []


@pytest.mark.parametrize(
    ("verdict", "is_thrown", "layout", "expected"),
    [
        ("retire", True, "flying_wing", ["warning"]),
        ("retire", False, "flying_wing", []),
        ("retire", None, "multirotor", ["warning"]),
        ("watch", True, "flying_wing", []),
        ("fit", True, "multirotor", []),
    ],
)
def test_a_worn_pack_and_its_duty(verdict, is_thrown, layout, expected):
    build = with_part(aircraft(is_hand_launched=is_thrown), "airframe", layout=layout)
    build = with_part(build, "pack", health_verdict=verdict)
    found = judge(DUTY, build).findings
    assert [one.level.label for one in found] == expected
    assert not any(one.is_final for one in found)


def test_the_duty_is_not_judged_unless_known():
    build = with_part(aircraft(is_hand_launched=None), "pack", health_verdict="retire")
    assert missing(DUTY, build) == ["this build: is it thrown to take off"]


@pytest.mark.parametrize("rule", RULES)
def test_a_pack_out_of_service_is_told_of_elsewhere(rule):
    build = pack(
        health_verdict="out_of_service",
        capacity_percent=50.0,
        resistance_ratio=4.0,
        log_contradictions=("No.",),
    )
    assert (levels(rule, build), missing(rule, build)) == ([], [])


def test_numbers_of_a_worn_pack():
    assert numbers(CAPACITY, pack(capacity_percent=77.5)) == {"capacity_percent": 77.5}
    assert numbers(RISEN, pack(resistance_ratio=2.72)) == {"resistance_ratio": 2.72}
