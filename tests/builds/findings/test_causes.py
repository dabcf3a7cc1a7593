"""One fault takes one line."""

from dataclasses import replace

from builds.findings import Finding, Level, by_cause

LEFT = Finding("rails.low", Level.CAUTION, "Left: 5 V.", "Raise it.", (("supply_v", 5.0),), "left")
RIGHT = replace(LEFT, message="Right: 5 V.", position="right")


def test_two_places_with_one_cause_are_one_group():
    assert by_cause([LEFT, RIGHT]) == ((LEFT, RIGHT),)


def test_other_numbers_are_another_cause():
    other = replace(RIGHT, numbers=(("supply_v", 4.8),))
    assert by_cause([LEFT, other]) == ((LEFT,), (other,))


def test_another_level_rule_or_remedy_is_another_cause():
    for other in (
        replace(RIGHT, level=Level.WARNING),
        replace(RIGHT, rule="rails.high"),
        replace(RIGHT, remedy="Lower it."),
    ):
        assert len(by_cause([LEFT, other])) == 2


def test_groups_keep_the_order_of_their_first():
    other = replace(LEFT, rule="fit.loose")
    assert by_cause([LEFT, other, RIGHT]) == ((LEFT, RIGHT), (other,))
