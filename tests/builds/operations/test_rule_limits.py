"""Limits of rules that clubs set, and whom they count for."""

import pytest

import builds.rules  # noqa: F401
from builds.findings import book
from builds.models import Build, RuleLimit
from builds.operations.rule_limits import set_rule_limit
from builds.snapshot import take_snapshot
from hangar.clubs.models import Role
from hangar.errors import Conflict, Missing, UserError
from tests.factories import BuildFactory, ClubFactory, MembershipFactory, UserFactory, member_of

RULE, LIMIT = next((rule, limit) for rule in book for limit in rule.limits)
NAME = f"{RULE.id}.{LIMIT.name}"
MIDDLE = (LIMIT.minimum + LIMIT.maximum) / 2


@pytest.fixture
def club(db):
    return ClubFactory()


@pytest.fixture
def officer(club):
    return member_of(club, Role.OFFICER)


def put(club, officer, value=MIDDLE, **changes):
    values = {"rule": RULE.id, "name": LIMIT.name} | changes
    return set_rule_limit(club=club, by=officer, value=value, **values)


def limits_of(build):
    return take_snapshot(Build.objects.select_related("club").get(pk=build.pk)).rule_limits


def test_a_clubs_limit_counts_for_its_builds_with_who_and_when(club, officer):
    row = put(club, officer)
    (value,) = limits_of(BuildFactory(club=club)).values()
    assert (value.value, value.source, value.at) == (MIDDLE, "club", row.at)
    assert (officer.username in value.by, str(club) in value.by) == (True, True)


def test_a_clubs_limit_counts_for_a_members_own_builds(club, officer):
    put(club, officer)
    assert set(limits_of(BuildFactory(person=member_of(club)))) == {NAME}


def test_a_clubs_limit_counts_for_nobody_elses_builds(club, officer):
    put(club, officer)
    assert limits_of(BuildFactory(person=UserFactory())) == {}
    assert limits_of(BuildFactory(club=ClubFactory())) == {}


def test_of_a_limit_set_twice_the_newest_counts_and_both_stay(club, officer):
    put(club, officer)
    put(club, officer, LIMIT.maximum)
    assert limits_of(BuildFactory(club=club))[NAME].value == LIMIT.maximum
    assert RuleLimit.objects.filter(club=club).count() == 2


def test_a_club_goes_back_to_common_practice(club, officer):
    put(club, officer)
    put(club, officer, None)
    assert limits_of(BuildFactory(club=club)) == {}


def test_where_a_members_clubs_differ_what_was_set_last_counts(club, officer):
    other = ClubFactory()
    person = member_of(club)
    MembershipFactory(user=person, club=other)
    put(club, officer)
    put(other, member_of(other, Role.OFFICER), LIMIT.maximum)
    assert limits_of(BuildFactory(person=person))[NAME].value == LIMIT.maximum


@pytest.mark.parametrize("role", [Role.MEMBER, Role.KEEPER])
def test_only_an_officer_sets_a_limit(club, role):
    with pytest.raises(Missing):
        put(club, member_of(club, role))


@pytest.mark.parametrize(
    "value", [LIMIT.minimum - 1, LIMIT.maximum * 2 + 1, float("nan"), float("inf")]
)
def test_a_value_out_of_bounds_is_refused_at_the_value(club, officer, value):
    with pytest.raises(UserError) as refused:
        put(club, officer, value)
    assert refused.value.field == "value"
    assert not RuleLimit.objects.exists()


@pytest.mark.parametrize("value", [LIMIT.minimum, LIMIT.maximum])
def test_a_value_at_its_bounds_is_taken(club, officer, value):
    assert put(club, officer, value).value == value


@pytest.mark.parametrize(
    ("changes", "field"), [({"rule": "no.such"}, "rule"), ({"name": "no_such_mm"}, "name")]
)
def test_a_limit_that_no_rule_declares_is_refused(club, officer, changes, field):
    with pytest.raises(UserError) as refused:
        put(club, officer, **changes)
    assert refused.value.field == field


def test_who_sets_a_limit_that_another_set_meanwhile_reads_so(club, officer):
    first = put(club, officer, instead_of=0)
    with pytest.raises(Conflict, match="meanwhile"):
        put(club, member_of(club, Role.OFFICER), LIMIT.maximum, instead_of=0)
    put(club, officer, LIMIT.maximum, instead_of=first.pk)
    assert limits_of(BuildFactory(club=club))[NAME].value == LIMIT.maximum


def test_a_note_has_an_end(club, officer):
    with pytest.raises(UserError) as refused:
        put(club, officer, note="x" * 301)
    assert refused.value.field == "note"
