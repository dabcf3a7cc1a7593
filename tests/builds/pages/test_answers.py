"""Pages of answers and of the limits of rules, as a person sends them."""

import pytest
from django.urls import reverse

import builds.rules  # noqa: F401
from builds.findings import book
from builds.models import Answer, RuleLimit
from hangar.clubs.models import Role
from tests.factories import BuildFactory, ClubFactory, member_of

EMPTY = "records.required_place_empty"
RULE, LIMIT = next((rule, limit) for rule in book for limit in rule.limits)


@pytest.fixture
def build(user):
    return BuildFactory(person=user)


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def shown(client, build, name="build_detail"):
    return client.get(reverse(f"builds:{name}", args=[build.pk])).content.decode()


def accept(client, build, reason="It flies without.", place=" "):
    body = {"rule": EMPTY, "place": place, "reason": reason}
    return client.post(reverse("builds:answer_list", args=[build.pk]), body)


def test_an_accepted_finding_stays_on_the_page_with_reason_and_name(client, build, user):
    assert accept(client, build).status_code == 302
    page = shown(client, build)
    assert "It flies without." in page
    assert ", 1 accepted" in page
    assert "Nothing is fitted in" in page


def test_the_form_of_the_build_page_carries_what_was_read(client, build):
    page = shown(client, build)
    start = page.index(f'name="rule" value="{EMPTY}"')
    place = page[start:].partition('name="place" value="')[2].partition('"')[0]
    assert accept(client, build, place=place).status_code == 302


def test_an_answer_without_a_reason_is_told_at_the_reason(client, build):
    answer = accept(client, build, reason="")
    assert answer.status_code == 400
    assert "Accepted, because" in answer.content.decode()
    assert not Answer.objects.exists()


def test_what_changed_since_is_told_and_not_accepted(client, build):
    answer = accept(client, build, place=f"{'0' * 32} ")
    assert answer.status_code == 400
    assert "changed since you read it" in answer.content.decode()


def test_an_answer_without_a_place_is_refused(client, build):
    body = {"rule": EMPTY, "reason": "It flies without."}
    answer = client.post(reverse("builds:answer_list", args=[build.pk]), body)
    assert answer.status_code == 400


def test_an_answer_is_taken_back_and_stays_in_the_list(client, build, user):
    accept(client, build)
    answer = Answer.objects.get()
    client.post(reverse("builds:answer_withdraw", args=[build.pk, answer.pk]))
    assert "was taken back" in shown(client, build, "answer_list")
    assert ", 1 accepted" not in shown(client, build)


def test_in_another_air_nothing_can_be_accepted(client, build):
    page = client.get(reverse("builds:build_detail", args=[build.pk]), {"elevation_m": "900"})
    assert 'name="reason"' not in page.content.decode()


def test_the_page_says_what_would_settle_most_of_what_was_not_judged(client, build):
    page = shown(client, build)
    assert "What would settle most of the rest" in page
    assert "checks judged" in " ".join(page.split()).replace("</strong>", "")


@pytest.fixture
def club(db):
    return ClubFactory()


def put(client, club, **changes):
    body = {"rule": RULE.id, "name": LIMIT.name, "value": f"{LIMIT.maximum:g}"} | changes
    return client.post(reverse("builds:rule_limits", args=[club.slug]), body)


def test_an_officer_sets_a_limit_and_the_rule_book_shows_it(client_of, club):
    officer = member_of(club, Role.OFFICER)
    client = client_of(officer)
    assert put(client, club, note="As agreed.").status_code == 302
    page = client.get(reverse("builds:rule_list")).content.decode()
    assert "As agreed." in page
    assert officer.username in page


def test_a_value_out_of_bounds_is_told_at_its_box(client_of, club):
    answer = put(client_of(member_of(club, Role.OFFICER)), club, value="1e9")
    assert answer.status_code == 400
    assert "This must be from" in answer.content.decode()
    assert not RuleLimit.objects.exists()


def test_a_member_reads_the_limits_and_sets_none(client_of, club):
    client = client_of(member_of(club))
    page = client.get(reverse("builds:rule_limits", args=[club.slug]))
    assert 'name="value"' not in page.content.decode()
    assert put(client, club).status_code == 403


def test_a_limit_that_no_rule_declares_is_missing(client_of, club):
    client = client_of(member_of(club, Role.OFFICER))
    assert put(client, club, rule="no.such").status_code == 404


def test_the_rule_book_shows_every_limit_with_its_bounds(client):
    page = client.get(reverse("builds:rule_list")).content.decode()
    for rule in book:
        for limit in rule.limits:
            assert limit.meaning[1:].replace("'", "&#x27;") in page
