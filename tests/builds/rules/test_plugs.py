"""Plugs between pack and lead. Worked cases: common practice, no source, where none is named."""

import pytest

from builds.findings import Level
from tests.builds.records_builder import (
    aircraft,
    judge,
    levels,
    missing,
    numbers,
    part,
    with_part,
    without,
)

RATING = "plugs.plug_overloaded"
POLARITY = "plugs.polarity_reversed"
ADAPTER = "plugs.adapter_in_the_way"


# 34 A through a plug for 30 A; above 45 A, one and a half times as much, it is a warning.
@pytest.mark.parametrize(
    ("current", "expected"),
    [(30.0, []), (34.0, ["caution"]), (45.0, ["caution"]), (45.1, ["warning"])],
)
def test_current_against_the_plugs_rating(current, expected):
    build = with_part(aircraft(), "pack", plug_rating_a=30.0)
    found = levels(RATING, build, pack_current_each_max_a=current, current_max_a=current)
    assert [level for level, _ in found] == expected


def test_an_overloaded_lead_and_its_plug_are_one_finding():
    build = with_part(aircraft(), "pack", plug_rating_a=30.0)
    build = with_part(build, "lead", current_rating_a=30.0)
    assert levels(RATING, build, pack_current_each_max_a=34.0, current_max_a=34.0) == []


def test_the_plug_is_not_judged_unless_its_rating_is_known():
    build = with_part(aircraft(), "pack", plug_rating_a=None)
    assert missing(RATING, build) == ["Pack (Dunmarrow 4×1300): plug rating (A)"]


def test_plus_on_minus_is_a_warning_that_nobody_can_wave_aside():
    build = with_part(aircraft(), "lead", plug_polarity="reversed")
    (found,) = judge(POLARITY, build).findings
    assert (found.level, found.position, found.is_final) == (Level.WARNING, "pack", True)
    assert dict(found.numbers) == {"pack": "usual", "lead": "reversed"}


def test_two_plugs_the_other_way_round_meet_as_they_should():
    build = with_part(aircraft(), "lead", plug_polarity="reversed")
    assert levels(POLARITY, with_part(build, "pack", plug_polarity="reversed")) == []


def test_the_polarity_is_not_judged_unless_it_is_known():
    build = with_part(aircraft(), "pack", plug_polarity=None)
    assert missing(POLARITY, build) == [
        "Pack (Dunmarrow 4×1300): plus and minus in the plug, by a meter"
    ]


def test_without_a_lead_there_is_no_polarity_to_compare():
    build = without(aircraft(), "lead")
    assert (levels(POLARITY, build), missing(POLARITY, build)) == ([], [])


def with_adapter(**changes):
    """The pack has T30; an adapter leads from it to the T60 of the harness."""
    build = with_part(aircraft(), "pack", plug="T30")
    adapter = {"plug_a": "T30", "plug_b": "T60", "plug_b_gender": "socket", "adapter_mohm": 1.2}
    return build.with_part(
        build.at("screws").id, part("lead", id=50, **{**adapter, "mass_g": 8.0, **changes})
    )


def test_an_adapter_is_noted_with_what_it_adds():
    assert levels(ADAPTER, with_adapter()) == [("note", "screws")]
    assert numbers(ADAPTER, with_adapter()) == {"adapter_mohm": 1.2, "mass_g": 8.0}


def test_a_harness_with_two_unlike_plugs_is_no_adapter():
    build = with_part(aircraft(), "lead", plug_b="bullet")
    assert (levels(ADAPTER, build), missing(ADAPTER, build)) == ([], [])


def test_a_lead_of_one_family_is_no_adapter():
    assert levels(ADAPTER, with_adapter(plug_b="T30")) == []


def test_what_an_adapter_adds_is_asked_for():
    build = with_adapter(adapter_mohm=None)
    assert levels(ADAPTER, build) == [("note", "screws")]
    assert missing(ADAPTER, build) == ["Screws (lead): adapter (mΩ)"]
