"""What bodies of requests may hold, and how numbers are written."""

import uuid

import pytest

from hangar.renderers import rounded
from inventory.models import Measurement
from tests.factories import LogEntryFactory, UserFactory, part_of

pytestmark = pytest.mark.django_db


def pointers(answer):
    assert answer.status_code == 400, answer.content
    return {error["pointer"] for error in answer.json()["errors"]}


@pytest.fixture
def part(user):
    return part_of("servo", user)


@pytest.fixture
def pack(user):
    return part_of("pack", user)


def test_unknown_keys_are_refused_each_by_name(api, part):
    sent = {"nmae": "spare", "colour": "red", "notes": "new arm"}
    assert pointers(api.patch(f"/api/v1/parts/{part.code}/", sent)) == {"#/nmae", "#/colour"}
    part.refresh_from_db()
    assert part.notes == ""


def test_what_an_answer_shows_may_be_sent_back(api, part):
    address = f"/api/v1/parts/{part.code}/"
    shown = {key: value for key, value in api.get(address).json().items() if value is not None}
    given = {key: shown[key] for key in shown if key not in ("mass_source", "mass_uncertainty_g")}
    assert "fitted" in given
    assert api.patch(address, given).status_code == 200


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("clubs/", {"name": "Fliers"}),
        ("claims/", {}),
        ("places/", {"name": "box"}),
        ("sheets/motor/", {"name": "any"}),
    ],
)
def test_a_misspelt_key_is_refused_everywhere(api, path, body):
    assert "#/untill" in pointers(api.post(f"/api/v1/{path}", body | {"untill": "2030-01-01"}))


def test_an_incident_without_its_name_is_refused_at_it(api, pack):
    answer = api.post(f"/api/v1/packs/{pack.code}/log/", {"kind": "incident"})
    assert pointers(answer) == {"#/incident"}


@pytest.mark.parametrize(
    "body",
    [{"kind": "rest", "rest_v": [3.8, 3.8]}, {"kind": "resistance", "resistance_mohm": [9.0] * 5}],
)
def test_figures_of_another_number_of_cells_are_refused_at_them(api, pack, body):
    assert pack.sheet.cell_count == 4
    answer = api.post(f"/api/v1/packs/{pack.code}/log/", body)
    assert pointers(answer) == {f"#/{list(body)[1]}"}


def test_an_id_in_use_elsewhere_tells_nothing_of_where(api, pack):
    entry = LogEntryFactory(pack=part_of("pack", UserFactory()))
    sent = {"kind": "use", "charge_mah": 900}
    answer = api.put(f"/api/v1/packs/{pack.code}/log/{entry.pk}/", sent)
    assert (answer.status_code, answer.json()["detail"]) == (409, "This id cannot be used.")
    assert api.put(f"/api/v1/packs/{pack.code}/log/{uuid.uuid4()}/", sent).status_code == 201


def test_the_page_and_the_api_say_the_same_of_a_short_finding(api, client, user):
    part = part_of("servo", user, out_of_service="stripped gear")
    answer = api.post(f"/api/v1/parts/{part.code}/return-to-service/", {"finding": "ok"})
    client.force_login(user)
    page = client.post(f"/parts/{part.code}/inspect/", {"finding": "ok"})
    assert answer.json()["detail"] in page.text


def test_numbers_are_written_with_twelve_digits(api, part, user):
    Measurement.objects.create(part=part, name="mass_g", value=0.1 + 0.2, by=user)
    answer = api.get(f"/api/v1/parts/{part.code}/measurements/")
    assert b'"value":0.3,' in answer.content


def test_rounding_leaves_whole_numbers_and_texts_alone():
    kept = {"a": 12345678901234567, "b": ["0.30000000000000004", True, None]}
    assert rounded(kept) == kept


def test_a_cursor_that_is_none_is_refused(api):
    assert pointers(api.get("/api/v1/parts/?cursor=%00")) == {"#/cursor"}


def test_a_borrower_whom_nobody_knows_is_no_member(api, part):
    answer = api.post("/api/v1/loans/", {"part": part.code, "borrower": "nobody"})
    assert answer.json()["detail"] == "There is no member of that name."
