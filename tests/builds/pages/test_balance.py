"""The page of the balance, as a person walks through it."""

import re

import pytest
from django.urls import reverse

from builds import operations
from builds.models import WeighIn
from tests.factories import BuildFactory, ClubFactory, UserFactory, member_of, part_of

QUERIES_MOST = 12


@pytest.fixture
def build(user):
    """A wing with its parts in, and a pack on hand."""
    build = BuildFactory(person=user, name="Swift")
    for position in build.positions.exclude(kind__in=("airframe", "pack", "camera")):
        operations.fit_part(position, part_of(position.kind, user, mass_g=10.0), by=user)
    pack = part_of("pack", user, mass_g=155.0)
    operations.change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    build.refresh_from_db()
    return build


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def address(name, build):
    return reverse(f"builds:{name}", args=[build.pk])


def text_of(response):
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", plain)


def weigh(client, build, **values):
    given = {"revision": build.revision, "mass_g": "400", "pack": build.pack.code} | values
    return client.post(address("weigh_in_add", build), given)


def test_page_shows_each_pack_with_its_place_from_marks(client, build, user):
    part_of("pack", user, mass_g=200.0)
    shown = client.get(address("balance", build))
    text = text_of(shown)
    assert shown.status_code == 200
    assert "behind the nose" in text
    assert "the tray" in text
    assert 'class="drawing pack-balance"' in shown.content.decode()


def test_page_takes_as_many_queries_for_many_packs_as_for_few(
    client, build, user, django_assert_max_num_queries
):
    for number in range(12):
        part_of("pack", user, mass_g=150.0 + number)
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(address("balance", build)).status_code == 200


def test_weigh_in_leads_until_the_build_changes(client, build, user):
    assert weigh(client, build, mass_g="400", cg_x_mm="131").status_code == 302
    text = text_of(client.get(address("balance", build)))
    assert "leads" in text
    assert "Weighed whole" in text
    operations.change_build(build, by=user, pack_x_mm=70.0)
    text = text_of(client.get(address("balance", build)))
    assert "that weigh-in is stale, and no figure uses it" in text


def test_each_weigh_in_of_this_revision_is_held_against_the_sum(client, build):
    weigh(client, build, mass_g="400")
    before = text_of(client.get(address("balance", build)))
    (first,) = set(re.findall(r"Scale less the sum of the parts (\S+ g)", before))
    weigh(client, build, mass_g="410")
    after = text_of(client.get(address("balance", build)))
    found = set(re.findall(r"Scale less the sum of the parts (\S+ g)", after))
    assert first in found
    assert len(found) == 2


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"mass_g": ""}, "required"),
        ({"mass_g": "-5"}, "above zero"),
        ({"mass_g": "400 mm"}, "mm"),
        ({"left_off": ["wheels"]}, "not one of the available choices"),
        ({"pack": "2D8YMX5"}, "not one of the available choices"),
        ({"revision": "0"}, "has changed since"),
    ],
)
def test_bad_weigh_in_is_told_at_its_field_and_nothing_is_kept(client, build, given, says):
    answer = weigh(client, build, **given)
    assert answer.status_code == 400
    assert says in text_of(answer)
    assert not WeighIn.objects.exists()


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("margin_percent=much", "number"),
        ("margin_percent=101", "less than or equal to 100"),
        ("ballast_x_mm=1e9", "less than or equal to 20000"),
        ("move=wheels", "not one of the available choices"),
    ],
)
def test_bad_choice_is_told_and_the_usual_is_shown(client, build, query, says):
    answer = client.get(f"{address('balance', build)}?{query}")
    assert answer.status_code == 400
    assert says in text_of(answer)


def test_part_that_is_moved_says_what_it_does(client, build):
    text = text_of(client.get(f"{address('balance', build)}?move=motor&move_mm=20"))
    assert "The centre of gravity moves by" in text


def test_pack_that_is_not_on_hand_is_not_found(client, build):
    assert client.get(f"{address('balance', build)}?pack=2D8YMX5").status_code == 404


def test_member_of_the_club_sees_no_form(client_of):
    club = ClubFactory()
    build = BuildFactory(club=club)
    page = client_of(member_of(club)).get(address("balance", build)).content.decode()
    assert address("weigh_in_add", build) not in page


def test_nobody_else_gets_the_page(client_of, build):
    assert client_of(UserFactory()).get(address("balance", build)).status_code == 404


def test_page_holds_no_script_or_style_of_its_own(client, build):
    page = client.get(address("balance", build)).content.decode()
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script(?![^>]*\ssrc=)", page)


def test_build_page_works_in_the_air_asked_for(client, build):
    page = address("build_detail", build)
    text = text_of(client.get(f"{page}?elevation_m=1000&temperature_c=30"))
    assert "1000 m" in text.replace("\u00a0", " ")
    refused = client.get(f"{page}?elevation_m=sky")
    assert refused.status_code == 400
    assert "The usual air is taken." in text_of(refused)
