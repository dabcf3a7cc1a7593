"""The pages of the control set-up and of the outputs, as a person walks through them."""

import re

import pytest
from django.urls import reverse

from builds import operations
from builds.operations.controls import add_surface, record_throw
from tests.factories import BuildFactory, ClubFactory, member_of, part_of

QUERIES_MOST = 12
LINKAGE = {
    "chord_mm": 36.0,
    "span_mm": 230.0,
    "horn_radius_mm": 14.0,
    "axis_distance_mm": 80.0,
    "arm_radius_mm": 10.0,
    "throw_roll_mm": 14.0,
    "throw_pitch_mm": 10.0,
}


@pytest.fixture
def build(user):
    """A wing with its motor beside the servos, and a pack."""
    build = BuildFactory(person=user, name="Swift")
    for position in build.positions.exclude(kind__in=("airframe", "pack", "camera")):
        arm = {"sheet__arm_radii_mm": [8.0, 10.0, 12.0], "sheet__travel_deg": 45.0,
               "sheet__pulse_span_us": 500.0} if position.kind == "servo" else {}  # fmt: skip
        part = part_of(position.kind, user, mass_g=10.0, **arm)
        operations.fit_part(position, part, by=user)
    operations.change_build(
        build, by=user, pack=part_of("pack", user, mass_g=155.0), motor_signal="digital"
    )
    build.positions.filter(key="motor").update(output=4)
    build.positions.filter(key="servo-right").update(output=5)
    build.refresh_from_db()
    return build


@pytest.fixture
def surface(build, user):
    servo = build.positions.get(key="servo-left")
    return add_surface(build, by=user, name="Left elevon", mixing="elevon", servo=servo, **LINKAGE)


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def text_of(response):
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", plain)


def address(name, build, *more):
    return reverse(f"builds:{name}", args=[build.pk, *more])


def test_the_build_page_leads_to_both(client, build):
    page = client.get(address("build_detail", build)).content.decode()
    assert address("controls", build) in page
    assert address("outputs", build) in page


def test_the_page_tells_the_hole_the_travel_and_what_both_ask(client, build, surface):
    text = text_of(client.get(address("controls", build)))
    assert "Mechanics first: move the pushrod to the hole at 8 mm" in text
    assert "93.6 / 97.3 %" in text
    assert "Both sticks at full ask 24 mm" in text
    assert "height of the trailing edge over neutral" in text
    assert "this build: speed max (m/s)" in text


def test_the_chart_has_its_numbers_in_a_table(client, build, surface):
    page = client.get(address("controls", build)).content.decode()
    assert f'aria-labelledby="throws-{surface.pk}-title throws-{surface.pk}-desc"' in page
    assert "The curves as a table" in page


def test_a_build_without_surfaces_invites_to_add_one(client, build):
    assert address("surface_add", build) in client.get(address("controls", build)).content.decode()


def test_a_surface_is_added_in_any_unit(client, build):
    form = {"name": "Rudder", "mixing": "rudder", "chord_mm": "4.5 cm"}
    assert client.post(address("surface_add", build), form).status_code == 302
    assert build.surfaces.get().chord_mm == 45


def test_what_cannot_be_is_said_at_the_form(client, build, surface):
    again = client.post(address("surface_add", build), {"name": "Left elevon", "mixing": "rudder"})
    assert again.status_code == 400
    assert "has a surface of that short name already" in text_of(again)
    wrong = client.post(
        address("surface_change", build, surface.pk),
        {"name": "Left elevon", "mixing": "elevon", "hinge_limit_deg": "100"},
    )
    assert wrong.status_code == 400
    assert "at most 90" in text_of(wrong)


def test_a_throw_is_recorded_and_compared(client, build, surface):
    form = {"axis": "roll", "up_mm": "13", "travel_percent": "70", "source": "measured"}
    assert client.post(address("throw_add", build, surface.pk), form).status_code == 302
    text = text_of(client.get(address("controls", build)))
    assert "Roll up: measured 13 mm at 70 % travel, worked out 13.5 mm, wanted 14 mm." in text
    assert "Set the travel to" in text


def test_records_that_disagree_are_shown_as_such(client, build, surface, user):
    for up_mm in (50.0, 15.0):
        record_throw(surface, by=user, axis="pitch", up_mm=up_mm)
    text = text_of(client.get(address("controls", build)))
    assert "contradict each other. None of them is used" in text
    assert "on a chord of 36 mm. One of them is wrong." in text


def test_a_surface_is_removed_unless_it_was_measured(client, build, surface, user):
    record_throw(surface, by=user, axis="roll", up_mm=14.0)
    client.post(address("surface_remove", build, surface.pk))
    assert build.surfaces.exists()
    surface.throws.all().delete()
    client.post(address("surface_remove", build, surface.pk))
    assert not build.surfaces.exists()


def test_surfaces_that_are_alike_are_told_once(client, build, surface, user):
    servo = build.positions.get(key="servo-right")
    add_surface(build, by=user, name="Right elevon", mixing="elevon", servo=servo, **LINKAGE)
    assert "the same as of Left elevon" in text_of(client.get(address("controls", build)))


def test_the_outputs_page_names_the_fault_and_takes_the_map(client, build):
    page = client.get(address("outputs", build))
    assert "has no signal that suits Motor, Servo, left" in text_of(page)
    taken = client.post(address("outputs", build), {"revision": build.revision})
    assert taken.status_code == 302
    assert build.positions.get(key="motor").output == 1
    assert "No fault in this map." in text_of(client.get(address("outputs", build)))


def test_the_outputs_page_proves_that_there_is_no_map(client, build):
    page = client.get(f"{address('outputs', build)}?fixed=motor&fixed=servo-left")
    assert "There is no such map." in text_of(page)
    refused = client.post(
        address("outputs", build), {"fixed": ["motor", "servo-left"], "revision": build.revision}
    )
    assert refused.status_code == 400
    assert build.positions.get(key="motor").output == 4


def test_a_map_of_an_older_revision_is_not_taken(client, build):
    answer = client.post(address("outputs", build), {"revision": build.revision - 1})
    assert answer.status_code == 400
    assert "has changed since" in text_of(answer)


@pytest.mark.parametrize("name", ["controls", "outputs"])
def test_a_page_takes_twelve_queries_at_most(
    client, build, surface, user, name, django_assert_max_num_queries
):
    for number in range(6):
        other = add_surface(build, by=user, name=f"Flap {number}", mixing="flap")
        record_throw(other, by=user, axis="pitch", up_mm=1.0)
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(address(name, build)).status_code == 200


def test_a_member_reads_what_the_club_flies_without_buttons(client_of):
    club = ClubFactory()
    build = BuildFactory(club=club)
    page = client_of(member_of(club)).get(address("controls", build)).content.decode()
    assert address("surface_add", build) not in page
