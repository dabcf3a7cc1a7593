"""The page of the packs for a build, as a person walks through it."""

import re

import pytest
from django.urls import reverse

from builds import operations
from tests.factories import BuildFactory, ClubFactory, UserFactory, keeper_of, member_of, part_of

QUERIES_MOST = 12


@pytest.fixture
def build(user):
    """A wing with most of its parts in, and its usual pack."""
    build = BuildFactory(person=user, name="Swift")
    for position in build.positions.exclude(kind__in=("airframe", "pack", "camera")):
        operations.fit_part(position, part_of(position.kind, user, mass_g=10.0), by=user)
    pack = part_of("pack", user, mass_g=155.0, name="Usual")
    operations.change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    build.refresh_from_db()
    return build


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def address(build, name="pack_match"):
    return reverse(f"builds:{name}", args=[build.pk])


def text_of(response):
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", plain).replace("\xa0", " ")


def test_each_pack_has_its_weight_balance_current_and_minutes(client, build, user):
    part_of("pack", user, mass_g=120.0, name="Spare")
    text = text_of(client.get(address(build)))
    for words in ("Usual", "Spare", "All-up weight", "Where the pack's middle should sit"):
        assert words in text.replace("&#x27;", "'")
    assert "Share of the rating" in text
    assert "Endurance" in text


def test_pack_with_a_warning_stands_under_it_with_the_reason(client, build, user):
    part_of("pack", user, mass_g=150.0, name="Tall", sheet__cell_count=14)
    page = client.get(address(build)).content.decode()
    assert page.index('id="warned-title"') < page.rindex("Tall")
    assert "What to do:" in page[page.index('id="warned-title"') :]


def test_pack_out_of_service_stands_apart_with_its_reason(client, build, user):
    part_of("pack", user, name="Puffed", out_of_service="swollen")
    page = client.get(address(build)).content.decode()
    assert page.count("Puffed") == 1
    assert page.index('id="apart-title"') < page.index("Puffed")
    assert "Taken out of service: swollen." in page


def test_member_is_told_to_ask_for_a_pack_of_the_pool(client_of):
    club = ClubFactory()
    keeper, member = keeper_of(club), member_of(club)
    part_of("pack", club, name="Pooled")
    build = BuildFactory(club=club)
    asked = "ask for it, or claim it, first"
    assert asked in text_of(client_of(member).get(address(build)))
    assert asked not in text_of(client_of(keeper).get(address(build)))


def test_page_without_packs_leads_to_adding_one(client, user):
    page = client.get(address(BuildFactory(person=user))).content.decode()
    assert f"{reverse('inventory:part_add')}?kind=pack" in page


def test_page_carries_the_cautions(client, build):
    text = text_of(client.get(address(build)))
    assert "not a clearance to fly" in text
    assert "It cannot see damage" in text


def test_page_takes_twelve_queries_at_most_however_many_packs(
    client, build, user, django_assert_max_num_queries
):
    for number in range(12):
        part_of("pack", user, mass_g=150.0 + number)
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(address(build)).status_code == 200


def test_page_is_hidden_from_strangers_and_needs_a_sign_in(client_of, build):
    assert client_of(UserFactory()).get(address(build)).status_code == 404
    assert client_of(None).get(address(build)).status_code == 302


def test_build_page_leads_to_it(client, build):
    page = client.get(address(build, "build_detail")).content.decode()
    assert page.count(f'href="{address(build)}"') == 2


def test_page_holds_no_style_of_its_own_and_no_id_twice(client, build, user):
    part_of("pack", user, mass_g=120.0)
    page = client.get(address(build)).content.decode()
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script(?![^>]*\ssrc=)", page)
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
