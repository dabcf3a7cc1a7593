"""The API of log files, and entries in bulk."""

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory.log_files import importing, receiving
from tests.factories import part_of
from tests.inventory.log_files.files import matched, received

pytestmark = pytest.mark.django_db

LIST = "when,what,mAh\n2026-05-01 10:00,charge,1020\n2026-05-02 14:30,flight,980\nsoon,use,1\n"
RECIPE = {"columns": {"when": "moment", "what": "kind", "mAh": "charge_mah"}}


@pytest.fixture
def pack(user):
    return part_of("pack", user)


@pytest.fixture
def api(api_of, user):
    return api_of(user)


def address(pack):
    return f"/api/v1/packs/{pack.code}/log-files/"


def test_a_dry_run_suggests_a_recipe_and_stores_nothing(api, pack):
    answer = api.post(address(pack), {"text": LIST, "dry_run": True})
    body = answer.json()
    assert answer.status_code == 200
    assert body["recipe"]["columns"] == RECIPE["columns"]
    assert [one["charge_mah"] for one in body["entries"]] == [1020, 980]
    assert body["problems"][0]["row"] == 4
    assert not pack.log_files.exists()


def test_a_file_is_imported_by_its_recipe(api, pack):
    answer = api.post(address(pack), {"text": LIST, "recipe": RECIPE})
    assert answer.status_code == 201
    assert answer.json()["counts"]["entries_added"] == 2
    assert pack.log.count() == 2
    listed = api.get(address(pack)).json()["results"]
    assert [one["id"] for one in listed] == [answer.json()["id"]]


def test_the_same_file_again_adds_nothing(api, pack):
    for _ in range(2):
        answer = api.post(address(pack), {"text": LIST, "recipe": RECIPE})
        assert answer.status_code == 201
    assert pack.log.count() == 2


def test_the_recipe_is_remembered(api, pack):
    api.post(address(pack), {"text": LIST, "recipe": RECIPE})
    answer = api.post(address(pack), {"text": LIST.replace("980", "970").replace("02 14", "03 14")})
    assert answer.json()["counts"]["entries_added"] == 1


def test_without_a_recipe_a_strange_file_is_refused(api, pack):
    answer = api.post(address(pack), {"text": LIST})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"] == "#/recipe"


def test_a_file_is_sent_as_a_form_too(api, pack):
    file = SimpleUploadedFile("log.csv", LIST.encode())
    answer = api.post(address(pack), {"file": file, "dry_run": "true"}, format="multipart")
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"text": ""},
        {"text": LIST, "recipe": []},
        {"text": LIST, "recipe": {"columns": {"when": "colour"}}},
        {"text": LIST, "recipe": RECIPE, "pack": "x"},
    ],
)
def test_a_wrong_body_is_refused(api, pack, body):
    assert api.post(address(pack), body).status_code == 400
    assert not pack.log.exists()


def test_a_long_file_goes_on_until_it_ends(api, pack, monkeypatch):
    monkeypatch.setattr(receiving, "BLOCK_CHARACTERS", 60)
    file = matched(received(pack, LIST))
    importing.import_some(file, by=pack.person, seconds=0)
    answer = api.post(f"{address(pack)}{file.pk}/go-on/")
    assert answer.status_code == 200
    assert answer.json()["finished_at"]
    assert pack.log.count() == 2


def test_a_thousand_entries_are_added_at_once_and_once(api, pack):
    rows = [
        {
            "id": str(uuid.UUID(int=n + 1)),
            "kind": "use",
            "started_at": f"2026-05-01T{n // 60:02}:{n % 60:02}:00Z",
            "charge_mah": 900,
        }
        for n in range(1000)
    ]
    log = f"/api/v1/packs/{pack.code}/log/"
    assert api.post(log, rows).status_code == 201
    assert api.post(log, rows).status_code == 201
    assert pack.log.count() == 1000


def test_of_entries_at_once_all_are_added_or_none_and_the_row_is_named(api, pack):
    rows = [{"kind": "use", "charge_mah": 900}, {"kind": "use"}, {"kind": "charge"}]
    answer = api.post(f"/api/v1/packs/{pack.code}/log/", rows)
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"].startswith("#/1/")
    assert not pack.log.exists()
