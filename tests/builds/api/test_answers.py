"""The API of answers to findings, of what settles most, and of the limits of rules."""

import pytest

import builds.rules  # noqa: F401
from builds.findings import book
from builds.models import Answer
from hangar.clubs.models import Role
from tests.factories import BuildFactory, ClubFactory, member_of

EMPTY = "records.required_place_empty"
RULE, LIMIT = next((rule, limit) for rule in book for limit in rule.limits)


@pytest.fixture
def build(user):
    return BuildFactory(person=user)


@pytest.fixture
def api(api_of, user):
    return api_of(user)


def at(build, tail):
    return f"/api/v1/builds/{build.pk}/{tail}"


def findings(api, build):
    said = api.get(at(build, "findings/")).json()
    return {finding["rule"]: finding for finding in said["findings"]}


def test_a_finding_says_what_it_rests_on_and_whose_it_is(api, build):
    found = findings(api, build)
    for finding in found.values():
        for given in finding["inputs"]:
            assert set(given) == {"what", "value", "source", "at", "by"}


def test_an_accepted_finding_stays_in_the_list_with_its_answer(api, build, user):
    digest = findings(api, build)[EMPTY]["digest"]
    body = {"rule": EMPTY, "reason": "It flies without.", "digest": digest}
    made = api.post(at(build, "answers/"), body, format="json")
    assert made.status_code == 201
    answer = findings(api, build)[EMPTY]["answer"]
    assert (answer["id"], answer["reason"], answer["by"]) == (
        made.json()["id"],
        "It flies without.",
        user.username,
    )


def test_the_same_again_answers_409(api, build):
    body = {"rule": EMPTY, "reason": "It flies without."}
    api.post(at(build, "answers/"), body, format="json")
    assert api.post(at(build, "answers/"), body, format="json").status_code == 409


def test_a_deleted_answer_is_taken_back_and_stays_listed(api, build):
    body = {"rule": EMPTY, "reason": "It flies without."}
    made = api.post(at(build, "answers/"), body, format="json").json()
    assert api.delete(at(build, f"answers/{made['id']}/")).status_code == 204
    (listed,) = api.get(at(build, "answers/")).json()["results"]
    assert listed["withdrawn_by"]
    assert findings(api, build)[EMPTY]["answer"] is None
    assert api.delete(at(build, f"answers/{made['id']}/")).status_code == 409


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"reason": "x"}, 400),
        ({"rule": "no.such", "reason": "x"}, 400),
        ({"rule": EMPTY, "reason": ""}, 400),
        ({"rule": EMPTY, "reason": "x", "position": "nowhere"}, 409),
        ({"rule": EMPTY, "reason": "x", "digest": "0"}, 409),
        ({"rule": EMPTY, "reason": "x", "pack": "nothing"}, 400),
        ({"rule": EMPTY, "reason": "x", "because": "y"}, 400),
    ],
)
def test_a_bad_answer_is_refused_and_none_is_made(api, build, body, status):
    answer = api.post(at(build, "answers/"), body, format="json")
    assert answer.status_code == status
    assert answer.json()["detail"]
    assert not Answer.objects.exists()


def test_missing_figures_come_with_how_many_checks_they_settle(api, build):
    settles = api.get(at(build, "findings/")).json()["settles"]
    ranks = [(-one["alone"], -one["checks"]) for one in settles]
    assert ranks == sorted(ranks)
    assert set(settles[0]) == {"missing", "checks", "alone", "position", "part"}


@pytest.fixture
def club(db):
    return ClubFactory()


def put(api, club, **changes):
    body = {"rule": RULE.id, "name": LIMIT.name, "value": LIMIT.maximum} | changes
    return api.post(f"/api/v1/clubs/{club.slug}/rule-limits/", body, format="json")


def test_a_limit_that_a_club_has_set_is_in_the_rule_book(api_of, club):
    api = api_of(member_of(club, Role.OFFICER))
    assert put(api, club, note="As agreed.").status_code == 201
    rule = api.get(f"/api/v1/rules/{RULE.id}/").json()
    (limit,) = [one for one in rule["limits"] if one["name"] == LIMIT.name]
    assert (limit["value"], limit["minimum"], limit["maximum"]) == (
        LIMIT.value,
        LIMIT.minimum,
        LIMIT.maximum,
    )
    (own,) = limit["clubs"]
    assert (own["club"], own["value"], own["note"]) == (club.slug, LIMIT.maximum, "As agreed.")
    (listed,) = [one for one in api.get("/api/v1/rules/").json()["results"] if one == rule]
    assert listed["is_final"] is RULE.is_final


def test_limits_are_listed_newest_first_and_say_which_counts(api_of, club):
    api = api_of(member_of(club, Role.OFFICER))
    put(api, club)
    put(api, club, value=None)
    rows = api.get(f"/api/v1/clubs/{club.slug}/rule-limits/").json()["results"]
    assert [(row["value"], row["is_newest"]) for row in rows] == [
        (None, True),
        (LIMIT.maximum, False),
    ]


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"value": 1e12}, "#/value"),
        ({"value": True}, "#/value"),
        ({"value": "much"}, "#/value"),
        ({"rule": "no.such"}, "#/rule"),
        ({"name": "no_such"}, "#/name"),
        ({"instead_of": -1}, "#/instead_of"),
    ],
)
def test_a_bad_limit_is_refused_at_its_name(api_of, club, changes, pointer):
    answer = put(api_of(member_of(club, Role.OFFICER)), club, **changes)
    assert answer.status_code == 400
    assert [error["pointer"] for error in answer.json()["errors"]] == [pointer]


def test_a_limit_that_another_set_meanwhile_answers_409(api_of, club):
    api = api_of(member_of(club, Role.OFFICER))
    put(api, club)
    assert put(api, club, instead_of=0).status_code == 409
