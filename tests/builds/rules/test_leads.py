"""Leads and plugs. Worked cases: common practice, no source, where none is named."""

import pytest

from tests.builds.records_builder import aircraft, levels, missing, numbers, with_part, without

PLUG = "leads.pack_does_not_plug_in"
LOAD = "leads.main_lead_overloaded"
LONG = "leads.long_lead_without_capacitor"


def lead(**changes):
    return with_part(aircraft(), "lead", **changes)


@pytest.mark.parametrize(
    ("plug", "gender", "expected"),
    [("T60", "plug", []), ("T60", "socket", ["caution"]), ("T30", "plug", ["caution"])],
)
def test_plug_of_the_pack_against_the_lead(plug, gender, expected):
    build = lead(plug_a=plug, plug_a_gender=gender)
    assert [level for level, _ in levels(PLUG, build)] == expected


def test_either_end_of_the_lead_will_do():
    build = lead(plug_a="T30", plug_b="T60", plug_b_gender="plug")
    assert levels(PLUG, build) == []


def test_the_plug_is_not_judged_without_a_lead():
    assert missing(PLUG, without(aircraft(), "lead")) == [
        "the lead to the pack, as a fitted part with its plugs"
    ]


def test_the_plug_is_not_judged_without_its_gender():
    assert missing(PLUG, lead(plug_a_gender=None)) == [
        "the gender of the plug on the lead to the pack"
    ]


# 34 A through a plug for 30 A; 45 A are one and a half times as much.
@pytest.mark.parametrize(
    ("current", "expected"),
    [(34.0, ["caution"]), (45.1, ["warning"]), (45.0, ["caution"]), (30.0, [])],
)
def test_current_against_the_leads_rating(current, expected):
    found = levels(LOAD, lead(current_rating_a=30.0), current_max_a=current)
    assert [level for level, _ in found] == expected


# Gauge 18, 0.6 m there and back: 20.95 mohm/m × 0.6 m × 34 A = 0.43 V, 14.5 W. IEC 60028 and
# ASTM B258.
def test_loss_in_a_thin_lead():
    build = with_part(lead(gauge_awg=18.0, loop_length_mm=600.0), "pack", cell_count=3)
    found = numbers(LOAD, build, current_max_a=34.0)
    assert found["drop_v"] == pytest.approx(0.43, abs=0.005)
    assert found["heat_w"] == pytest.approx(14.5, abs=0.1)


def test_a_lead_without_the_packs_plug_is_not_the_main_one():
    build = lead(plug_a="small", current_rating_a=1.0)
    assert (levels(LOAD, build), missing(LOAD, build)) == ([], [])


def test_the_lead_is_not_judged_unless_its_gauge_is_known():
    assert missing(LOAD, lead(gauge_awg=None)) == ["Lead (lead): gauge (AWG)"]


# 14 mΩ/m as tested over 1.7 m at 37 A: 0.88 V (Ohm's law), over 3 % of 16.8 V.
def test_a_resistance_as_tested_comes_before_that_of_the_gauge():
    build = lead(gauge_awg=None, resistance_mohm_m=14.0, loop_length_mm=1700.0)
    found = numbers(LOAD, build, current_max_a=37.0)
    assert found["drop_v"] == pytest.approx(0.881, abs=0.001)
    assert found["heat_w"] == pytest.approx(32.6, abs=0.05)


# 3 % of 16.8 V are 0.504 V: 10 mΩ/m over 1.26 m at 40 A.
@pytest.mark.parametrize(("loop", "expected"), [(1260.0, []), (1261.0, ["caution"])])
def test_loss_at_the_limit(loop, expected):
    build = lead(resistance_mohm_m=10.0, loop_length_mm=loop)
    assert [level for level, _ in levels(LOAD, build, current_max_a=40.0)] == expected


def long_lead(capacitor, loop=640.0, **changes):
    return with_part(lead(loop_length_mm=loop, **changes), "controller", capacitor_uf=capacitor)


# 32 cm of lead and 0 µF.
@pytest.mark.parametrize(
    ("loop", "capacitor", "expected"),
    [(640.0, 0.0, ["caution"]), (640.0, 330.0, []), (500.0, 0.0, []), (502.0, 0.0, ["caution"])],
)
def test_a_long_lead_wants_a_capacitor(loop, capacitor, expected):
    assert [level for level, _ in levels(LONG, long_lead(capacitor, loop))] == expected


def test_the_length_is_shown():
    assert numbers(LONG, long_lead(0.0)) == {
        "length_mm": 320.0, "longest_mm": 250.0, "capacitor_uf": 0,
    }  # fmt: skip


def test_a_capacitor_in_the_lead_will_do():
    assert levels(LONG, long_lead(0.0, capacitor_uf=1000.0)) == []


def test_a_capacitor_nobody_spoke_of_is_asked_for():
    assert missing(LONG, long_lead(None)) == ["Controller (Ostrelka 50): capacitor (µF)"]


def test_a_lead_of_unknown_length_is_not_judged():
    assert missing(LONG, long_lead(0.0, None)) == ["Lead (lead): loop length (mm)"]
