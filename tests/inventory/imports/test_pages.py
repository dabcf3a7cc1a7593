"""The pages of an import, as a browser without script uses them."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.imports import applying
from inventory.imports.models import ImportRun
from inventory.models import Part
from tests.factories import ClubFactory, UserFactory, keeper_of
from tests.inventory.imports.lists import PART_COUNT, semicolon_list, xlsx_list

pytestmark = pytest.mark.django_db

START = reverse("inventory:import_start")


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def upload(client, data, name="parts.csv", **more):
    return client.post(START, {"file": SimpleUploadedFile(name, data), **more})


def address(name, run):
    return reverse(f"inventory:import_{name}", args=[run.pk])


def boxes(client, run):
    """What the page of columns would send as it stands."""
    form = client.get(address("match", run)).context["form"]
    return {box.html_name: box.value() or "" for box in form}


def test_a_list_goes_from_upload_to_parts(client, user):
    response = upload(client, semicolon_list())
    run = ImportRun.objects.get(by=user)
    assert response["Location"] == address("match", run)
    response = client.post(address("match", run), boxes(client, run))
    assert response["Location"] == address("detail", run)
    preview = client.get(address("detail", run))
    assert f"Import {PART_COUNT} parts" in preview.content.decode()
    assert not Part.objects.exists()
    done = client.post(address("detail", run), follow=True)
    assert f"Imported: {PART_COUNT} parts added." in done.content.decode()
    assert Part.objects.filter(person=user).count() == PART_COUNT


def test_the_same_list_again_offers_no_import(client, user):
    for _ in range(2):
        upload(client, xlsx_list(), "parts.xlsx")
        run = ImportRun.objects.open().get(by=user)
        preview = client.get(address("detail", run)).content.decode()
        client.post(address("detail", run))
    assert "imported before" in preview
    assert "<button>Import" not in preview
    assert Part.objects.count() == PART_COUNT


@pytest.mark.parametrize(
    ("data", "words"),
    [(b"\x81\x8d", "neither text nor a spreadsheet"), (b"a,b\n", "no part below")],
)
def test_a_file_that_cannot_be_read_is_told_at_its_box(client, data, words):
    response = upload(client, data)
    assert response.status_code == 400
    assert words in response.context["form"].errors["file"][0]
    assert not ImportRun.objects.exists()


def test_no_file_is_told_at_its_box(client):
    response = client.post(START, {})
    assert response.status_code == 400
    assert "file" in response.context["form"].errors


def test_a_wrong_choice_is_told_at_its_box_and_what_was_chosen_is_kept(client, user):
    upload(client, b"kind,name,weight\nservo,S9,9\n")
    run = ImportRun.objects.get(by=user)
    response = client.post(address("match", run), boxes(client, run) | {"unit_2": "mm"})
    assert response.status_code == 400
    assert response.context["form"].errors == {
        "unit_2": ["mm is no unit of mass of one piece, weighed (g)."]
    }
    assert 'value="mm"' in response.content.decode()


def test_a_list_without_a_name_column_leads_back_to_the_columns(client, user):
    upload(client, b"x,y\n1,2\n")
    run = ImportRun.objects.get(by=user)
    assert client.get(address("detail", run))["Location"] == address("match", run)


def test_a_strange_word_gets_a_kind_from_the_person(client, user):
    upload(client, b"kind,name\nGizmo,G1\n")
    run = ImportRun.objects.get(by=user)
    assert "“Gizmo” is no kind" in client.get(address("detail", run)).content.decode()
    client.post(address("match", run), boxes(client, run) | {"word_0": "regulator"})
    client.post(address("detail", run))
    assert Part.objects.get().kind == "regulator"


def test_wrong_rows_are_listed_and_nothing_is_imported(client, user):
    upload(client, b"kind,name,weight\nservo,S9,heavy\n")
    run = ImportRun.objects.get(by=user)
    response = client.post(address("detail", run))
    assert response.status_code == 400
    assert "Row 2, column “weight”: Enter a number" in response.content.decode()
    assert not Part.objects.exists()


def test_what_stands_in_a_list_is_shown_as_text(client, user):
    upload(client, b"kind,name,<b>x</b>\nservo,<script>alert(1)</script>,<i>y</i>\n")
    run = ImportRun.objects.get(by=user)
    for name in ("match", "detail"):
        shown = client.get(address(name, run)).content.decode()
        assert "<script>alert" not in shown
        assert "<i>y" not in shown


def test_a_keeper_chooses_the_club(client_of):
    club = ClubFactory()
    keeper = keeper_of(club)
    upload(client_of(keeper), b"kind,name\nservo,S9\n", owner=club.slug)
    assert ImportRun.objects.get(by=keeper).club == club


def test_a_list_is_discarded(client, user):
    upload(client, b"kind,name\nservo,S9\n")
    run = ImportRun.objects.get(by=user)
    assert client.get(address("discard", run)).status_code == 405
    client.post(address("discard", run))
    assert not ImportRun.objects.exists()


def test_an_imported_list_shows_what_became_of_it(client, user):
    run = applying.import_at_once(
        applying.read_list(
            by=user, person=user, club=None, file_name="parts.csv", data=semicolon_list()
        )
    )
    assert "Imported for" in client.get(address("detail", run)).content.decode()
    assert client.get(address("match", run)).status_code == 409
    assert "parts.csv" in client.get(START).content.decode()


@pytest.mark.parametrize("name", ["match", "detail", "discard"])
def test_somebody_elses_list_is_not_there(client, client_of, user, name):
    upload(client, b"kind,name\nservo,S9\n")
    run = ImportRun.objects.get(by=user)
    stranger = client_of(UserFactory())
    assert stranger.post(address(name, run)).status_code == 404


def test_nobody_is_asked_to_sign_in(client_of):
    assert client_of().get(START)["Location"].startswith("/sign-in/")


def test_the_pages_take_few_queries(client, user):
    upload(client, semicolon_list())
    run = ImportRun.objects.get(by=user)
    for target in (START, address("match", run), address("detail", run)):
        with CaptureQueriesContext(connection) as found:
            client.get(target)
        assert len(found) <= 8, target
