"""Pages of checks, of a crash, and of the sheet for the field, as a person sends them."""

import pytest
from django.urls import reverse

from builds.models import Build, CheckDone, Crash, FieldSheet
from builds.operations import fit_part
from tests.factories import BuildFactory, ClubFactory, member_of, part_of

QUERIES_MOST = 12


@pytest.fixture
def build(user):
    made = BuildFactory(person=user)
    fit_part(made.positions.get(key="motor"), part_of("motor", user), by=user)
    return Build.objects.get(pk=made.pk)


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def address(build, name, *more):
    return reverse(f"builds:{name}", args=[build.pk, *more])


def shown(client, build, name, *more):
    return client.get(address(build, name, *more)).content.decode()


@pytest.mark.parametrize("name", ["checks", "crash_add", "field_sheet", "signed_sheets"])
def test_a_page_takes_twelve_queries_at_most(
    client, build, user, name, django_assert_max_num_queries
):
    part_of("pack", user)
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(address(build, name)).status_code == 200


def test_the_build_page_tells_what_is_due(client, build):
    page = shown(client, build, "build_detail")
    assert "To be checked again" in page
    assert "Direction in which each motor turns" in page


def test_a_ticked_check_is_written_down_and_no_longer_due(client, build, user):
    body = {"kinds": ["motor_direction"], "revision": build.revision, "note": "cw, both"}
    assert client.post(address(build, "checks"), body).status_code == 302
    assert CheckDone.objects.get().by == user
    page = shown(client, build, "checks")
    assert "cw, both" in page
    assert f"Due since revision {build.revision}: Fitted" in page


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ({"kinds": []}, "This field is required"),
        ({"kinds": ["balance"], "revision": 0}, "The build has changed"),
        ({"kinds": ["crash_inspection"]}, "20 characters or more"),
    ],
)
def test_what_is_wrong_with_a_tick_is_told(client, build, body, words):
    answer = client.post(address(build, "checks"), {"revision": build.revision} | body)
    assert answer.status_code == 400
    assert words in answer.content.decode()
    assert not CheckDone.objects.exists()


def test_a_crash_is_written_down(client, build, user):
    pack = part_of("pack", user)
    page = shown(client, build, "crash_add")
    assert f'value="{pack.code}"' in page
    body = {
        "note": "into a hedge", "revision": build.revision, "positions": ["motor"],
        "pack": pack.code,
    }  # fmt: skip
    assert client.post(address(build, "crash_add"), body).status_code == 302
    assert len(Crash.objects.get().harmed) == 2
    page = shown(client, build, "checks")
    assert "into a hedge" in page
    assert "Inspection after the crash" in page


def test_a_crash_without_words_is_told_at_the_field(client, build):
    body = {"revision": build.revision, "positions": ["motor"]}
    answer = client.post(address(build, "crash_add"), body)
    assert answer.status_code == 400
    assert not Crash.objects.exists()


def test_a_sheet_is_signed_and_shown_as_it_was(client, build, user):
    page = shown(client, build, "field_sheet")
    digest = page.partition('name="digest" value="')[2].partition('"')[0]
    body = {"digest": digest, "ticked": ["site-1"], "note": "calm, dry"}
    answer = client.post(address(build, "field_sheet"), body)
    signed = FieldSheet.objects.get()
    assert answer["Location"] == address(build, "signed_sheet", signed.pk)
    page = shown(client, build, "signed_sheet", signed.pk)
    assert "calm, dry" in page
    assert page.count(">ticked<") == 1
    assert page.count(">not ticked<") > 5
    assert "calm, dry" in shown(client, build, "signed_sheets")


def test_a_sheet_that_changed_meanwhile_keeps_the_ticks(client, build):
    answer = client.post(address(build, "field_sheet"), {"digest": "0", "ticked": ["site-1"]})
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "go through it again" in page
    assert 'value="site-1" checked' in page


def test_the_sheet_is_of_the_pack_asked_for(client, build, user):
    pack = part_of("pack", user)
    page = client.get(address(build, "field_sheet"), {"pack": pack.code}).content.decode()
    assert f"?pack={pack.code}" in page
    assert client.get(address(build, "field_sheet"), {"pack": "nope"}).status_code == 404


def test_a_member_who_may_only_look_sees_no_box_to_tick(client_of):
    club = ClubFactory()
    build = BuildFactory(club=club)
    reader = client_of(member_of(club))
    for name in ("checks", "field_sheet"):
        assert 'type="checkbox"' not in shown(reader, build, name)


def test_the_sheet_of_another_build_is_not_found(client, build, user):
    other = BuildFactory(person=user)
    signed = FieldSheet.objects.create(build=other, by=user, revision=1, content={}, digest="0")
    assert client.get(address(build, "signed_sheet", signed.pk)).status_code == 404
