"""The queue behind a part, terms of an offer, extension, transfer, loss, and a club's rules."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.management import call_command
from django.utils import timezone

from hangar.clubs.models import Role
from hangar.errors import Conflict, NotAllowed, UserError
from inventory import operations
from inventory.models import Claim, Notice, NoticeChoice, PartEvent
from tests.factories import (
    ClubFactory,
    LoanFactory,
    MembershipFactory,
    OfferFactory,
    keeper_of,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def part(club):
    return part_of("servo", club)


def in_days(days):
    return timezone.localdate() + timedelta(days=days)


def test_who_is_next_gets_the_part_when_the_claim_ends_and_is_told(club, part):
    first, second, third = (member_of(club) for _ in range(3))
    claim = operations.claim_part(part, by=first)
    wait = operations.join_queue(part, by=second, days=5, purpose="trainer")
    operations.join_queue(part, by=third)
    operations.release_claim(claim, by=first)
    granted = part.claims.open().get()
    wait.refresh_from_db()
    assert (granted.claimant, granted.until_on, granted.purpose) == (second, in_days(5), "trainer")
    assert wait.ended_at
    assert second.notices.get().kind == "granted"
    assert not third.notices.exists()


def test_who_is_next_gets_the_part_when_it_comes_back_whole(club, part):
    loan = operations.lend_part(part, to=member_of(club), by=keeper_of(club))
    waiting = member_of(club)
    operations.join_queue(part, by=waiting)
    operations.return_loan(loan, by=keeper_of(club), condition="good")
    assert part.claims.open().get().claimant == waiting


def test_a_part_that_comes_back_damaged_is_suspect_goes_to_nobody_and_is_told(club, part):
    officer = member_of(club, Role.OFFICER)
    loan = operations.lend_part(part, to=member_of(club), by=keeper_of(club))
    operations.join_queue(part, by=member_of(club))
    operations.return_loan(loan, by=keeper_of(club), condition="good", damage="horn snapped")
    part.refresh_from_db()
    assert part.condition == "suspect"
    assert not part.claims.open().exists()
    assert "horn snapped" in officer.notices.get(kind="damaged").text


def test_a_claim_that_ran_out_goes_to_who_is_next_and_not_to_a_newcomer(club, part):
    claim = operations.claim_part(part, by=member_of(club))
    waiting = member_of(club)
    operations.join_queue(part, by=waiting)
    Claim.objects.filter(pk=claim.pk).update(until_on=in_days(-1))
    call_command("notices")
    assert part.claims.open().get().claimant == waiting
    with pytest.raises(Conflict):
        operations.claim_part(part, by=member_of(club))


def test_nobody_waits_for_a_part_that_is_free(club, part):
    with pytest.raises(Conflict, match="claim it"):
        operations.join_queue(part, by=member_of(club))


def test_who_left_the_club_is_passed_over(club, part):
    first, gone, stays = (member_of(club) for _ in range(3))
    claim = operations.claim_part(part, by=first)
    operations.join_queue(part, by=gone)
    operations.join_queue(part, by=stays)
    gone.memberships.update(left_at=timezone.now())
    operations.release_claim(claim, by=first)
    assert part.claims.open().get().claimant == stays


def test_a_part_to_be_asked_for_is_put_aside_once_its_owner_agrees(club, user):
    MembershipFactory(user=user, club=club)
    part = part_of("servo", user)
    OfferFactory(part=part, club=club, terms="ask")
    wanting = member_of(club)
    with pytest.raises(Conflict, match="asked first"):
        operations.claim_part(part, by=wanting)
    wait = operations.join_queue(part, by=wanting, days=3)
    assert user.notices.get().kind == "asked"
    operations.grant_wait(wait, by=user)
    assert part.claims.open().get().claimant == wanting


def test_a_keeper_claims_for_another_and_it_shows(club, part):
    keeper, other = keeper_of(club), member_of(club)
    claim = operations.claim_part(part, by=keeper, claimant=other)
    assert (claim.claimant, claim.by) == (other, keeper)
    assert f"{other}, through {keeper}" in part.events.get().text
    with pytest.raises(NotAllowed):
        operations.claim_part(part_of("servo", club), by=member_of(club), claimant=other)


def test_a_borrower_extends_within_the_rule_while_nobody_waits(club, part):
    operations.save_lending_rule(club=club, by=member_of(club, Role.OFFICER), days_max=14)
    borrower = member_of(club)
    loan = operations.lend_part(part, to=borrower, by=keeper_of(club), due_on=in_days(7))
    operations.extend_loan(loan, due_on=in_days(14), by=borrower)
    with pytest.raises(UserError, match="14 days at most"):
        operations.extend_loan(loan, due_on=in_days(15), by=borrower)


def test_a_borrower_asks_where_the_club_has_no_rule(club, part):
    borrower = member_of(club)
    loan = operations.lend_part(part, to=borrower, by=keeper_of(club), due_on=in_days(7))
    with pytest.raises(NotAllowed):
        operations.extend_loan(loan, due_on=in_days(8), by=borrower)


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ({"kind": "servo", "role_least": "officer"}, "officer"),
        ({"membership_days_min": 30}, "30 days of membership"),
        ({"days_max": 5}, "5 days at most"),
        ({"parts_max": 1}, "1 of these at a time"),
    ],
)
def test_a_rule_of_the_club_is_kept(club, part, rule, words):
    operations.save_lending_rule(club=club, by=member_of(club, Role.OFFICER), **rule)
    person = member_of(club)
    LoanFactory(part=part_of("servo", club), borrower=person)
    with pytest.raises(UserError, match=words):
        operations.claim_part(part, by=person, until_on=in_days(6))


def test_a_part_passed_on_leaves_offers_and_place_behind_and_keeps_its_history(club, user):
    MembershipFactory(user=user, club=club)
    other = member_of(club)
    part = part_of("servo", user)
    OfferFactory(part=part, club=club)
    operations.transfer_part(part, by=user, person=other)
    assert part.person == other
    assert not part.offers.open().exists()
    assert part.events.get().text == f"Passed from {user} to {other}."
    assert other.notices.get().kind == "transferred"


def test_a_keeper_does_not_give_away_what_is_the_clubs(club, part):
    with pytest.raises(NotAllowed):
        operations.transfer_part(part, by=keeper_of(club), person=member_of(club))


def test_a_lost_part_ends_its_loan_and_is_told_to_its_keepers(club, part):
    keeper, borrower = keeper_of(club), member_of(club)
    loan = operations.lend_part(part, to=borrower, by=keeper)
    operations.report_lost(part, by=borrower, note="in the corn")
    loan.refresh_from_db()
    assert loan.ended_at
    assert loan.was_lost
    assert part.out_of_service == "lost"
    assert keeper.notices.get(kind="lost")


def test_pieces_missing_from_a_bag_are_counted_and_told(club):
    bag = part_of("propeller", club, is_bag=True, count=10)
    keeper, officer = keeper_of(club), member_of(club, Role.OFFICER)
    loan = operations.lend_part(bag, to=member_of(club), by=keeper)
    operations.return_loan(loan, by=keeper, condition="good", count=7)
    bag.refresh_from_db()
    assert bag.count == 7
    assert "7 of 10 pieces" in officer.notices.get().text


def test_due_days_are_told_once_however_often_the_command_runs(club, part):
    loan = operations.lend_part(part, to=member_of(club), by=keeper_of(club), due_on=in_days(2))
    for _ in range(2):
        call_command("notices")
    assert loan.borrower.notices.filter(kind="due_soon").count() == 1
    loan.due_on = in_days(-1)
    loan.save()
    for _ in range(2):
        call_command("notices")
    assert Notice.objects.filter(kind="overdue").count() == 2


def test_a_notice_is_mailed_when_the_change_is_kept_unless_turned_off(
    club, part, django_capture_on_commit_callbacks
):
    told, quiet = member_of(club), member_of(club)
    NoticeChoice.objects.create(person=quiet, kind="granted", by_mail=False)
    with django_capture_on_commit_callbacks(execute=True):
        operations.claim_part(part, by=keeper_of(club), claimant=told)
        operations.claim_part(part_of("servo", club), by=keeper_of(club), claimant=quiet)
    assert [message.to for message in mail.outbox] == [[told.email]]
    assert quiet.notices.get().mailed_at is None


def test_who_was_offered_a_part_sees_its_history_since_then_and_no_names_of_others(user):
    part = part_of("servo", user)
    old = operations.note_event(part, "changed", "Before.", by=user)
    PartEvent.objects.filter(pk=old.pk).update(at=timezone.now() - timedelta(days=9))
    here, there = ClubFactory(), ClubFactory()
    for club in (here, there):
        MembershipFactory(user=user, club=club)
        operations.offer_part(part, club=club, by=user)
    operations.claim_part(part, by=member_of(there))
    operations.record_measurement(part, name="mass_g", value=9.0, by=user)
    seen = PartEvent.objects.visible_to(member_of(here)).filter(part=part)
    assert [event.verb for event in seen] == ["measured"]
    assert PartEvent.objects.visible_to(user).filter(part=part).count() == 5
