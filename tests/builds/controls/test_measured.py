"""Records of throws. That a tenth is too much: common practice, no source."""

import pytest

from builds.controls import set_up_of
from tests.builds.controls.surfaces import elevon, reading, wing


def found(*throws, **surface):
    build = wing(made := elevon(throws=throws, **surface))
    return set_up_of(build, made)


def test_two_records_of_one_throw_that_disagree_are_shown_and_none_is_used():
    seen = found(reading(up_mm=15.0), reading(up_mm=30.0))
    (conflict,) = seen.conflicts
    assert (conflict.axis, conflict.side, conflict.values_mm) == ("roll", "up", (15.0, 30.0))
    assert seen.compared == ()


@pytest.mark.parametrize(("other", "is_conflict"), [(12.6, False), (12.5, True)])
def test_a_tenth_of_the_larger_is_the_limit(other, is_conflict):
    assert bool(found(reading(up_mm=14.0), reading(up_mm=other)).conflicts) is is_conflict


def test_a_throw_larger_than_the_chord_is_a_conflict_of_its_own():
    conflicts = found(reading(up_mm=50.0), reading(up_mm=15.0)).conflicts
    assert [(one.values_mm, one.chord_mm) for one in conflicts] == [
        ((50.0,), 36.0),
        ((50.0, 15.0), None),
    ]


def test_records_at_different_travels_are_different_throws():
    seen = found(reading(up_mm=14.0, travel_percent=73), reading(up_mm=10.0, travel_percent=51))
    assert seen.conflicts == ()


def test_a_record_of_an_earlier_linkage_contradicts_nothing():
    seen = found(reading(up_mm=14.0, revision=5), reading(up_mm=20.0, revision=3), since_revision=4)
    assert seen.conflicts == ()
    assert [one.measured_mm for one in seen.compared] == [14.0]


def test_up_and_down_are_judged_apart():
    seen = found(reading(up_mm=14.0, down_mm=10.0), reading(up_mm=14.0, down_mm=13.0))
    assert [(one.axis, one.side) for one in seen.conflicts] == [("roll", "down")]
    assert [one.side for one in seen.compared] == ["up"]


# 72.9 % with the hole at 10 mm is worked out to give the 14 mm wanted (see the holes).
def test_a_measured_throw_stands_beside_what_the_linkage_should_give():
    (one,) = found(reading(up_mm=13.8, travel_percent=72.9068)).compared
    assert one.worked_mm == pytest.approx(14.0, abs=1e-3)
    assert one.is_as_worked_out
    assert one.is_as_wanted


def test_a_throw_that_falls_short_gets_more_travel():
    (one,) = found(reading(up_mm=13.0, travel_percent=70)).compared
    assert not one.is_as_wanted
    assert 70 < one.travel_percent < 80


def test_a_throw_far_from_what_is_worked_out_says_so():
    (one,) = found(reading(up_mm=11.0, travel_percent=72.9)).compared
    assert not one.is_as_worked_out


def test_without_a_travel_nothing_is_worked_out():
    (one,) = found(reading(up_mm=11.0)).compared
    assert (one.worked_mm, one.travel_percent) == (None, None)


def test_nothing_moving_takes_no_travel():
    (one,) = found(reading(up_mm=0.0, travel_percent=50)).compared
    assert one.travel_percent is None
