"""Pages of a log file."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory.log_files import importing, receiving
from tests.factories import ClubFactory, UserFactory, member_of, part_of
from tests.inventory.log_files.files import imported, matched, received

pytestmark = pytest.mark.django_db

LIST = "when,what,mAh\n2026-05-01 10:00,charge,1020\n2026-05-02 14:30,flight,980\nsoon,use,1\n"


@pytest.fixture
def pack(user):
    return part_of("pack", user)


@pytest.fixture
def browser(client_of, user):
    return client_of(user)


def start(pack):
    return f"/packs/{pack.code}/log/import/"


def upload(browser, pack, text=LIST, name="charger.csv"):
    file = SimpleUploadedFile(name, text.encode())
    return browser.post(start(pack), {"file": file}, follow=True)


def sent_as_shown(answer):
    form = answer.context["form"]
    return {
        name: form[name].value() for name in form.fields if form[name].value() not in (None, False)
    }


def test_a_file_is_matched_shown_and_imported(browser, pack):
    columns = upload(browser, pack)
    assert "Which column is what?" in columns.content.decode()
    address = columns.redirect_chain[-1][0]
    preview = browser.post(address, sent_as_shown(columns), follow=True)
    page = preview.content.decode()
    assert "Nothing is logged yet" in page
    assert "Row 4, when" in page
    assert not pack.log.exists()
    done = browser.post(preview.redirect_chain[-1][0], follow=True)
    assert pack.log.count() == 2
    assert "Row 4, when" in done.content.decode()


def test_the_next_file_with_these_headers_is_read_the_same_way(browser, pack):
    text = "A,B,C\n2026-05-01 10:00,use,900\n"
    columns = {"A": "moment", "B": "kind", "C": "charge_mah"}
    imported(pack, text, columns=columns)
    shown = upload(browser, pack, text.replace("900", "901"))
    form = shown.context["form"]
    assert [form[f"column_{place}"].value() for place in range(3)] == list(columns.values())


def test_the_same_file_again_leads_to_what_it_became(browser, pack):
    imported(pack, LIST)
    answer = upload(browser, pack)
    assert "nothing to add" in answer.content.decode()
    assert pack.log.count() == 2


def test_a_recipe_that_cannot_be_used_is_told_at_its_box(browser, pack):
    columns = upload(browser, pack)
    body = sent_as_shown(columns) | {"column_0": "", "zone": "Moon", "unit_2": "furlong"}
    answer = browser.post(columns.redirect_chain[-1][0], body)
    errors = answer.context["form"].errors
    assert answer.status_code == 400
    assert {"zone", "unit_2", "__all__"} <= set(errors)


def test_a_file_that_is_no_log_is_told_at_its_box(browser, pack):
    answer = upload(browser, pack, "")
    assert answer.status_code == 400
    assert "file" in answer.context["form"].errors


def test_a_long_file_shows_its_progress_and_goes_on_by_itself(browser, pack, monkeypatch):
    monkeypatch.setattr(receiving, "BLOCK_CHARACTERS", 500)
    monkeypatch.setattr(importing, "SECONDS_AT_ONCE", 0)
    rows = "".join(f"2026-05-{n % 28 + 1:02} {n % 24:02}:00,use,900\n" for n in range(100))
    file = matched(received(pack, f"when,what,mAh\n{rows}"))
    address = f"{start(pack)}{file.pk}/"
    first = browser.post(address, headers={"HX-Request": "true"}).content.decode()
    assert re.search(r'<progress [^>]*value="1"', first)
    assert 'hx-trigger="load' in first
    while "hx-trigger" in first:
        first = browser.post(address, headers={"HX-Request": "true"}).content.decode()
    assert "Imported" in first
    assert pack.log.count() == 100


def test_a_file_can_be_discarded_before_it_is_imported(browser, pack):
    file = matched(received(pack, LIST))
    browser.post(f"{start(pack)}{file.pk}/discard/")
    assert not pack.log_files.exists()


def test_a_stranger_finds_no_file(client_of, pack):
    file = matched(received(pack, LIST))
    stranger = client_of(UserFactory())
    for address in (start(pack), f"{start(pack)}{file.pk}/", f"{start(pack)}{file.pk}/columns/"):
        assert stranger.get(address).status_code == 404


def test_a_member_sees_the_clubs_pack_but_imports_nothing(client_of):
    club = ClubFactory()
    pack = part_of("pack", club)
    assert client_of(member_of(club)).get(start(pack)).status_code == 403


def test_the_log_names_the_file_and_the_row_of_an_entry(browser, pack):
    imported(pack, LIST)
    assert "log.csv, row 3" in browser.get(f"/packs/{pack.code}/log/").content.decode()
