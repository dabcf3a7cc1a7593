"""The calendar of due days (RFC 5545), read back by the icalendar package, and its secret."""

from datetime import date, timedelta

import pytest
from django.utils import timezone
from icalendar import Calendar

from inventory.operations.feeds import end_feed, renew_feed
from tests.factories import LoanFactory, UserFactory

pytestmark = pytest.mark.django_db


def feed(client, token):
    return client.get(f"/pool/calendar/{token}.ics")


def test_a_loan_is_a_whole_day_at_its_due_day(client):
    """RFC 5545, section 3.6.1: DTSTART as a DATE, DTEND the day after, UID and DTSTAMP required."""
    loan = LoanFactory(due_on=date(2999, 6, 14))
    answer = feed(client, renew_feed(loan.borrower))
    assert answer["Content-Type"].startswith("text/calendar")
    (event,) = Calendar.from_ical(answer.content).walk("VEVENT")
    assert event.decoded("dtstart") == date(2999, 6, 14)
    assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1)
    assert event["uid"] == f"loan-{loan.pk}-in@hangar.invalid"
    assert loan.part.code in event["summary"]
    assert event.decoded("dtstamp") <= timezone.now()


def test_words_with_line_ends_and_commas_come_back_as_they_were(client):
    loan = LoanFactory(due_on=date(2999, 6, 14), part__name="Spare, left; 9 g")
    (event,) = Calendar.from_ical(feed(client, renew_feed(loan.borrower)).content).walk("VEVENT")
    assert "Spare, left; 9 g" in event["summary"]


def test_a_feed_holds_nothing_of_others(client):
    LoanFactory(due_on=date(2999, 6, 14))
    answer = feed(client, renew_feed(UserFactory()))
    assert Calendar.from_ical(answer.content).walk("VEVENT") == []


def test_a_renewed_ended_closed_or_guessed_address_all_answer_the_same(client):
    person = UserFactory()
    old = renew_feed(person)
    new = renew_feed(person)
    assert feed(client, new).status_code == 200
    closed = UserFactory(is_active=False)
    gone = [feed(client, token) for token in ("x" * 43, old, renew_feed(closed))]
    end_feed(person)
    gone.append(feed(client, new))
    assert {answer.status_code for answer in gone} == {404}
    assert len({answer.content for answer in gone}) == 1


def test_the_secret_itself_is_not_kept():
    person = UserFactory()
    token = renew_feed(person)
    assert token not in str(vars(person.calendar_feed))
