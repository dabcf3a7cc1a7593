"""What the database itself refuses, whoever writes: every check is made past the models."""

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction
from django.db.models import ProtectedError
from django.utils import timezone

from inventory.codes import check_code
from inventory.models import Claim, Loan, LogEntry, Offer, Part, Place
from tests.factories import (
    ClaimFactory,
    ClubFactory,
    LoanFactory,
    LogEntryFactory,
    OfferFactory,
    PartFactory,
    PlaceFactory,
    ServoFactory,
    UserFactory,
    part_of,
)

pytestmark = pytest.mark.django_db


def refuses(thing, **values):
    """Whether the database refuses these values in a bare UPDATE."""
    try:
        with transaction.atomic():
            type(thing).objects.filter(pk=thing.pk).update(**values)
    except DatabaseError:
        return True
    return False


@pytest.fixture
def part():
    return PartFactory()


@pytest.fixture
def bag(user):
    return part_of("hardware", user, is_bag=True, count=10)


# Parts


def test_a_part_has_one_owner(part):
    assert refuses(part, person=None)
    assert refuses(part, club=ClubFactory())
    assert not refuses(part, person=None, club=ClubFactory())


def test_a_place_has_one_owner():
    place = PlaceFactory()
    assert refuses(place, person=None)
    assert refuses(place, club=ClubFactory())


@pytest.mark.parametrize("mass_g", [0, -1, 1.1e12, float("inf")])
def test_a_mass_is_above_zero_and_below_all_reason(part, mass_g):
    assert refuses(part, mass_g=mass_g)


def test_a_light_part_and_an_unweighed_one_are_taken(part):
    assert not refuses(part, mass_g=0.01)
    assert not refuses(part, mass_g=None)


def test_an_uncertainty_is_not_negative(part):
    assert refuses(part, mass_uncertainty_g=-0.1)


def test_a_count_is_not_negative(bag):
    assert refuses(bag, count=-1, has_free=False)
    assert refuses(bag, fitted_count=-1)


def test_no_more_pieces_are_fitted_than_there_are(bag):
    assert refuses(bag, fitted_count=11, has_free=False)
    assert refuses(bag, fitted_count=11, has_free=True)
    assert not refuses(bag, fitted_count=10, has_free=False)


def test_a_single_part_counts_one(part):
    assert refuses(part, count=2)
    assert refuses(part, count=0, has_free=False)


def test_the_column_that_says_free_cannot_lie(part, bag):
    assert refuses(part, has_free=False)
    assert refuses(part, fitted_count=1)
    assert refuses(bag, fitted_count=10)
    assert not refuses(part, fitted_count=1, has_free=False)


def test_a_code_is_drawn_once(part):
    assert refuses(PartFactory(), code=part.code)


def test_a_part_draws_a_code_that_checks(part):
    assert check_code(part.code) == part.code


def test_a_part_is_of_the_kind_of_its_sheet(user):
    assert PartFactory(sheet=ServoFactory(person=user), kind="motor").kind == "servo"


def test_saving_keeps_the_free_column_true(bag):
    bag.fitted_count = 10
    bag.save()
    bag.refresh_from_db()
    assert bag.has_free is False


def test_a_part_lies_in_no_place_of_another_owner(part):
    part.place = PlaceFactory()
    with pytest.raises(ValidationError) as caught:
        part.full_clean()
    assert set(caught.value.message_dict) == {"place"}


def test_a_part_lies_in_a_place_of_its_owner(part):
    part.place = PlaceFactory(person=part.person)
    part.full_clean()


def test_a_part_is_called_by_its_own_name_or_by_its_sheets(user):
    part = part_of("motor", user, sheet__maker="Ostrelka", sheet__name="2207")
    assert part.display_name == "Ostrelka 2207"
    part.name = "left one"
    assert part.display_name == "left one"


def test_a_sheet_with_parts_cannot_be_deleted(part):
    with pytest.raises(ProtectedError):
        part.sheet.delete()


def test_a_place_with_parts_or_places_cannot_be_deleted(part):
    place = PlaceFactory(person=part.person)
    inner = PlaceFactory(parent=place)
    part.place = inner
    part.save()
    for kept in (place, inner):
        with pytest.raises(ProtectedError):
            kept.delete()
    assert Place.objects.count() == 2


def test_a_part_with_a_log_cannot_be_deleted():
    entry = LogEntryFactory()
    with pytest.raises(ProtectedError):
        entry.pack.delete()
    assert LogEntry.objects.filter(pk=entry.pk).exists()


# Loans, claims and offers


def test_a_part_has_one_open_loan(part):
    LoanFactory(part=part)
    with pytest.raises(DatabaseError), transaction.atomic():
        LoanFactory(part=part)


def test_a_part_has_one_open_claim(part):
    ClaimFactory(part=part)
    with pytest.raises(DatabaseError), transaction.atomic():
        ClaimFactory(part=part)


def test_a_part_is_offered_to_a_club_once(part):
    offer = OfferFactory(part=part)
    with pytest.raises(DatabaseError), transaction.atomic():
        OfferFactory(part=part, club=offer.club)
    OfferFactory(part=part)


@pytest.mark.parametrize("made", [LoanFactory, ClaimFactory])
def test_one_that_ended_makes_room_for_the_next(part, made):
    first = made(part=part, ended_at=timezone.now())
    second = made(part=part)
    assert refuses(first, ended_at=None)
    assert list(type(first).objects.open()) == [second]


@pytest.mark.parametrize(
    ("made", "model"), [(LoanFactory, Loan), (ClaimFactory, Claim), (OfferFactory, Offer)]
)
def test_open_ones_are_those_without_an_end(part, made, model):
    made(part=part, ended_at=timezone.now())
    made(part=PartFactory(), ended_at=None)
    assert model.objects.open().count() == 1


# Log entries


def test_an_incident_says_what_happened():
    entry = LogEntryFactory(kind="incident", incident="wet")
    assert refuses(entry, incident="")


def test_no_other_entry_names_an_incident():
    assert refuses(LogEntryFactory(), incident="wet")


@pytest.mark.parametrize(
    "values",
    [
        {"charge_mah": -1},
        {"duration_s": -1},
        {"voltage_min_v": 201},
        {"current_max_a": -0.1},
        {"temperature_c": 201},
        {"temperature_c": -61},
        {"rested_h": -1},
    ],
)
def test_a_reading_out_of_all_bounds_is_refused(values):
    assert refuses(LogEntryFactory(), **values)


def test_an_entry_is_corrected_once():
    first = LogEntryFactory()
    LogEntryFactory(pack=first.pack, corrects=first)
    with pytest.raises(DatabaseError), transaction.atomic():
        LogEntryFactory(pack=first.pack, corrects=first)


@pytest.mark.parametrize("cells", [[3.8, 6.0], [-0.1], [float("nan")]])
def test_cell_voltages_out_of_bounds_are_refused_by_the_model(cells):
    entry = LogEntryFactory(kind="rest", rest_v=[3.8])
    entry.rest_v = cells
    with pytest.raises(ValidationError):
        entry.full_clean()


def test_a_persons_parts_stay_when_the_person_is_to_be_deleted():
    person = UserFactory()
    PartFactory(person=person)
    with pytest.raises(ProtectedError):
        person.delete()
    assert Part.objects.filter(person=person).exists()
