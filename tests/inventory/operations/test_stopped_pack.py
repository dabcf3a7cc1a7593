"""A pack out of service goes nowhere until a named person has inspected it: common practice, no
source."""

import pytest

from builds.models import Fitting
from builds.operations import fit_part
from hangar.clubs.models import Role
from hangar.errors import Conflict, UserError
from inventory import operations
from inventory.models import Claim, Loan, Offer
from tests.factories import BuildFactory, ClubFactory, MembershipFactory, member_of, part_of

pytestmark = pytest.mark.django_db

WHY = "out of service: dent in one side"
FINDING = "No dent, cells within 5 mV, mass as bought."


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def keeper(club):
    return member_of(club, Role.KEEPER)


@pytest.fixture
def pack(club, keeper):
    pack = part_of("pack", club)
    operations.take_out_of_service(pack, reason="dent in one side", by=keeper)
    return pack


def test_it_is_not_lent(club, keeper, pack):
    with pytest.raises(Conflict, match=WHY):
        operations.lend_part(pack, to=member_of(club), by=keeper)
    assert not Loan.objects.exists()


def test_it_is_not_claimed(club, pack):
    with pytest.raises(Conflict, match=WHY):
        operations.claim_part(pack, by=member_of(club))
    assert not Claim.objects.exists()


def test_it_is_not_offered(club, user):
    MembershipFactory(club=club, user=user)
    own = part_of("pack", user)
    operations.take_out_of_service(own, reason="dent in one side", by=user)
    with pytest.raises(Conflict, match=WHY):
        operations.offer_part(own, club=club, by=user)
    assert not Offer.objects.exists()


def test_it_is_not_fitted(club, keeper, pack):
    build = BuildFactory(club=club, by=keeper)
    with pytest.raises(Conflict, match="An inspection comes first"):
        fit_part(build.positions.get(key="pack"), pack, by=keeper)
    assert not Fitting.objects.open().filter(part=pack).exists()


def test_it_is_inspected_only_with_what_was_found(keeper, pack):
    with pytest.raises(UserError) as caught:
        operations.return_to_service(pack, finding="fine", by=keeper)
    assert caught.value.field == "finding"
    pack.refresh_from_db()
    assert pack.out_of_service


def test_once_inspected_it_is_lent_and_the_log_names_who_looked(club, keeper, pack):
    operations.return_to_service(pack, finding=FINDING, by=keeper)
    entry = pack.log.get(kind="inspection")
    assert (entry.by, entry.note) == (keeper, FINDING)
    assert operations.lend_part(pack, to=member_of(club), by=keeper).part == pack
