"""What a person may see, change, use and fit."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.utils import timezone

from hangar.clubs.models import Role
from inventory.kinds import DataSheet, Motor
from inventory.models import Claim, Loan, LogEntry, Measurement, Offer, Part, PartEvent, Place
from inventory.operations import note_event
from tests.factories import (
    SHEET_FACTORIES,
    ClaimFactory,
    ClubFactory,
    LoanFactory,
    LogEntryFactory,
    MembershipFactory,
    MotorFactory,
    OfferFactory,
    PartFactory,
    PlaceFactory,
    UserFactory,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db

ROLES = [Role.MEMBER, Role.KEEPER, Role.OFFICER]
KEEPING = [Role.KEEPER, Role.OFFICER]
DOORS = ["visible_to", "editable_by"]


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def stranger():
    """A member, and even officer, of another club."""
    return member_of(ClubFactory(), Role.OFFICER)


def can(person, part, door):
    return getattr(Part.objects, door)(person).filter(pk=part.pk).exists()


# Parts


@pytest.mark.parametrize("door", [*DOORS, "owned_by", "fittable_by", "candidates_for"])
def test_nobody_gets_nothing_at_any_door(door):
    PartFactory()
    assert not getattr(Part.objects, door)(AnonymousUser()).exists()


@pytest.mark.parametrize("door", [*DOORS, "owned_by", "fittable_by", "candidates_for"])
def test_an_owner_passes_every_door(user, door):
    assert can(user, PartFactory(person=user), door)


@pytest.mark.parametrize("door", [*DOORS, "owned_by", "fittable_by", "candidates_for"])
def test_a_stranger_passes_none(stranger, club, door):
    assert not can(stranger, PartFactory(), door)
    assert not can(stranger, PartFactory(club=club), door)


@pytest.mark.parametrize("role", ROLES)
def test_members_see_the_parts_of_their_club_and_keepers_change_and_fit_them(club, role):
    part, person = PartFactory(club=club), member_of(club, role)
    assert can(person, part, "visible_to")
    assert can(person, part, "candidates_for")
    assert can(person, part, "editable_by") is (role in KEEPING)
    assert can(person, part, "fittable_by") is (role in KEEPING)


@pytest.mark.parametrize("role", ROLES)
def test_who_left_the_club_sees_its_parts_no_more(club, role):
    gone = MembershipFactory(club=club, role=role, left_at=timezone.now()).user
    part = PartFactory(club=club)
    assert not any(can(gone, part, door) for door in (*DOORS, "fittable_by", "candidates_for"))


@pytest.mark.parametrize("role", ROLES)
def test_an_offer_lets_members_see_a_part_and_nobody_change_or_fit_it(club, role):
    part, person = PartFactory(), member_of(club, role)
    OfferFactory(part=part, club=club)
    assert can(person, part, "visible_to")
    assert can(person, part, "candidates_for")
    assert not can(person, part, "editable_by")
    assert not can(person, part, "fittable_by")


def test_an_offer_that_ended_lets_nobody_see(club):
    part = PartFactory()
    OfferFactory(part=part, club=club, ended_at=timezone.now())
    assert not can(member_of(club), part, "visible_to")


def test_an_offer_to_one_club_shows_nothing_to_another(stranger, club):
    part = PartFactory()
    OfferFactory(part=part, club=club)
    assert not can(stranger, part, "visible_to")


def test_a_borrower_sees_and_fits_what_was_lent_and_does_not_change_it(user):
    part = PartFactory()
    LoanFactory(part=part, borrower=user)
    assert can(user, part, "visible_to")
    assert can(user, part, "fittable_by")
    assert not can(user, part, "editable_by")


def test_an_owner_cannot_fit_what_is_lent_out(user):
    part = PartFactory(person=user)
    LoanFactory(part=part)
    assert can(user, part, "editable_by")
    assert not can(user, part, "fittable_by")
    assert not can(user, part, "candidates_for")


def test_a_keeper_cannot_fit_what_is_lent_out(club):
    part = PartFactory(club=club)
    LoanFactory(part=part)
    assert not can(member_of(club, Role.KEEPER), part, "fittable_by")


def test_a_loan_that_ended_gives_the_part_back(user):
    part = PartFactory(person=user)
    loan = LoanFactory(part=part, ended_at=timezone.now())
    assert can(user, part, "fittable_by")
    assert not can(loan.borrower, part, "visible_to")
    assert not can(loan.borrower, part, "fittable_by")


def test_a_claim_lets_its_claimant_fit_and_others_not(club):
    part, claimant = PartFactory(club=club), member_of(club)
    ClaimFactory(part=part, claimant=claimant)
    assert can(claimant, part, "fittable_by")
    assert not can(claimant, part, "editable_by")
    for other in (member_of(club), member_of(club, Role.KEEPER)):
        assert can(other, part, "visible_to")
        assert not can(other, part, "fittable_by")
        assert not can(other, part, "candidates_for")


def test_a_part_claimed_by_one_and_lent_to_another_is_fitted_by_neither(club):
    part = PartFactory(club=club)
    claimant = ClaimFactory(part=part, claimant=member_of(club)).claimant
    borrower = LoanFactory(part=part, borrower=member_of(club)).borrower
    assert not can(claimant, part, "fittable_by")
    assert not can(borrower, part, "fittable_by")


def test_every_part_is_listed_once(user):
    club_one, club_two = (MembershipFactory(user=user).club for _ in range(2))
    part = PartFactory(person=user)
    OfferFactory(part=part, club=club_one)
    OfferFactory(part=part, club=club_two)
    ClaimFactory(part=part, claimant=user)
    assert [seen.pk for seen in Part.objects.visible_to(user)] == [part.pk]
    assert [seen.pk for seen in Part.objects.fittable_by(user)] == [part.pk]


@pytest.mark.parametrize("condition", ["broken", "retired"])
def test_broken_and_retired_parts_are_not_in_service(user, condition):
    PartFactory(person=user, condition=condition)
    good = PartFactory(person=user, condition="worn")
    assert list(Part.objects.in_service()) == [good]


def test_a_part_out_of_service_is_not_in_service():
    PartFactory(out_of_service="swollen")
    assert not Part.objects.in_service().exists()


def test_a_bag_is_free_while_a_piece_is_left(user):
    bag = part_of("hardware", user, is_bag=True, count=2, fitted_count=1)
    assert list(Part.objects.free()) == [bag]
    bag.fitted_count = 2
    bag.save()
    assert not Part.objects.free().exists()


def test_parts_come_with_the_columns_of_their_sheets_in_one_query(user, django_assert_num_queries):
    for kind in SHEET_FACTORIES:
        part_of(kind, user, place=PlaceFactory(person=user))
    with django_assert_num_queries(1):
        for part in Part.objects.with_sheets():
            assert part.sheet.typed.kind_name == part.kind
            assert part.owner_name == user.username
            assert part.display_name
            assert str(part.place)


def test_the_measured_mass_comes_before_that_of_the_sheet(user):
    weighed = part_of("motor", user, mass_g=33.6)
    rated = part_of("motor", user)
    unknown = part_of("motor", user, sheet__mass_g=None)
    masses = {part.pk: part.known_mass_g for part in Part.objects.with_known_mass()}
    assert masses == {weighed.pk: 33.6, rated.pk: 33.0, unknown.pk: None}


@pytest.mark.parametrize(
    "words",
    ["ostrelka", "OSTREL", "2207", "left", "ostrelka left", "scratched", "{code}", "{typed}"],
)
def test_a_search_finds_by_code_name_maker_and_notes(user, words):
    part = part_of(
        "motor",
        user,
        name="left one",
        notes="scratched bell",
        sheet__maker="Ostrelka",
        sheet__name="2207",
    )
    part_of("motor", user, notes="other", sheet__maker="Tarrowden")
    code = part.code
    words = words.format(code=code.lower(), typed=f"{code[:3]}-{code[3:]}")
    assert [found.pk for found in Part.objects.matching(words)] == [part.pk]


def test_a_search_wants_every_word(user):
    part_of("motor", user, name="left one")
    assert not Part.objects.matching("left two").exists()


@pytest.mark.parametrize("words", ["%", "_", "'", '"; --', "\\"])
def test_signs_of_the_database_are_plain_letters_in_a_search(user, words):
    PartFactory(person=user, name="plain")
    assert not Part.objects.matching(words).exists()


# Sheets and places


@pytest.mark.parametrize("role", ROLES)
def test_members_see_the_sheets_of_their_club_and_keepers_change_them(club, role):
    sheet, person = MotorFactory(club=club), member_of(club, role)
    for model in (DataSheet, Motor):
        assert model.objects.visible_to(person).filter(pk=sheet.pk).exists()
        seen = model.objects.editable_by(person).filter(pk=sheet.pk).exists()
        assert seen is (role in KEEPING)


def test_the_sheet_of_a_part_lent_to_a_person_is_theirs_to_read(user):
    part = LoanFactory(borrower=user).part
    assert [sheet.pk for sheet in DataSheet.objects.visible_to(user)] == [part.sheet_id]
    assert not DataSheet.objects.editable_by(user).exists()


def test_a_stranger_sees_no_sheet_and_no_place(stranger):
    PartFactory(place=None)
    PlaceFactory()
    assert not DataSheet.objects.visible_to(stranger).exists()
    assert not Place.objects.visible_to(stranger).exists()


@pytest.mark.parametrize("model", [DataSheet, Place, Offer, Claim, Loan, Measurement, PartEvent])
@pytest.mark.parametrize("door", DOORS)
def test_nobody_sees_nothing_of_anything(model, door):
    part = PartFactory(mass_g=33.0)
    PlaceFactory()
    OfferFactory(part=part)
    ClaimFactory(part=part)
    LoanFactory(part=part)
    note_event(part, "added", "Added.", by=None)
    assert model.objects.exists()
    assert not getattr(model.objects, door)(AnonymousUser()).exists()


def test_what_is_inside_a_place_is_found_at_any_depth(user):
    box = PlaceFactory(person=user)
    bag = PlaceFactory(parent=box)
    pouch = PlaceFactory(parent=bag)
    PlaceFactory(person=user)
    assert set(Place.objects.within(box)) == {box, bag, pouch}
    assert set(Place.objects.within(bag)) == {bag, pouch}


def test_a_place_with_a_longer_number_is_not_inside_one_with_a_shorter(user):
    first, second = PlaceFactory(person=user), PlaceFactory(person=user)
    Place.objects.filter(pk=first.pk).update(path="/1/")
    Place.objects.filter(pk=second.pk).update(path="/11/")
    first.refresh_from_db()
    assert list(Place.objects.within(first)) == [first]


# Offers, claims, loans


@pytest.fixture
def lent(club):
    """A club's part, lent to a member."""
    return LoanFactory(part=PartFactory(club=club), borrower=member_of(club))


