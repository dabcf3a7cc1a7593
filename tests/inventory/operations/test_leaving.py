"""What a person shares with a club when they leave it."""

import pytest

from builds.operations import fit_part
from hangar.clubs.models import Role
from hangar.clubs.operations import end_membership
from hangar.errors import Conflict
from tests.factories import (
    BuildFactory,
    ClaimFactory,
    ClubFactory,
    LoanFactory,
    MembershipFactory,
    OfferFactory,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def leaver(user, club):
    return MembershipFactory(user=user, club=club)


def leave(leaver):
    end_membership(membership=leaver, by=leaver.user)


def test_claims_on_parts_of_the_club_and_its_members_end(club, leaver):
    fellow = member_of(club)
    claims = [
        ClaimFactory(part=part_of("servo", owner), claimant=leaver.user) for owner in (club, fellow)
    ]
    leave(leaver)
    for claim in claims:
        claim.refresh_from_db()
        assert claim.ended_at
        assert claim.part.events.get().verb == "released"


def test_a_claim_on_a_part_of_oneself_stays(club, leaver):
    claim = ClaimFactory(part=part_of("servo", leaver.user), claimant=leaver.user)
    leave(leaver)
    claim.refresh_from_db()
    assert claim.ended_at is None


def test_a_claim_on_a_part_of_a_member_of_another_common_club_stays(club, leaver):
    other = ClubFactory()
    fellow = member_of(club)
    for person in (fellow, leaver.user):
        MembershipFactory(user=person, club=other)
    claim = ClaimFactory(part=part_of("servo", fellow), claimant=leaver.user)
    leave(leaver)
    claim.refresh_from_db()
    assert claim.ended_at is None


def test_offers_of_own_parts_to_the_club_end(club, leaver):
    offer = OfferFactory(part=part_of("servo", leaver.user), club=club)
    kept = OfferFactory(part=offer.part, club=ClubFactory())
    leave(leaver)
    offer.refresh_from_db()
    kept.refresh_from_db()
    assert offer.ended_at
    assert kept.ended_at is None


@pytest.mark.parametrize("is_removed", [False, True])
def test_what_is_on_loan_is_given_back_first(club, leaver, is_removed):
    part = part_of("servo", club)
    LoanFactory(part=part, borrower=leaver.user)
    claim = ClaimFactory(part=part_of("motor", club), claimant=leaver.user)
    by = member_of(club, Role.OFFICER) if is_removed else leaver.user
    with pytest.raises(Conflict, match=f"Give these back first: {part.code}"):
        end_membership(membership=leaver, by=by)
    leaver.refresh_from_db()
    claim.refresh_from_db()
    assert leaver.left_at is None
    assert claim.ended_at is None


def test_what_is_fitted_in_ones_own_aircraft_is_given_back_first(club, user):
    leaver = MembershipFactory(user=user, club=club, role=Role.KEEPER)
    build = BuildFactory(person=user)
    part = part_of("motor", club)
    fit_part(build.positions.get(key="motor"), part, by=user)
    with pytest.raises(Conflict, match=f"Give these back first: {part.code}"):
        leave(leaver)


def test_an_own_part_in_ones_own_aircraft_does_not_hinder(club, leaver):
    build = BuildFactory(person=leaver.user)
    fit_part(build.positions.get(key="motor"), part_of("motor", leaver.user), by=leaver.user)
    leave(leaver)
    leaver.refresh_from_db()
    assert leaver.left_at
