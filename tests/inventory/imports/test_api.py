"""Imports by the API."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory.imports.models import ImportRun
from inventory.models import Part
from tests.factories import ClubFactory, UserFactory, keeper_of, member_of
from tests.inventory.imports.lists import PART_COUNT, semicolon_list, xlsx_list

pytestmark = pytest.mark.django_db

PATH = "/api/v1/imports/"
TEXT = "Art;Name;Gewicht\nRegler;F35;0,3\nServo;S9;9 g\n"
MATCHING = {
    "columns": {"Art": "kind", "Name": "name", "Gewicht": "mass_g"},
    "units": {"Gewicht": "oz"},
}


@pytest.fixture
def api(api_of, user):
    return api_of(user)


def test_a_dry_run_says_what_would_happen_and_stores_nothing(api):
    response = api.post(PATH, {"text": TEXT, "dry_run": True})
    assert response.status_code == 200
    shown = response.json()
    assert shown["matching"]["columns"] == MATCHING["columns"]
    assert shown["counts"]["parts"] == 2
    assert [row["outcome"] for row in shown["rows"]] == ["new part, new data sheet"] * 2
    assert shown["problems"] == []
    assert not Part.objects.exists()
    assert not ImportRun.objects.exists()


def test_a_list_as_text_is_imported_with_the_unit_chosen(api, user):
    response = api.post(PATH, {"file_name": "p.csv", "text": TEXT, "matching": MATCHING})
    assert response.status_code == 201
    assert response.json()["counts"]["parts"] == 2
    masses = Part.objects.filter(person=user).order_by("pk").values_list("mass_g", flat=True)
    # 0.3 oz, NIST SP 811 (2008), Appendix B.8; the second cell has a unit of its own.
    assert list(masses) == pytest.approx([0.3 * 28.349523125, 9.0], rel=1e-12)


def test_the_same_list_again_adds_nothing(api):
    for added in (2, 0):
        response = api.post(PATH, {"text": TEXT, "matching": MATCHING})
        assert response.json()["counts"]["parts"] == added


def test_a_file_is_imported_and_its_matching_remembered(api):
    suggested = api.post(
        PATH, {"file": file(xlsx_list()), "dry_run": "true"}, format="multipart"
    ).json()["matching"]
    sent = {"file": file(xlsx_list()), "matching": json.dumps(suggested)}
    response = api.post(PATH, sent, format="multipart")
    assert response.status_code == 201
    assert response.json()["counts"]["parts"] == PART_COUNT
    again = api.post(PATH, {"file": file(xlsx_list())}, format="multipart")
    assert again.json()["counts"]["rows_imported_before"] == 20


def file(data):
    return SimpleUploadedFile("parts.xlsx", data)


def test_an_import_without_a_matching_is_refused_at_first(api):
    response = api.post(PATH, {"text": TEXT})
    assert response.status_code == 400
    assert response.json()["errors"][0]["pointer"] == "#/matching"


def test_wrong_rows_are_pointed_at(api):
    text = TEXT + "Servo;S10;heavy\nBoat;B;1\n"
    response = api.post(PATH, {"text": text, "matching": MATCHING})
    assert response.status_code == 400
    pointers = [error["pointer"] for error in response.json()["errors"]]
    assert pointers == ["#/rows/4/Gewicht", "#/rows/5/Art"]
    assert not Part.objects.exists()
    assert not ImportRun.objects.exists()


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "#/file"),
        ({"text": TEXT, "matching": []}, "#/matching"),
        ({"text": "a\u0000b,c\n1,2"}, "#/text"),
        ({"text": TEXT, "matching": {"columns": {"Art": "boat"}}}, "#/matching"),
        ({"text": TEXT, "matching": {"columns": {"Art": 1e308}}}, "#/matching"),
        ({"text": TEXT, "matching": MATCHING, "dry_run": "perhaps"}, "#/dry_run"),
        ({"text": TEXT, "club": "nowhere"}, "#/club"),
        ({"text": "x" * 9}, "#/text"),
        ({"file": "x"}, "#/file"),
    ],
)
def test_bad_input_is_refused_at_its_place(api, body, pointer):
    response = api.post(PATH, body)
    assert response.status_code == 400
    assert response["Content-Type"] == "application/problem+json"
    assert response.json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize("word", ["\\u0000", "\\ud800", "x" * 300])
def test_a_matching_that_cannot_be_stored_is_refused(api, word):
    # In a form the matching is JSON within text, where any character can be written.
    matching = f'{{"columns": {{"Art": "kind", "Name": "name"}}, "kinds": {{"{word}": "servo"}}}}'
    response = api.post(PATH, {"text": TEXT, "matching": matching}, format="multipart")
    assert response.status_code == 400
    assert response.json()["errors"][0]["pointer"] == "#/matching"


def test_own_imports_are_listed_and_nobody_elses(api, api_of):
    number = api.post(PATH, {"text": TEXT, "matching": MATCHING}).json()["id"]
    assert [run["id"] for run in api.get(PATH).json()["results"]] == [number]
    assert api.get(f"{PATH}{number}/").json()["owner"]["kind"] == "person"
    stranger = api_of(UserFactory())
    assert stranger.get(PATH).json()["results"] == []
    assert stranger.get(f"{PATH}{number}/").status_code == 404


def test_a_keeper_imports_for_the_club_and_a_member_does_not(api_of):
    club = ClubFactory()
    body = {"text": TEXT, "matching": MATCHING, "club": club.slug}
    assert api_of(member_of(club)).post(PATH, body).status_code == 403
    assert api_of(UserFactory()).post(PATH, body).status_code == 400
    assert api_of(keeper_of(club)).post(PATH, body).status_code == 201
    assert Part.objects.filter(club=club).count() == 2


def test_nobody_imports_nothing(api_of):
    assert api_of().post(PATH, {"text": TEXT}).status_code == 401


def test_a_long_list_is_previewed_within_bounds(api):
    text = "kind,name\n" + "servo,S9\n" * 1500
    shown = api.post(PATH, {"text": text, "dry_run": True}).json()
    assert (len(shown["rows"]), shown["rows_left_off"]) == (1000, 500)


def test_a_spreadsheet_is_known_by_its_content(api):
    body = {"file": SimpleUploadedFile("parts.csv", xlsx_list()), "dry_run": "true"}
    assert api.post(PATH, body, format="multipart").json()["counts"]["rows"] == 20


def test_german_text_in_a_file_is_read(api):
    body = {"file": SimpleUploadedFile("teile.csv", semicolon_list()), "dry_run": "true"}
    assert api.post(PATH, body, format="multipart").json()["counts"]["parts"] == PART_COUNT