@pytest.mark.parametrize(("role", "sees"), [("member", False), ("keeper", True), ("officer", True)])
def test_loans_of_the_club_are_for_its_keepers(lent, club, role, sees):
    person = member_of(club, role)
    assert Loan.objects.visible_to(person).exists() is sees
    assert Loan.objects.editable_by(person).exists() is sees


def test_a_borrower_sees_their_loan_and_does_not_end_it(lent):
    assert Loan.objects.visible_to(lent.borrower).exists()
    assert not Loan.objects.editable_by(lent.borrower).exists()


def test_a_stranger_sees_no_loan_no_claim_and_no_offer(lent, stranger, club):
    ClaimFactory(part=lent.part)
    OfferFactory(club=club)
    for model in (Loan, Claim, Offer):
        assert not model.objects.visible_to(stranger).exists()
        assert not model.objects.editable_by(stranger).exists()


@pytest.mark.parametrize("role", ROLES)
def test_members_see_claims_on_the_clubs_parts_and_keepers_end_them(club, role):
    ClaimFactory(part=PartFactory(club=club), claimant=member_of(club))
    person = member_of(club, role)
    assert Claim.objects.visible_to(person).exists()
    assert Claim.objects.editable_by(person).exists() is (role in KEEPING)


def test_a_claimant_and_the_owner_may_end_a_claim(user):
    claim = ClaimFactory(part=PartFactory(person=user))
    assert Claim.objects.editable_by(user).exists()
    assert Claim.objects.editable_by(claim.claimant).exists()


