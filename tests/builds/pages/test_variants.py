"""The pages of what-ifs, as a person walks through them."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from builds import operations
from builds.models import ControlSurface, Variant
from builds.operations.variants import create_variant
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
