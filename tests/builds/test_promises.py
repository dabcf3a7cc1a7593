"""Claims and loans of parts, as the records of a build tell them."""

from datetime import timedelta

import pytest
from django.utils import timezone

from builds.promises import overdue_days
from builds.snapshot import part_records
from inventory.models import Part
from tests.factories import ClaimFactory, LoanFactory, UserFactory, part_of

pytestmark = pytest.mark.django_db


def record(part):
    return part_records(Part.objects.filter(pk=part.pk))[part.pk]


def in_days(days):
    return timezone.localdate() + timedelta(days=days)


def test_a_claim_of_today_is_told_with_its_name(user):
    claimant = UserFactory()
    part = ClaimFactory(part=part_of("gps", user), claimant=claimant).part
    assert (record(part).claimed_by, record(part).claimed_by_id) == (
        claimant.username, claimant.pk,
    )  # fmt: skip


def test_a_claim_that_ran_out_or_ended_is_not_told(user):
    late = ClaimFactory(part=part_of("gps", user), until_on=in_days(-1)).part
    ended = ClaimFactory(part=part_of("gps", user), ended_at=timezone.now()).part
    assert record(late).claimed_by_id is None
    assert record(ended).claimed_by_id is None


@pytest.mark.parametrize(("days", "expected"), [(-3, 3), (0, None), (5, None)])
def test_a_loan_is_told_and_since_when_it_is_overdue(user, days, expected):
    borrower = UserFactory()
    part = LoanFactory(part=part_of("gps", user), borrower=borrower, due_on=in_days(days)).part
    assert (record(part).lent_to, record(part).overdue_days) == (borrower.username, expected)


def test_a_loan_without_a_day_is_never_overdue():
    assert overdue_days(None) is None


def test_a_part_that_is_promised_to_nobody(user):
    plain = record(part_of("gps", user))
    assert (plain.claimed_by, plain.lent_to_id, plain.overdue_days) == ("", None, None)
