"""The pages of what-ifs, as a person walks through them."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from builds import operations
from builds.models import ControlSurface, Variant, WeighIn
from builds.operations.power import record_power_reading
from builds.operations.variants import create_variant, put_change
from tests.factories import BuildFactory, part_of

QUERIES_MOST = 12


@pytest.fixture
def build(user):
    """A wing with a drive and its pack on hand."""
    build = BuildFactory(person=user, name="Swift")
    for position in build.positions.exclude(kind__in=("airframe", "pack", "camera")):
        operations.fit_part(position, part_of(position.kind, user, mass_g=10.0), by=user)
    pack = part_of("pack", user, mass_g=155.0)
    operations.change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    build.refresh_from_db()
    return build


@pytest.fixture
def variant(build, user):
    motor = part_of("motor", user, mass_g=58.0, name="Strong")
    changes = [{"position": build.positions.get(key="motor"), "part": motor}]
    return create_variant(build, by=user, name="stronger", changes=changes)


@pytest.fixture
def client(client_of, user):
    return client_of(user)


def text_of(response):
    plain = re.sub(r"<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", plain)


def address(name, build, *more):
    return reverse(f"builds:{name}", args=[build.pk, *more])


def test_the_build_page_leads_to_its_variants(client, build):
    page = client.get(address("build_detail", build))
    assert address("variant_list", build) in page.content.decode()


def test_a_variant_is_made_and_a_position_of_it_changed(client, build, user):
    pack, camera = part_of("pack", user), part_of("camera", user)
    made = client.post(
        address("variant_add", build), {"name": "With camera", "pack": pack.pk, "pack_x_mm": "6 cm"}
    )
    variant = Variant.objects.get()
    assert made["Location"] == address("variant_detail", build, variant.pk)
    place = build.positions.get(key="camera")
    client.post(address("variant_position", build, variant.pk, place.pk), {"part": camera.pk})
    page = text_of(client.get(address("variant_detail", build, variant.pk)))
    assert (variant.pack, variant.pack_x_mm) == (pack, 60.0)
    assert f"{place.name}: {camera}" in page
    assert not place.fittings.exists()


def test_a_position_may_be_left_empty_in_a_variant(client, build, variant):
    place = build.positions.get(key="motor")
    client.post(address("variant_position", build, variant.pk, place.pk), {})
    assert variant.changes.get().part is None


def test_an_arm_hole_may_differ(client, build, variant):
    surface = ControlSurface.objects.create(build=build, key="left", name="Left elevon")
    client.post(address("variant_surface", build, variant.pk, surface.pk), {"arm_radius_mm": "8"})
    assert "Left elevon: arm hole at 8" in text_of(
        client.get(address("variant_detail", build, variant.pk))
    )


def test_a_wrong_figure_is_told_at_its_box(client, build):
    answer = client.post(address("variant_add", build), {"name": "x", "pack_x_mm": "soon"})
    assert answer.status_code == 400
    assert not Variant.objects.exists()


def test_side_by_side_tells_every_difference_in_words(client, build, variant):
    page = text_of(client.get(address("variant_compare", build), {"variant": variant.pk}))
    assert "As it is" in page
    assert "stronger" in page
    assert "+48" in page


def test_a_current_over_its_limit_is_told_in_words(client, build, user):
    weak = part_of("motor", user, sheet__current_max_a=1.0)
    motor = build.positions.get(key="motor")
    variant = create_variant(
        build, by=user, name="weak", changes=[{"position": motor, "part": weak}]
    )
    page = text_of(client.get(address("variant_compare", build), {"variant": variant.pk}))
    assert re.search(r"as now: [\d.]+ A against 1 A: over", page)


def test_packs_stand_side_by_side_without_a_variant(client, build, user):
    pack = part_of("pack", user, mass_g=205.0, name="Big")
    page = text_of(client.get(address("variant_compare", build), {"pack": pack.code}))
    assert "With Big" in page
    assert "+50" in page


def test_four_columns_are_the_most(client, build, user):
    made = [create_variant(build, by=user, name=f"Number {n}").pk for n in range(5)]
    page = text_of(client.get(address("variant_compare", build), {"variant": made}))
    assert "Only the first 3 are shown" in page
    assert "Number 2" in page
    assert "Number 3" not in page


@pytest.mark.parametrize("query", [{"variant": "x"}, {"variant": "999999"}, {"pack": "nothing"}])
def test_what_is_not_there_is_not_found(client, build, query):
    assert client.get(address("variant_compare", build), query).status_code == 404


def test_applying_changes_the_build_and_says_so(client, build, variant):
    answer = client.post(address("variant_apply", build, variant.pk), follow=True)
    assert "stronger is applied" in text_of(answer)
    fitted = build.positions.get(key="motor").fittings.open().get()
    assert fitted.part == variant.changes.get().part


def test_a_part_that_has_gone_is_told_and_nothing_changes(client, build, variant, user):
    part = variant.changes.get().part
    other = BuildFactory(person=user, name="Other")
    operations.fit_part(other.positions.get(key="motor"), part, by=user)
    answer = client.post(address("variant_apply", build, variant.pk), follow=True)
    assert "Nothing was changed. Motor, " in text_of(answer)
    assert "is in Other already" in text_of(answer)


def test_a_change_is_dropped_and_a_variant_forgotten(client, build, variant):
    client.post(address("variant_drop", build, variant.pk, variant.changes.get().pk))
    assert not variant.changes.exists()
    client.post(address("variant_delete", build, variant.pk))
    assert not Variant.objects.exists()


def test_the_list_of_variants_takes_few_queries(
    client, build, variant, django_assert_max_num_queries
):
    with django_assert_max_num_queries(QUERIES_MOST):
        assert client.get(address("variant_list", build)).status_code == 200


def test_four_columns_take_as_many_queries_as_two(client, build, variant, user):
    def queries(chosen):
        with CaptureQueriesContext(connection) as context:
            client.get(address("variant_compare", build), {"variant": chosen})
        return len(context)

    motor = build.positions.get(key="motor")
    others = [
        create_variant(
            build,
            by=user,
            name=f"Number {number}",
            pack=part_of("pack", user),
            changes=[{"position": motor, "part": part_of("motor", user)}],
        )
        for number in range(2)
    ]
    few, many = queries([others[0].pk]), queries([variant.pk, *(one.pk for one in others)])
    assert few == many


def test_a_fully_measured_build_beside_a_variant_and_a_pack_takes_twelve_queries_at_most(
    client, build, variant, user, django_assert_max_num_queries
):
    with_everything(build, user)
    pack = part_of("pack", user)
    with django_assert_max_num_queries(QUERIES_MOST):
        page = client.get(
            address("variant_compare", build), {"variant": variant.pk, "pack": pack.code}
        )
    assert page.status_code == 200


def with_everything(build, user):
    """A surface, a weigh-in of today and a reading on the bench."""
    record_power_reading(build, by=user, voltage_v=15.6, current_a=30.0, speed_rpm=24000.0)
    WeighIn.objects.create(build=build, by=user, mass_g=500.0, revision=build.revision)
    return elevon(build)


def elevon(build, **values):
    given = {
        "chord_mm": 36.0, "span_mm": 230.0, "horn_radius_mm": 14.0, "axis_distance_mm": 80.0,
        "arm_radius_mm": 8.0, "throw_roll_mm": 8.0, "throw_pitch_mm": 6.0,
    }  # fmt: skip
    servo = build.positions.get(key="servo-left")
    named = {"key": "left", "name": "Left elevon", "mixing": "elevon", "servo": servo}
    return ControlSurface.objects.create(build=build, **named | given | values)


def test_throws_stand_side_by_side_with_travel_pulses_and_steps_lost(client, build, variant):
    surface = elevon(build)
    put_change(variant, by=variant.by, surface=surface, arm_radius_mm=12.0)
    page = text_of(client.get(address("variant_compare", build), {"variant": variant.pk}))
    assert "Left elevon Throw As it is stronger" in page
    assert re.search(r"Arm hole, from the shaft 8 mm 12 mm another hole", page)
    assert re.search(r"Travel for roll, 8 mm [\d.]+ % up, [\d.]+ % down \d+ to \d+ µs", page)
    assert "of the steps lost" in page
    assert re.search(r"Throw up at 100 % travel [\d.]+ mm [\d.]+ mm \+", page)


def test_a_throw_out_of_reach_is_told_in_words(client, build, variant):
    elevon(build, throw_roll_mm=15.5, throw_pitch_mm=10.0)
    page = text_of(client.get(address("variant_compare", build), {"variant": variant.pk}))
    assert "% down more than 100 %; stops at 14" in page
    assert "together, 25.5 mm not reached" in page


def test_surfaces_that_are_alike_stand_together(client, build, variant):
    elevon(build)
    elevon(build, key="right", name="Right elevon")
    page = text_of(client.get(address("variant_compare", build), {"variant": variant.pk}))
    assert "Left elevon, Right elevon Throw" in page


def test_the_current_is_held_against_every_limit(client, build, variant):
    page = text_of(client.get(address("variant_compare", build), {"variant": variant.pk}))
    for whose in ("speed controller", "motor", "pack", "lead", "current sensor"):
        assert f"against the {whose}" in page


def test_undoing_puts_the_build_back_and_says_so(client, build, variant):
    place = build.positions.get(key="motor")
    before = place.fittings.open().get().part
    applied = client.post(address("variant_apply", build, variant.pk), follow=True)
    assert address("variant_undo", build, variant.pk) in applied.content.decode()
    undone = client.post(address("variant_undo", build, variant.pk), follow=True)
    assert "the build is as it was before" in text_of(undone)
    assert place.fittings.open().get().part == before
    assert address("variant_undo", build, variant.pk) not in undone.content.decode()


def test_undoing_says_why_not_when_a_part_has_gone_elsewhere(client, build, variant, user):
    before = build.positions.get(key="motor").fittings.open().get().part
    client.post(address("variant_apply", build, variant.pk))
    other = BuildFactory(person=user, name="Other")
    operations.fit_part(other.positions.get(key="motor"), before, by=user)
    answer = client.post(address("variant_undo", build, variant.pk), follow=True)
    assert "Nothing was changed. Motor, " in text_of(answer)
    assert "is in Other already" in text_of(answer)


def test_a_spare_is_tried_from_the_page_of_its_position(client, build, user):
    spare = part_of("camera", user)
    place = build.positions.get(key="camera")
    page = client.get(address("position_detail", build, place.pk)).content.decode()
    assert address("variant_try", build) in page
    client.post(address("variant_try", build), {"part": spare.code, "position": place.pk})
    change = Variant.objects.get().changes.get()
    assert (change.position, change.part) == (place, spare)


def test_a_spare_extends_the_variant_that_the_page_was_asked_for(client, build, variant, user):
    spare = part_of("camera", user)
    place = build.positions.get(key="camera")
    asked = {"variant": variant.pk}
    assert "Try it in “stronger”" in text_of(
        client.get(address("position_detail", build, place.pk), asked)
    )
    body = {"part": spare.code, "position": place.pk, **asked}
    client.post(address("variant_try", build), body)
    assert {change.position.key for change in variant.changes.all()} == {"motor", "camera"}


def test_a_variant_of_another_build_is_not_offered(client, build, variant, user):
    other = BuildFactory(person=user)
    part_of("camera", user)
    place = other.positions.get(key="camera")
    page = text_of(client.get(address("position_detail", other, place.pk), {"variant": variant.pk}))
    assert "stronger" not in page


def test_a_pack_is_tried_from_the_build_page(client, build, user):
    pack = part_of("pack", user, mass_g=205.0)
    assert (
        address("variant_try", build) in client.get(address("build_detail", build)).content.decode()
    )
    client.post(address("variant_try", build), {"part": pack.code})
    assert Variant.objects.get().pack == pack


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ({"part": "nothing"}, "Label codes have no"),
        ({"position": "999999"}, "Select a valid choice"),
        ({"variant": "999999"}, "Select a valid choice"),
        ({"quantity": "0"}, "greater than or equal to 1"),
    ],
)
def test_a_trial_that_cannot_be_is_told_at_its_box(client, build, user, body, says):
    given = {"part": part_of("motor", user).code, "position": build.positions.get(key="motor").pk}
    answer = client.post(address("variant_try", build), given | body)
    assert answer.status_code == 400
    assert re.search(says, text_of(answer))
    assert not Variant.objects.exists()
