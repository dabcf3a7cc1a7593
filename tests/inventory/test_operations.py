"""Writes to the inventory: what each does, refuses and leaves in the part's history."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from hangar.clubs.models import Role
from hangar.errors import Conflict, Missing, NotAllowed, UserError
from inventory import operations
from inventory.models import Claim, Incident, Loan, LogEntry, Measurement, Offer, Part, Place
from tests.factories import (
    ClubFactory,
    LoanFactory,
    LogEntryFactory,
    MembershipFactory,
    MotorFactory,
    OfferFactory,
    PlaceFactory,
    ServoFactory,
    UserFactory,
    keeper_of,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def part(user):
    return part_of("motor", user)


@pytest.fixture
def pack(user):
    return part_of("pack", user)


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def keeper(club):
    return member_of(club, Role.KEEPER)


@pytest.fixture
def club_part(club):
    return part_of("servo", club)


def verbs(part):
    return [event.verb for event in part.events.order_by("pk")]


def again(thing):
    return type(thing).objects.get(pk=thing.pk)


# Owners


def test_a_person_adds_for_themselves(user):
    part = operations.add_part(by=user, sheet=MotorFactory(person=user), person=user)
    assert part.person == user
    assert verbs(part) == ["added"]
    assert part.events.get().by == user


def test_nobody_adds_for_another_person(user):
    with pytest.raises(NotAllowed):
        operations.add_part(by=user, sheet=MotorFactory(person=user), person=UserFactory())
    assert not Part.objects.exists()


@pytest.mark.parametrize("role", [Role.KEEPER, Role.OFFICER])
def test_keepers_and_officers_add_for_their_club(club, role):
    person = member_of(club, role)
    sheet = MotorFactory(club=club)
    assert operations.add_part(by=person, sheet=sheet, club=club).club == club


@pytest.mark.parametrize("elsewhere", [False, True])
def test_no_one_else_adds_for_a_club(club, elsewhere):
    person = member_of(ClubFactory(), Role.OFFICER) if elsewhere else member_of(club)
    with pytest.raises(NotAllowed):
        operations.add_part(by=person, sheet=MotorFactory(person=person), club=club)
    assert not Part.objects.exists()


def test_an_owner_is_asked_for_and_only_one(user, club):
    sheet = MotorFactory(person=user)
    for owners in ({}, {"person": user, "club": club}):
        with pytest.raises(UserError):
            operations.add_part(by=user, sheet=sheet, **owners)


def test_a_sheet_nobody_showed_cannot_be_used(user):
    with pytest.raises(UserError) as caught:
        operations.add_part(by=user, sheet=MotorFactory(), person=user)
    assert caught.value.field == "sheet"


# Adding and changing parts


def test_a_mass_given_with_a_part_is_recorded_as_a_weighing(user):
    part = operations.add_part(
        by=user,
        sheet=MotorFactory(person=user),
        person=user,
        mass_g=33.6,
        mass_uncertainty_g=0.1,
    )
    measurement = part.measurements.get()
    assert (measurement.name, measurement.value) == ("mass_g", 33.6)
    assert (measurement.source, measurement.uncertainty) == ("weighed", 0.1)
    assert (part.mass_g, part.mass_source, part.mass_uncertainty_g) == (33.6, "weighed", 0.1)


@pytest.mark.parametrize(
    "values", [{"mass_g": 0}, {"mass_g": -3}, {"count": 2}, {"condition": "shiny"}]
)
def test_a_part_with_values_out_of_bounds_is_not_added_at_all(user, values):
    with pytest.raises((UserError, ValidationError)):
        operations.add_part(by=user, sheet=MotorFactory(person=user), person=user, **values)
    assert not Part.objects.exists()


def test_a_bag_has_a_count(user):
    bag = operations.add_part(
        by=user, sheet=MotorFactory(person=user), person=user, is_bag=True, count=40
    )
    assert bag.count == 40


def test_an_empty_bag_is_kept_and_is_not_free(user):
    bag = operations.add_part(
        by=user, sheet=MotorFactory(person=user), person=user, is_bag=True, count=0
    )
    assert bag.has_free is False


def test_a_change_keeps_what_it_was_in_the_history(user, part):
    operations.change_part(part, by=user, condition="worn", name="left one")
    event = part.events.get()
    assert event.verb == "changed"
    assert event.data["changes"] == {"condition": ["good", "worn"], "name": ["", "left one"]}
    assert again(part).condition == "worn"


def test_a_change_that_changes_nothing_leaves_no_trace(user, part):
    operations.change_part(part, by=user, condition="good")
    assert not part.events.exists()


def test_a_count_does_not_fall_below_what_is_fitted(user):
    bag = part_of("hardware", user, is_bag=True, count=10, fitted_count=6)
    with pytest.raises(Conflict) as caught:
        operations.change_part(bag, by=user, count=5)
    assert caught.value.field == "count"
    assert operations.change_part(bag, by=user, count=6).has_free is False


def test_a_part_does_not_move_into_a_place_of_another_owner(user, part):
    with pytest.raises(ValidationError):
        operations.change_part(part, by=user, place=PlaceFactory())
    assert again(part).place is None


def test_a_part_does_not_become_one_of_another_kind(user, part):
    with pytest.raises(UserError) as caught:
        operations.change_part(part, by=user, sheet=ServoFactory(person=user))
    assert caught.value.field == "sheet"
    assert again(part).kind == "motor"


def test_a_part_takes_no_sheet_that_its_owner_may_not_see(user, part):
    with pytest.raises(UserError) as caught:
        operations.change_part(part, by=user, sheet=MotorFactory())
    assert caught.value.field == "sheet"


# Measuring


def test_a_measured_figure_is_kept_with_who_and_how(user, part):
    row = operations.record_measurement(
        part, name="kv_rpm_v", value=1850, by=user, uncertainty=20, note="tachometer"
    )
    assert (row.value, row.uncertainty, row.source, row.by) == (1850, 20, "measured", user)
    assert verbs(part) == ["measured"]


def test_a_weighing_is_repeated_on_the_part(user, part):
    operations.record_measurement(part, name="mass_g", value=33.4, by=user, source="weighed")
    assert (part.mass_g, part.mass_source) == (33.4, "weighed")
    assert again(part).mass_g == 33.4


def test_an_older_weighing_entered_later_does_not_replace_a_newer_one(user, part):
    operations.record_measurement(part, name="mass_g", value=33.4, by=user, source="weighed")
    operations.record_measurement(
        part,
        name="mass_g",
        value=31.0,
        by=user,
        source="weighed",
        measured_at=timezone.now() - timedelta(days=30),
    )
    assert again(part).mass_g == 33.4


@pytest.mark.parametrize("source", ["guessed", "unknown"])
def test_a_guess_does_not_replace_a_weighing(user, part, source):
    operations.record_measurement(part, name="mass_g", value=33.4, by=user, source="weighed")
    operations.record_measurement(part, name="mass_g", value=50, by=user, source=source)
    assert (again(part).mass_g, again(part).mass_source) == (33.4, "weighed")


def test_a_guess_is_better_than_nothing(user, part):
    operations.record_measurement(part, name="mass_g", value=35, by=user, source="guessed")
    assert (again(part).mass_g, again(part).mass_source) == (35, "guessed")


def test_earlier_weighings_stay(user, part):
    for value in (33.4, 33.7):
        operations.record_measurement(part, name="mass_g", value=value, by=user)
    assert part.measurements.count() == 2
    assert again(part).mass_g == 33.7


def test_a_text_with_a_unit_is_read(user, part):
    # 1 oz = 28.349 523 125 g exactly (NIST Handbook 44, Appendix C).
    row = operations.record_measurement(part, name="mass_g", value="1 oz", by=user)
    assert row.value == pytest.approx(28.349523125, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("mass_g", 0),
        ("mass_g", -1),
        ("mass_g", None),
        ("mass_g", True),
        ("mass_g", "heavy"),
        ("mass_g", float("nan")),
        ("mass_g", float("inf")),
        ("mass_g", [33]),
        ("hole_pattern_mm", []),
        ("hole_pattern_mm", 16),
        ("hole_pattern_mm", ["a"]),
    ],
)
def test_a_figure_that_is_none_is_refused_at_the_value(user, part, name, value):
    with pytest.raises(UserError) as caught:
        operations.record_measurement(part, name=name, value=value, by=user)
    assert caught.value.field == "value"
    assert not Measurement.objects.exists()
    assert verbs(part) == []


@pytest.mark.parametrize("name", ["capacity_mah", "notes", "id", "", "maker", "person"])
def test_a_figure_the_kind_does_not_have_is_refused_at_the_name(user, part, name):
    with pytest.raises(UserError) as caught:
        operations.record_measurement(part, name=name, value=1, by=user)
    assert caught.value.field == "name"


@pytest.mark.parametrize("value", [-1, True, "many", float("nan"), float("inf"), None])
def test_a_counter_reading_that_is_none_is_refused(user, pack, value):
    with pytest.raises(UserError):
        operations.record_measurement(pack, name="cycles_at_purchase", value=value, by=user)
    assert not Measurement.objects.exists()


def test_a_counter_reading_is_kept_although_no_sheet_has_it(user, pack):
    operations.record_measurement(pack, name="cycles_at_purchase", value=40, by=user)
    assert pack.measurements.get().value == 40


@pytest.mark.parametrize("uncertainty", [-1, float("nan"), float("inf")])
def test_an_uncertainty_that_is_none_is_refused(user, part, uncertainty):
    with pytest.raises((UserError, ValidationError)):
        operations.record_measurement(
            part, name="mass_g", value=33, by=user, uncertainty=uncertainty
        )
    assert not Measurement.objects.exists()


def test_a_measurement_does_not_lie_in_the_future(user, part):
    with pytest.raises(UserError) as caught:
        operations.record_measurement(
            part, name="mass_g", value=33, by=user, measured_at=timezone.now() + timedelta(hours=1)
        )
    assert caught.value.field == "measured_at"


# Out of service and back


def test_a_part_out_of_service_is_offered_no_more(user, part):
    OfferFactory(part=part)
    operations.take_out_of_service(part, reason="bent shaft", by=user)
    assert again(part).out_of_service == "bent shaft"
    assert not Offer.objects.open().exists()
    assert verbs(part) == ["out_of_service"]


@pytest.mark.parametrize("reason", ["", "   "])
def test_taking_out_of_service_wants_a_reason(user, part, reason):
    with pytest.raises(UserError) as caught:
        operations.take_out_of_service(part, reason=reason, by=user)
    assert caught.value.field == "reason"


def test_an_inspection_puts_a_part_back(user, part):
    operations.take_out_of_service(part, reason="bent shaft", by=user)
    operations.return_to_service(part, finding="Shaft straight, runs true.", by=user)
    assert again(part).out_of_service == ""
    assert verbs(part) == ["out_of_service", "inspected"]


def test_an_inspection_says_what_was_found(user, part):
    operations.take_out_of_service(part, reason="bent shaft", by=user)
    with pytest.raises(UserError) as caught:
        operations.return_to_service(part, finding="   ok    ", by=user)
    assert caught.value.field == "finding"
    assert again(part).out_of_service == "bent shaft"


def test_a_part_in_service_needs_no_inspection(user, part):
    with pytest.raises(Conflict):
        operations.return_to_service(part, finding="Nothing was wrong with it.", by=user)


def test_a_retired_part_stays_in_the_records_and_leaves_the_pool(user, part):
    OfferFactory(part=part)
    operations.claim_part(part, by=user)
    operations.retire_part(part, by=user, reason="Worn out.")
    assert again(part).condition == "retired"
    assert not Offer.objects.open().exists()
    assert not Claim.objects.open().exists()


def test_a_part_in_an_aircraft_or_lent_out_is_not_retired(user, part):
    LoanFactory(part=part)
    with pytest.raises(Conflict):
        operations.retire_part(part, by=user)
    fitted = part_of("motor", user, fitted_count=1)
    with pytest.raises(Conflict):
        operations.retire_part(fitted, by=user)
    assert not Part.objects.filter(condition="retired").exists()


# The log of a pack


def test_an_entry_is_added_with_who_made_it(user, pack):
    entry = operations.add_log_entry(pack, by=user, kind="use", charge_mah=900)
    assert (entry.charge_mah, entry.by) == (900, user)
    assert verbs(pack) == ["logged"]


def test_only_a_pack_has_a_log(user, part):
    with pytest.raises(UserError):
        operations.add_log_entry(part, by=user, kind="use", charge_mah=900)


@pytest.mark.parametrize("incident", Incident.values)
def test_an_incident_takes_the_pack_out_of_service(user, pack, incident):
    operations.add_log_entry(pack, by=user, kind="incident", incident=incident)
    assert again(pack).out_of_service == Incident(incident).label
    assert not Part.objects.in_service().filter(pk=pack.pk).exists()


def test_another_entry_leaves_it_in_service(user, pack):
    operations.add_log_entry(pack, by=user, kind="use", duration_s=240)
    assert again(pack).out_of_service == ""


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"kind": "charge"}, "charge_mah"),
        ({"kind": "use"}, "charge_mah"),
        ({"kind": "rest"}, "rest_v"),
        ({"kind": "resistance"}, "resistance_mohm"),
    ],
)
def test_an_entry_without_its_figure_is_refused_at_it(user, pack, values, field):
    with pytest.raises(UserError) as caught:
        operations.add_log_entry(pack, by=user, **values)
    assert caught.value.field == field
    assert not LogEntry.objects.exists()
    assert verbs(pack) == []


@pytest.mark.parametrize(
    "values",
    [
        {"kind": "use", "charge_mah": -1},
        {"kind": "use", "charge_mah": 900, "incident": "wet"},
        {"kind": "incident"},
        {"kind": "incident", "incident": "stolen"},
        {"kind": "dance"},
        {"kind": "rest", "rest_v": [3.8, 7]},
        {"kind": "rest", "rest_v": [3.8], "temperature_c": 900},
    ],
)
def test_an_entry_that_makes_no_sense_is_not_added(user, pack, values):
    with pytest.raises((UserError, ValidationError)):
        operations.add_log_entry(pack, by=user, **values)
    assert not LogEntry.objects.exists()
    assert again(pack).out_of_service == ""


def test_the_same_entry_sent_again_adds_nothing(user, pack):
    sent = {"id": uuid.uuid4(), "kind": "rest", "rest_v": [3.81, 3.8, 3.8, 3.8]}
    first = operations.add_log_entry(pack, by=user, **sent)
    second = operations.add_log_entry(pack, by=user, **sent)
    assert first.pk == second.pk
    assert LogEntry.objects.count() == 1
    assert verbs(pack) == ["logged"]


@pytest.mark.parametrize(
    "changed",
    [{"charge_mah": 901}, {"temperature_c": 30}, {"voltage_min_v": 13.1}, {"note": "windy"}],
)
def test_another_content_under_the_same_id_is_refused(user, pack, changed):
    sent = {"id": uuid.uuid4(), "kind": "use", "charge_mah": 900, "temperature_c": 21}
    operations.add_log_entry(pack, by=user, **sent)
    with pytest.raises(Conflict) as caught:
        operations.add_log_entry(pack, by=user, **{**sent, **changed})
    assert caught.value.field == "id"
    assert LogEntry.objects.get().charge_mah == 900


def test_an_id_of_another_pack_is_refused(user, pack):
    entry = LogEntryFactory()
    with pytest.raises(Conflict):
        operations.add_log_entry(pack, by=user, id=entry.pk, kind="use", charge_mah=900)


def test_an_incident_sent_again_does_not_undo_an_inspection(user, pack):
    sent = {"id": uuid.uuid4(), "kind": "incident", "incident": "crashed"}
    operations.add_log_entry(pack, by=user, **sent)
    operations.return_to_service(pack, finding="No dent, cells even.", by=user)
    operations.add_log_entry(pack, by=user, **sent)
    assert again(pack).out_of_service == ""


def test_an_entry_is_corrected_by_a_new_one_and_stays(user, pack):
    wrong = operations.add_log_entry(pack, by=user, kind="use", charge_mah=9000)
    operations.add_log_entry(pack, by=user, kind="use", charge_mah=900, corrects=wrong)
    assert LogEntry.objects.count() == 2
    assert LogEntry.objects.standing().get().charge_mah == 900


def test_an_entry_is_corrected_once(user, pack):
    wrong = operations.add_log_entry(pack, by=user, kind="use", charge_mah=9000)
    operations.add_log_entry(pack, by=user, kind="use", charge_mah=900, corrects=wrong)
    with pytest.raises(ValidationError):
        operations.add_log_entry(pack, by=user, kind="use", charge_mah=800, corrects=wrong)


def test_an_entry_of_another_pack_is_not_corrected(user, pack):
    with pytest.raises(UserError) as caught:
        operations.add_log_entry(
            pack, by=user, kind="use", charge_mah=900, corrects=LogEntryFactory()
        )
    assert caught.value.field == "corrects"


# Offers, claims, loans


def test_an_owner_offers_a_part_to_a_club_of_theirs_and_withdraws_it(user, part, club):
    MembershipFactory(user=user, club=club)
    offer = operations.offer_part(part, club=club, by=user)
    operations.withdraw_offer(offer, by=user)
    assert again(offer).ended_at is not None
    assert verbs(part) == ["offered", "withdrawn"]


def test_a_part_is_offered_to_no_club_of_others(user, part, club):
    with pytest.raises(Missing):
        operations.offer_part(part, club=club, by=user)


def test_nobody_offers_what_is_not_theirs(user, club):
    MembershipFactory(user=user, club=club)
    with pytest.raises(NotAllowed):
        operations.offer_part(LoanFactory(borrower=user).part, club=club, by=user)
    assert not Offer.objects.exists()


def test_a_part_is_offered_to_a_club_once(user, part, club):
    MembershipFactory(user=user, club=club)
    operations.offer_part(part, club=club, by=user)
    with pytest.raises(Conflict):
        operations.offer_part(part, club=club, by=user)
    assert verbs(part) == ["offered"]


def test_a_claim_is_for_one_person(club, club_part):
    first, second = member_of(club), member_of(club)
    claim = operations.claim_part(club_part, by=first, purpose="winter build")
    with pytest.raises(Conflict):
        operations.claim_part(club_part, by=second)
    operations.release_claim(claim, by=first)
    operations.claim_part(club_part, by=second)
    assert verbs(club_part) == ["claimed", "released", "claimed"]


def test_nobody_claims_what_they_may_not_see(user, club_part):
    with pytest.raises(Missing):
        operations.claim_part(club_part, by=user)
    assert not Claim.objects.exists()


def test_what_is_lent_out_cannot_be_claimed(club, club_part):
    LoanFactory(part=club_part)
    with pytest.raises(Conflict):
        operations.claim_part(club_part, by=member_of(club))


def test_a_keeper_lends_and_takes_back(club, club_part, keeper):
    member = member_of(club)
    loan = operations.lend_part(club_part, to=member, by=keeper)
    assert loan.condition_out == "good"
    operations.return_loan(loan, by=keeper, condition="worn", note="gear slips")
    loan = again(loan)
    assert (loan.condition_in, loan.note) == ("worn", "gear slips")
    assert loan.ended_at is not None
    assert again(club_part).condition == "worn"
    assert verbs(club_part) == ["lent", "returned"]


def test_nobody_else_lends(club, club_part):
    for person, refusal in ((member_of(club), NotAllowed), (UserFactory(), Missing)):
        with pytest.raises(refusal):
            operations.lend_part(club_part, to=member_of(club), by=person)
    assert not Loan.objects.exists()


def test_a_part_is_lent_to_one_at_a_time(club, club_part, keeper):
    operations.lend_part(club_part, to=member_of(club), by=keeper)
    with pytest.raises(Conflict):
        operations.lend_part(club_part, to=member_of(club), by=keeper)
    assert verbs(club_part) == ["lent"]


def test_a_loan_ends_the_borrowers_claim(club, club_part, keeper):
    member = member_of(club)
    operations.claim_part(club_part, by=member)
    operations.lend_part(club_part, to=member, by=keeper)
    assert not Claim.objects.open().exists()


def test_what_another_claims_is_not_lent(club, club_part, keeper):
    operations.claim_part(club_part, by=member_of(club))
    with pytest.raises(Conflict):
        operations.lend_part(club_part, to=member_of(club), by=keeper)


def test_what_is_in_an_aircraft_is_neither_lent_nor_taken_back(club, club_part, keeper):
    loan = operations.lend_part(club_part, to=member_of(club), by=keeper)
    club_part.refresh_from_db()
    club_part.fitted_count = 1
    club_part.save()
    with pytest.raises(Conflict):
        operations.return_loan(loan, by=keeper, condition="good")
    assert again(loan).ended_at is None
    other = part_of("servo", club, fitted_count=1)
    with pytest.raises(Conflict):
        operations.lend_part(other, to=member_of(club), by=keeper)


def test_a_loan_ends_once(club, club_part, keeper):
    loan = operations.lend_part(club_part, to=member_of(club), by=keeper)
    stale = again(loan)
    operations.return_loan(loan, by=keeper, condition="good")
    with pytest.raises(Conflict):
        operations.return_loan(stale, by=keeper, condition="broken")
    assert again(club_part).condition == "good"


def test_a_part_comes_back_in_a_known_condition(club, club_part, keeper):
    loan = operations.lend_part(club_part, to=member_of(club), by=keeper)
    with pytest.raises(UserError) as caught:
        operations.return_loan(loan, by=keeper, condition="dirty")
    assert caught.value.field == "condition"


@pytest.mark.parametrize(
    "values", [{"out_of_service": "swollen"}, {"condition": "broken"}, {"condition": "retired"}]
)
def test_what_cannot_be_used_is_not_offered_claimed_or_lent(user, club, values):
    MembershipFactory(user=user, club=club)
    part = part_of("motor", user, **values)
    for refused in (
        lambda: operations.offer_part(part, club=club, by=user),
        lambda: operations.claim_part(part, by=user),
        lambda: operations.lend_part(part, to=member_of(club), by=user),
    ):
        with pytest.raises(Conflict):
            refused()
    assert verbs(part) == []


# Who may write: the operations ask again, whatever the page let through


OWNERS_ALONE = {
    "change": lambda pack, by: operations.change_part(pack, by=by, name="mine"),
    "retire": lambda pack, by: operations.retire_part(pack, by=by),
    "inspect": lambda pack, by: operations.return_to_service(pack, finding="x" * 20, by=by),
    "measure": lambda pack, by: operations.record_measurement(pack, name="mass_g", value=9, by=by),
    "log": lambda pack, by: operations.add_log_entry(pack, by=by, kind="use", charge_mah=9),
}


@pytest.mark.parametrize("write", OWNERS_ALONE.values(), ids=OWNERS_ALONE)
def test_nobody_writes_to_a_clubs_part_but_its_keepers(club, write):
    pack = part_of("pack", club)
    for person, refusal in ((member_of(club), NotAllowed), (UserFactory(), Missing)):
        with pytest.raises(refusal):
            write(pack, person)
    assert verbs(pack) == []


def test_a_keeper_takes_a_part_out_of_service(club, club_part):
    operations.take_out_of_service(club_part, reason="stripped gear", by=keeper_of(club))
    with pytest.raises(Missing):
        operations.take_out_of_service(club_part, reason="stripped gear", by=UserFactory())
    assert verbs(club_part) == ["out_of_service"]


def test_a_borrower_logs_the_use_of_a_pack(user, pack):
    borrower = LoanFactory(part=pack).borrower
    operations.add_log_entry(pack, by=borrower, kind="use", charge_mah=900)
    assert pack.log.get().by == borrower


def test_who_may_not_end_an_offer_a_claim_or_a_loan_does_not(club, club_part, keeper, user):
    member, other = member_of(club), member_of(club)
    claim = operations.claim_part(club_part, by=member)
    offer = OfferFactory(part=part_of("motor", user), club=club)
    loan = LoanFactory(part=part_of("servo", club), borrower=member)
    for refused in (
        lambda: operations.release_claim(claim, by=other),
        lambda: operations.withdraw_offer(offer, by=keeper),
        lambda: operations.return_loan(loan, by=other, condition="good"),
        lambda: operations.return_loan(loan, by=member, condition="good"),
    ):
        with pytest.raises(NotAllowed):
            refused()
    assert all(again(record).ended_at is None for record in (claim, offer, loan))


# Places


def new_place(user, name="Box", **values):
    return operations.save_place(Place(name=name, person=user, **values), by=user)


def test_a_place_lies_in_a_place(user):
    box = new_place(user)
    bag = new_place(user, "Bag", parent=box)
    assert bag.path == f"{box.path}{bag.pk}/"


def test_what_is_inside_moves_along(user):
    box, shelf = new_place(user), new_place(user, "Shelf")
    bag = new_place(user, "Bag", parent=box)
    pouch = new_place(user, "Pouch", parent=bag)
    bag.parent = shelf
    operations.save_place(bag, by=user)
    assert set(Place.objects.within(shelf)) == {shelf, bag, pouch}
    assert set(Place.objects.within(box)) == {box}


@pytest.mark.parametrize("levels", [0, 1, 2])
def test_a_place_does_not_lie_inside_itself(user, levels):
    box = inner = new_place(user)
    for _ in range(levels):
        inner = new_place(user, "Inner", parent=inner)
    box = again(box)
    box.parent = inner
    with pytest.raises(UserError) as caught:
        operations.save_place(box, by=user)
    assert caught.value.field == "parent"
    assert again(box).parent is None


def test_a_place_lies_in_none_of_another_owner(user):
    with pytest.raises(UserError):
        new_place(user, parent=PlaceFactory())
    assert Place.objects.filter(person=user).count() == 0


def test_places_go_twelve_deep_and_no_deeper(user):
    inner = None
    for _ in range(12):
        inner = new_place(user, parent=inner)
    with pytest.raises(UserError):
        new_place(user, parent=inner)
    assert Place.objects.count() == 12


def test_a_nest_of_places_is_not_moved_too_deep(user):
    deep = None
    for _ in range(11):
        deep = new_place(user, parent=deep)
    box = new_place(user)
    new_place(user, parent=box)
    box.parent = deep
    with pytest.raises(UserError):
        operations.save_place(box, by=user)
    assert again(box).parent is None


def test_nobody_makes_a_place_for_another(user):
    with pytest.raises(NotAllowed):
        operations.save_place(Place(name="Box", person=UserFactory()), by=user)
    assert not Place.objects.exists()


def test_a_label_code_that_is_taken_is_drawn_again(user, monkeypatch):
    sheet = MotorFactory(person=user)
    first = operations.add_part(by=user, sheet=sheet, person=user)
    drawn = iter([first.code, first.code, "2HJYW3P"])
    monkeypatch.setattr(operations.parts, "new_code", lambda: next(drawn))
    assert operations.add_part(by=user, sheet=sheet, person=user).code == "2HJYW3P"