def test_members_see_open_offers_to_their_club_and_only_the_owner_ends_them(club):
    offer = OfferFactory(club=club)
    keeper = member_of(club, Role.KEEPER)
    assert Offer.objects.visible_to(member_of(club)).exists()
    assert not Offer.objects.editable_by(keeper).exists()
    assert Offer.objects.editable_by(offer.part.person).exists()


def test_an_offer_that_ended_is_seen_by_the_owner_alone(club):
    offer = OfferFactory(club=club, ended_at=timezone.now())
    assert not Offer.objects.visible_to(member_of(club, Role.OFFICER)).exists()
    assert Offer.objects.visible_to(offer.part.person).exists()


# Records of a part


@pytest.mark.parametrize("role", ROLES)
def test_records_follow_their_part(club, role, stranger):
    pack = part_of("pack", club, mass_g=158.0)
    LogEntryFactory(pack=pack)
    note_event(pack, "added", "Added.", by=None)
    person = member_of(club, role)
    for model in (Measurement, PartEvent, LogEntry):
        assert model.objects.visible_to(person).exists()
        assert model.objects.editable_by(person).exists() is (role in KEEPING)
        assert not model.objects.visible_to(stranger).exists()


def test_standing_entries_are_those_no_other_corrects():
    wrong = LogEntryFactory()
    right = LogEntryFactory(pack=wrong.pack, corrects=wrong)
    assert list(LogEntry.objects.standing()) == [right]


def test_the_log_shows_nobody_nothing():
    LogEntryFactory()
    assert not LogEntry.objects.visible_to(AnonymousUser()).exists()
    assert not Part.objects.visible_to(UserFactory()).exists()
