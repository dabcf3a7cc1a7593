"""Every rule fires when one thing is wrong, and only the rules that should."""

import pytest

import builds.rules  # noqa: F401
from builds.figures import figures_of
from builds.findings import book
from tests.builds.records_builder import aircraft
from tests.builds.rules.mutations import MUTATIONS, ONLY_GAPS


def fired(build):
    return {finding.rule for finding in book.judge(build, figures_of(build)).findings}


def test_every_rule_has_its_mutation():
    assert {rule.id for rule in book} == set(MUTATIONS) | ONLY_GAPS


def test_no_rule_fires_before_anything_is_wrong():
    assert fired(aircraft()) == set()


@pytest.mark.parametrize("rule_id", sorted(MUTATIONS))
def test_the_rule_meant_fires_and_no_other_than_may(rule_id):
    mutation = MUTATIONS[rule_id]
    rules = fired(mutation.build())
    assert rule_id in rules
    assert rules - {rule_id} <= set(mutation.others)


@pytest.mark.parametrize("rule_id", sorted(MUTATIONS))
def test_no_other_rule_is_allowed_that_stays_silent(rule_id):
    mutation = MUTATIONS[rule_id]
    assert set(mutation.others) <= fired(mutation.build())
