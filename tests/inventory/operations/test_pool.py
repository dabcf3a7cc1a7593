"""Claims that run out, days that have passed, parts that are in an aircraft."""

from datetime import timedelta

import pytest
from django.utils import timezone

from hangar.clubs.models import Role
from hangar.errors import Conflict, UserError
from inventory import operations
from inventory.models import Claim, Part
from tests.factories import ClaimFactory, ClubFactory, member_of, part_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def part(club):
    return part_of("servo", club)


def yesterday():
    return timezone.localdate() - timedelta(days=1)


def test_a_part_in_an_aircraft_is_not_claimed(club):
    part = part_of("servo", club, fitted_count=1, has_free=False)
    with pytest.raises(Conflict, match="in an aircraft"):
        operations.claim_part(part, by=member_of(club))


def test_a_bag_with_a_piece_left_is_claimed(club):
    bag = part_of("propeller", club, is_bag=True, count=3, fitted_count=2)
    assert operations.claim_part(bag, by=member_of(club)).part == bag


def test_a_claim_until_a_day_gone_is_refused_at_it(club, part):
    with pytest.raises(UserError) as caught:
        operations.claim_part(part, by=member_of(club), until_on=yesterday())
    assert caught.value.field == "until_on"
    operations.claim_part(part, by=member_of(club), until_on=timezone.localdate())


def test_a_loan_until_a_day_gone_is_refused_at_it(club, part):
    keeper = member_of(club, Role.KEEPER)
    with pytest.raises(UserError) as caught:
        operations.lend_part(part, to=member_of(club), by=keeper, due_on=yesterday())
    assert caught.value.field == "due_on"


def test_nothing_is_lent_to_its_owner(club, user):
    part = part_of("servo", user)
    with pytest.raises(UserError) as caught:
        operations.lend_part(part, to=user, by=user)
    assert caught.value.field == "borrower"


def test_a_claim_that_ran_out_is_open_no_more(club, part):
    claim = ClaimFactory(part=part, until_on=yesterday())
    last_day = ClaimFactory(part=part_of("servo", club), until_on=timezone.localdate())
    assert list(Claim.objects.open()) == [last_day]
    assert list(Claim.objects.expired()) == [claim]


def test_what_was_seen_by_a_claim_is_seen_no_more_when_it_ran_out(part, user):
    claim = ClaimFactory(part=part, claimant=user, until_on=timezone.localdate())
    assert Part.objects.visible_to(user).filter(pk=part.pk).exists()
    Claim.objects.filter(pk=claim.pk).update(until_on=yesterday())
    assert not Part.objects.visible_to(user).filter(pk=part.pk).exists()


def test_a_claim_that_ran_out_makes_room_for_another(club, part):
    old = ClaimFactory(part=part, until_on=yesterday())
    new = operations.claim_part(part, by=member_of(club))
    old.refresh_from_db()
    assert old.ended_at
    assert list(part.claims.open()) == [new]
    assert [event.verb for event in part.events.order_by("pk")] == ["released", "claimed"]


@pytest.mark.parametrize(
    "write",
    [
        lambda part, by: operations.change_part(part, by=by, condition="good"),
        lambda part, by: operations.retire_part(part, by=by),
    ],
    ids=["change", "retire"],
)
def test_a_retired_part_is_neither_changed_nor_retired_again(user, write):
    part = part_of("servo", user, condition="retired")
    with pytest.raises(Conflict):
        write(part, user)
    assert not part.events.exists()
