"""Parts that are not to be used. What an inspection can clear: common practice, no source."""

import pytest

from hangar.clubs.models import Role
from hangar.errors import Conflict, UserError
from inventory import operations
from inventory.models import Incident, LogEntry
from inventory.pack_health import judge_pack
from tests.factories import ClubFactory, LoanFactory, UserFactory, member_of, part_of

pytestmark = pytest.mark.django_db

FOUND = "No dent, cells within 5 mV."
LASTING = ("swollen", "punctured", "crushed", "smell", "wet")
PASSING = ("crashed", "overheated", "overdischarged", "other")


@pytest.fixture
def pack(user):
    return part_of("pack", user)


def log_incident(pack, incident, by, **values):
    entry = operations.add_log_entry(pack, by=by, kind="incident", incident=incident, **values)
    pack.refresh_from_db()
    return entry


def correct(pack, entry, by, **values):
    operations.add_log_entry(pack, by=by, corrects=entry, **values)
    pack.refresh_from_db()


def test_every_incident_either_lasts_or_passes():
    assert sorted(Incident.values) == sorted(LASTING + PASSING)


@pytest.mark.parametrize("incident", LASTING)
def test_no_inspection_puts_back_a_pack_whose_harm_lasts(user, pack, incident):
    log_incident(pack, incident, user)
    with pytest.raises(Conflict) as caught:
        operations.return_to_service(pack, finding=FOUND, by=user)
    assert caught.value.message.endswith(
        "stays out of service. If the entry was a mistake, correct that entry."
    )
    pack.refresh_from_db()
    assert pack.out_of_service


def test_a_later_crash_does_not_hide_that_a_pack_was_swollen(user, pack):
    log_incident(pack, "swollen", user)
    log_incident(pack, "crashed", user)
    with pytest.raises(Conflict, match="A swollen pack stays out of service"):
        operations.return_to_service(pack, finding=FOUND, by=user)


@pytest.mark.parametrize("incident", PASSING)
def test_an_inspection_after_another_incident_is_logged_with_who_and_what(user, pack, incident):
    log_incident(pack, incident, user)
    operations.return_to_service(pack, finding=FOUND, by=user)
    assert pack.out_of_service == ""
    entry = pack.log.get(kind=LogEntry.Kind.INSPECTION)
    assert (entry.by, entry.note) == (user, FOUND)


def test_the_health_goes_on_telling_of_an_inspection_after_a_crash(user, pack):
    log_incident(pack, "crashed", user)
    operations.return_to_service(pack, finding=FOUND, by=user)
    day = pack.log.get(kind=LogEntry.Kind.INSPECTION).started_at
    told = [reason for reason in judge_pack(pack).reasons if reason.about == "inspection"]
    assert [reason.message for reason in told] == [
        f"Inspected after crashed on {day:%Y-%m-%d} by {user}: {FOUND}"
    ]
    assert told[0].verdict == "watch"


def test_nineteen_characters_are_no_inspection(user, pack):
    log_incident(pack, "crashed", user)
    with pytest.raises(UserError) as caught:
        operations.return_to_service(pack, finding="x" * 19, by=user)
    assert caught.value.field == "finding"
    operations.return_to_service(pack, finding="x" * 20, by=user)


def test_a_corrected_incident_puts_the_pack_back(user, pack):
    entry = log_incident(pack, "swollen", user)
    correct(pack, entry, user, kind="use", charge_mah=900)
    assert pack.out_of_service == ""
    assert pack.events.first().verb == "corrected"


def test_correcting_one_of_two_incidents_leaves_the_other(user, pack):
    swollen = log_incident(pack, "swollen", user)
    log_incident(pack, "crashed", user)
    correct(pack, swollen, user, kind="use", charge_mah=900)
    assert pack.out_of_service == Incident.CRASHED.label


def test_an_incident_corrected_to_another_counts_as_that(user, pack):
    entry = log_incident(pack, "swollen", user)
    correct(pack, entry, user, kind="incident", incident="crashed")
    operations.return_to_service(pack, finding=FOUND, by=user)
    assert pack.out_of_service == ""


def test_a_correction_does_not_undo_a_stop_by_hand(user, pack):
    operations.take_out_of_service(pack, reason="frayed lead", by=user)
    entry = log_incident(pack, "crashed", user)
    correct(pack, entry, user, kind="use", charge_mah=900)
    assert pack.out_of_service == "frayed lead"


def test_a_correction_does_not_bring_an_inspected_crash_back(user, pack):
    log_incident(pack, "crashed", user)
    operations.return_to_service(pack, finding=FOUND, by=user)
    swollen = log_incident(pack, "swollen", user)
    correct(pack, swollen, user, kind="use", charge_mah=900)
    assert pack.out_of_service == ""


def test_a_member_who_sees_damage_of_a_club_part_reports_it(client):
    club = ClubFactory()
    part = part_of("servo", club)
    operations.take_out_of_service(part, reason="stripped gear", by=member_of(club))
    assert (part.out_of_service, part.condition) == ("", "suspect")
    assert part.events.get().verb == "reported"
    client.force_login(member_of(club, Role.KEEPER))
    assert part.code in client.get("/").text.replace("-", "")


def test_a_report_does_not_mend_a_broken_part():
    club = ClubFactory()
    part = part_of("servo", club, condition="broken")
    operations.take_out_of_service(part, reason="stripped gear", by=member_of(club))
    assert part.condition == "broken"


def test_who_has_a_part_on_loan_takes_it_out_of_service(user):
    part = part_of("servo", UserFactory())
    LoanFactory(part=part, borrower=user)
    operations.take_out_of_service(part, reason="stripped gear", by=user)
    assert part.out_of_service == "stripped gear"
