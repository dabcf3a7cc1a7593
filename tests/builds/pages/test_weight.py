"""What the pages of builds ask of the database and of a phone's line."""

import gzip

import pytest
from django.urls import reverse
from django.utils import timezone

from builds import operations
from builds.models import Fitting, Position, PowerReading, WeighIn
from inventory.models import Part
from tests.factories import BuildFactory, LogEntryFactory, part_of

QUERIES_MOST = 12
COMPRESSED_MOST = 150_000
PAGES = (
    "build_detail",
    "balance",
    "power",
    "placing",
    "controls",
    "outputs",
    "room",
    "variant_compare",
)


@pytest.fixture
def measured_build(user):
    """A wing that was weighed and read on the bench, with packs that have logs."""
    build = BuildFactory(person=user, name="Swift")
    for position in build.positions.exclude(kind__in=("airframe", "pack", "camera")):
        operations.fit_part(position, part_of(position.kind, user, mass_g=10.0), by=user)
    packs = [part_of("pack", user, mass_g=150.0 + number) for number in range(4)]
    for pack in packs:
        LogEntryFactory(pack=pack, started_at=timezone.now())
    operations.choose_ground_gear(part_of("ground_gear", user, sheet__role="charger"), by=user)
    build = operations.change_build(build, by=user, pack=packs[0], pack_x_mm=66.0)
    WeighIn.objects.create(
        build=build, by=user, mass_g=410.0, pack=packs[0], revision=build.revision
    )
    fitted = {
        kind: build.fittings.open().get(part__kind=kind).part for kind in ("motor", "propeller")
    }
    PowerReading.objects.create(
        build=build,
        by=user,
        voltage_v=15.0,
        current_a=30.0,
        speed_rpm=24000.0,
        revision=build.revision,
        **fitted,
    )
    return build


@pytest.mark.parametrize("name", PAGES)
def test_a_page_of_a_measured_build_takes_twelve_queries_at_most(
    client_of, measured_build, user, name, django_assert_max_num_queries
):
    client = client_of(user)
    with django_assert_max_num_queries(QUERIES_MOST):
        response = client.get(reverse(f"builds:{name}", args=[measured_build.pk]))
    assert response.status_code == 200


def build_of_many(user, number):
    """A build of many small parts, of which nobody knows the mass."""
    build = operations.create_build(name="Many", by=user)
    sheets = [part_of(kind, user).sheet for kind in ("hardware", "servo", "camera", "lead")]
    parts = Part.objects.bulk_create(
        Part(
            kind=sheets[index % 4].kind,
            sheet=sheets[index % 4],
            person=user,
            code=f"Q{index:06}",
            fitted_count=1,
            has_free=False,
        )
        for index in range(number)
    )
    positions = Position.objects.bulk_create(
        Position(build=build, key=f"p{index}", name=f"Place {index}", kind=part.kind, x_mm=index)
        for index, part in enumerate(parts)
    )
    Fitting.objects.bulk_create(
        Fitting(build=build, position=position, part=part, fitted_by=user, fitted_revision=1)
        for position, part in zip(positions, parts, strict=True)
    )
    return build


def test_the_page_of_a_build_of_three_hundred_parts_is_light(client_of, user):
    build = build_of_many(user, 300)
    response = client_of(user).get(reverse("builds:build_detail", args=[build.pk]))
    assert response.content.count(b"Place 299") > 0
    assert len(gzip.compress(response.content)) < COMPRESSED_MOST
