"""The page of what fits where, as a person walks through it."""

import re

import pytest
from django.urls import reverse

from builds import operations
from tests.factories import BuildFactory, UserFactory, part_of

QUERIES_MOST = 12


@pytest.fixture
def build(user):
    """A build with a camera in a slot that is too wide for it, and a motor."""
    build = BuildFactory(person=user, name="Swift")
    slot = operations.add_position(
        build, by=user, key="slot", name="Slot", kind="camera", width_mm=21.6
    )
    camera = part_of("camera", user, sheet__width_mm=20.0)
    operations.fit_part(slot, camera, by=user)
    motor = build.positions.get(kind="motor")
    operations.change_position(motor, by=user, plate_mm=3.0)
    sheet = {"sheet__screw_depth_max_mm": 4.0, "sheet__screw_diameter_mm": 3.0}
    operations.fit_part(motor, part_of("motor", user, **sheet), by=user)
    return build


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def address(build, name="room"):
    return reverse(f"builds:{name}", args=[build.pk])


def text_of(response):
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", plain).replace("\xa0", " ")


def test_page_says_what_is_to_spare_and_what_shim_is_wanted(client, build):
    text = text_of(client.get(address(build)))
    assert "Width: room 21.6 mm, part 20 mm" in text
    assert re.search(r"Shim wanted each side 0\.8", text)


def test_page_takes_twelve_queries_at_most(client, build, django_assert_max_num_queries):
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(address(build)).status_code == 200


def test_page_is_hidden_from_strangers_and_needs_a_sign_in(client_of, build):
    assert client_of(UserFactory()).get(address(build)).status_code == 404
    assert client_of(None).get(address(build)).status_code == 302


def test_page_holds_no_style_of_its_own_and_no_id_twice(client, build):
    page = client.get(address(build), {"length_mm": "20"}).content.decode()
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|<script(?![^>]*\ssrc=)", page)
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_build_page_and_position_page_lead_to_it(client, build):
    slot = build.positions.get(key="slot")
    assert address(build) in client.get(address(build, "build_detail")).content.decode()
    at = reverse("builds:position_detail", args=[build.pk, slot.pk])
    assert f"{address(build)}?position=slot" in client.get(at).content.decode()


def test_one_place_is_shown_alone(client, build):
    page = client.get(address(build), {"position": "slot"}).content.decode()
    motor = build.positions.get(kind="motor")
    assert f'id="place-{motor.pk}"' not in page
    assert f'id="place-{build.positions.get(key="slot").pk}"' in page


def test_part_of_other_sizes_is_held_against_the_place(client, build):
    text = text_of(client.get(address(build), {"position": "slot", "width_mm": "2.2 cm"}))
    assert "Width: room 21.6 mm, part 22 mm" in text
    assert "Does not fit" in text


def test_screw_of_another_length_is_held_against_the_motor(client, build):
    text = text_of(client.get(address(build), {"screw_length_mm": "8"}))
    assert "Screws of 8 mm, as asked" in text
    assert re.search(r"Left below the tip −1 mm", text)


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("length_mm", "long"),
        ("width_mm", "0"),
        ("height_mm", "1e999"),
        ("screw_length_mm", "5 g"),
        ("position", "nowhere"),
    ],
)
def test_bad_size_is_told_at_its_field(client, build, name, given):
    answer = client.get(address(build), {name: given})
    assert answer.status_code == 400
    assert f'id="id_{name}_error"' in answer.content.decode()
    assert "At a glance" in text_of(answer)
