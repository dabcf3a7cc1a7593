"""The log of a pack and its judged health."""

import uuid

import pytest
from django.utils import timezone

from inventory import operations
from inventory.kinds import Pack
from inventory.models import LogEntry
from inventory.pack_health import judge_pack
from tests.factories import (
    LoanFactory,
    LogEntryFactory,
    OfferFactory,
    member_of,
    part_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def pack(user):
    return part_of("pack", user)


def log_of(pack):
    return f"/api/v1/packs/{pack.code}/log/"


USE = {"kind": "use", "charge_mah": 980, "duration_s": 420, "started_at": "2025-06-01T10:00:00Z"}


def test_an_entry_is_logged_and_listed_newest_first(api, pack):
    first = api.post(log_of(pack), USE)
    assert first.status_code == 201, first.json()
    api.post(log_of(pack), {"kind": "rest", "rest_v": [3.8, "3810 mV", 3.8, 3.8]})
    shown = api.get(log_of(pack)).json()["results"]
    assert [entry["kind"] for entry in shown] == ["rest", "use"]
    assert shown[0]["rest_v"] == [3.8, 3.81, 3.8, 3.8]


def test_a_list_of_entries_is_logged_at_once(api, pack):
    rows = [USE | {"started_at": f"2025-06-{day:02d}T10:00:00Z"} for day in range(1, 11)]
    answer = api.post(log_of(pack), rows)
    assert answer.status_code == 201, answer.json()
    assert len(answer.json()) == pack.log.count() == 10


@pytest.mark.parametrize(
    ("bad", "pointer"),
    [
        ({"kind": "use"}, "#/1/charge_mah"),
        ({"kind": "flight"}, "#/1/kind"),
        ({"kind": "rest", "rest_v": [9]}, "#/1/rest_v/0"),
        ({"kind": "use", "charge_mah": -5}, "#/1/charge_mah"),
        ("nothing", "#/1"),
    ],
)
def test_of_a_list_with_one_bad_row_nothing_is_logged_and_the_row_is_named(api, pack, bad, pointer):
    refused(api.post(log_of(pack), [USE, bad, USE]), 400, pointer)
    assert not LogEntry.objects.exists()


@pytest.mark.parametrize("rows", [[], [USE] * 1001])
def test_a_list_has_one_to_a_thousand_rows(api, pack, rows):
    refused(api.post(log_of(pack), rows), 400, "#")


def test_a_repeated_upload_changes_nothing(api, pack):
    address = f"{log_of(pack)}{uuid.uuid4()}/"
    assert api.put(address, USE).status_code == 201
    again = api.put(address, USE)
    assert again.status_code == 200
    assert again.json()["charge_mah"] == 980
    assert pack.log.count() == 1


@pytest.mark.parametrize(
    "change", [{"charge_mah": 981}, {"note": "windy"}, {"started_at": "2025-06-02T10:00:00Z"}]
)
def test_another_content_under_the_same_id_is_a_conflict(api, pack, change):
    address = f"{log_of(pack)}{uuid.uuid4()}/"
    api.put(address, USE)
    refused(api.put(address, USE | change), 409, "#/id")


def test_the_id_in_the_body_is_that_of_the_address(api, pack):
    address = f"{log_of(pack)}{uuid.uuid4()}/"
    refused(api.put(address, USE | {"id": str(uuid.uuid4())}), 400, "#/id")


def test_an_entry_is_corrected_by_a_later_one(api, pack):
    wrong = api.post(log_of(pack), USE).json()
    right = api.post(log_of(pack), USE | {"charge_mah": 908, "corrects": wrong["id"]})
    assert right.status_code == 201, right.json()
    standing = api.get(log_of(pack) + "?standing=true").json()["results"]
    assert [entry["charge_mah"] for entry in standing] == [908]
    twice = api.post(log_of(pack), USE | {"corrects": wrong["id"]})
    refused(twice, 400, "#/corrects")


def test_an_incident_takes_the_pack_out_of_service(api, pack):
    api.post(log_of(pack), {"kind": "incident", "incident": "swollen"})
    assert api.get(f"/api/v1/parts/{pack.code}/").json()["out_of_service"] == "swollen"


def test_who_borrowed_a_pack_logs_it(api_of, pack):
    loan = LoanFactory(part=pack)
    assert api_of(loan.borrower).post(log_of(pack), USE).status_code == 201


def test_who_only_sees_a_pack_does_not_log_it(api_of, pack):
    offer = OfferFactory(part=pack)
    api = api_of(member_of(offer.club))
    assert api.get(log_of(pack)).status_code == 200
    refused(api.post(log_of(pack), USE), 403)


def test_only_a_pack_has_a_log(api, user):
    refused(api.get(log_of(part_of("servo", user))), 404)


def test_the_health_of_a_new_pack_cannot_be_told(api, pack):
    LogEntryFactory(pack=pack, charge_mah=650.0)
    health = api.get(f"/api/v1/packs/{pack.code}/health/").json()
    assert health["verdict"] == "cannot_tell"
    assert health["reasons"]
    assert (health["cycles"], health["equivalent_cycles"]) == (1, 0.5)
    assert (health["capacity_mah"], health["end_of_life"]) == (None, None)
    assert health["resistance_mohm"] == []


def test_a_pack_whose_sheet_says_too_little_is_not_judged_and_says_why(api, user):
    pack = part_of("pack", user, sheet__chemistry="", sheet__cell_count=None)
    health = api.get(f"/api/v1/packs/{pack.code}/health/").json()
    assert health["verdict"] == "cannot_tell"
    assert "chemistry, cells in series" in health["reasons"][0]["message"]


def test_a_thousand_rows_are_logged_in_one_request(api, pack):
    rows = [USE | {"started_at": f"2024-01-01T00:00:{0:02d}.{row:06d}Z"} for row in range(1000)]
    assert api.post(log_of(pack), rows).status_code == 201
    assert pack.log.count() == 1000


def test_an_inspection_answers_the_incidents_before_it(user, pack):
    operations.add_log_entry(pack, by=user, kind="incident", incident="crashed")
    pack.refresh_from_db()
    assert judge_pack(pack).verdict == "out_of_service"
    operations.return_to_service(pack, finding="no dent, cells within 5 mV", by=user)
    assert judge_pack(pack).verdict == "cannot_tell"
    operations.add_log_entry(pack, by=user, kind="incident", incident="swollen")
    pack.refresh_from_db()
    assert judge_pack(pack, timezone.now()).verdict == "out_of_service"


def test_a_pack_of_an_unjudged_chemistry_that_is_out_of_service_says_so(user):
    pack = part_of("pack", user, sheet__chemistry="nimh", out_of_service="leaks")
    assert isinstance(pack.sheet, Pack)
    assert judge_pack(pack).verdict == "out_of_service"
