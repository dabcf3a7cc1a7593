"""What-ifs in the database: made, changed, compared, and a part tried in one."""

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from builds.comparisons import CHANGES, compare_variants
from builds.models import Variant
from builds.operations.applying import apply_variant
from builds.operations.variants import (
    change_variant,
    create_variant,
    delete_variant,
    drop_change,
    put_change,
    try_part,
)
from hangar.errors import Missing, UserError
from tests.builds.operations.what_ifs import as_compared, at, fitted, small_wing, state, with_motor
from tests.factories import (
    BuildFactory,
    PositionFactory,
    UserFactory,
    part_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    return small_wing(user)


# Making and changing


def test_making_a_variant_moves_nothing(build, user):
    before = state(build)
    with_motor(build, user, pack=part_of("pack", user))
    assert state(build)[0] == before[0]
    assert state(build)[2:] == before[2:]


def test_a_variant_needs_a_name_of_its_own(build, user):
    create_variant(build, by=user, name="6 cells")
    with pytest.raises(ValidationError):
        create_variant(build, by=user, name="6 cells")


def test_a_stranger_cannot_make_one(build):
    with pytest.raises(Missing):
        create_variant(build, by=UserFactory(), name="6 cells")


def test_a_part_of_another_kind_does_not_go_into_a_position(build, user):
    with pytest.raises(UserError, match="servo"):
        with_motor(build, user, motor=part_of("servo", user))


def test_a_part_that_one_may_not_see_is_no_such_part(build, user):
    with pytest.raises(UserError, match="No such part"):
        with_motor(build, user, motor=part_of("motor", UserFactory()))
    assert not Variant.objects.exists()


def test_one_part_cannot_be_in_two_positions(build, user):
    servo = part_of("servo", user)
    changes = [{"position": at(build, key), "part": servo} for key in ("servo-left", "servo-right")]
    with pytest.raises(UserError, match="two positions"):
        create_variant(build, by=user, name="twice", changes=changes)


def test_a_part_of_the_same_build_leaves_its_position_first(build, user):
    place = PositionFactory(build=build, key="motor-2", name="Rear motor", kind="motor")
    motor = fitted(build, "motor")
    changes = [{"position": place, "part": motor}]
    with pytest.raises(UserError, match="change that position too"):
        create_variant(build, by=user, name="rear", changes=changes)
    moved = [*changes, {"position": at(build, "motor"), "part": None}]
    apply_variant(create_variant(build, by=user, name="rear", changes=moved), by=user)
    assert (fitted(build, "motor-2"), fitted(build, "motor")) == (motor, None)


def test_a_position_of_another_build_is_none_of_this_one(build, user):
    other = BuildFactory(person=user)
    changes = [{"position": at(other, "motor"), "part": None}]
    with pytest.raises(UserError, match="not one of this build"):
        create_variant(build, by=user, name="astray", changes=changes)


def test_changes_given_anew_take_the_place_of_all_before(build, user):
    variant = with_motor(build, user)
    camera = part_of("camera", user)
    change_variant(variant, by=user, changes=[{"position": at(build, "camera"), "part": camera}])
    assert [change.part for change in variant.changes.all()] == [camera]


def test_a_change_of_a_position_takes_the_place_of_the_one_before(build, user):
    variant = with_motor(build, user)
    put_change(variant, by=user, position=at(build, "motor"), part=None)
    assert [change.part for change in variant.changes.all()] == [None]


def test_a_change_may_be_dropped(build, user):
    variant = with_motor(build, user)
    drop_change(variant.changes.get(), by=user)
    assert not variant.changes.exists()


def test_forgetting_a_variant_leaves_the_build(build, user):
    variant = with_motor(build, user)
    before = state(build)
    delete_variant(variant, by=user)
    assert state(build) == before


# Comparing


def test_comparing_writes_nothing(build, user):
    variant = with_motor(build, user, pack=part_of("pack", user))
    before = state(build)
    with CaptureQueriesContext(connection) as context:
        as_compared(build, variant, user)
    assert all(query["sql"].startswith("SELECT") for query in context)
    assert state(build) == before


def test_comparing_takes_as_many_queries_for_many_parts_as_for_few(build, user):
    def queries(variants):
        loaded = list(
            Variant.objects.filter(pk__in=[one.pk for one in variants]).prefetch_related(CHANGES)
        )
        with CaptureQueriesContext(connection) as context:
            compare_variants(build, viewer=user, variants=loaded)
        return len(context)

    few = with_motor(build, user, pack=part_of("pack", user))
    changes = [
        {"position": PositionFactory(build=build, key=f"s{n}", kind="servo"), "part": servo}
        for n, servo in enumerate(part_of("servo", user) for _ in range(10))
    ]
    many = create_variant(build, by=user, name="ten servos", changes=changes)
    packs = create_variant(build, by=user, name="pack", pack=part_of("pack", user))
    assert queries([few]) == queries([few, many, packs])


# Trying a part


def test_a_part_tried_in_a_position_gets_a_variant_of_its_own(build, user):
    motor = part_of("motor", user)
    variant = try_part(build, motor, by=user, position=at(build, "motor"))
    assert variant.name.endswith(motor.code)
    assert [(one.position.key, one.part) for one in variant.changes.all()] == [("motor", motor)]
    assert fitted(build, "motor") != motor


def test_a_part_tried_again_is_noted_in_the_same_variant(build, user):
    motor = part_of("motor", user)
    first, again = (try_part(build, motor, by=user, position=at(build, "motor")) for _ in range(2))
    assert first == again
    assert Variant.objects.count() == 1


def test_a_part_tried_in_a_given_variant_leaves_its_other_changes(build, user):
    variant, camera = with_motor(build, user), part_of("camera", user)
    place = at(build, "camera")
    assert try_part(build, camera, by=user, position=place, variant=variant) == variant
    assert {one.position.key for one in variant.changes.all()} == {"motor", "camera"}


def test_a_pack_tried_is_the_one_to_fly_with(build, user):
    pack = part_of("pack", user)
    variant = try_part(build, pack, by=user)
    variant.refresh_from_db()
    assert (variant.pack, variant.changes.exists()) == (pack, False)


def test_a_long_name_is_cut_and_keeps_the_label_code(build, user):
    motor = part_of("motor", user, name="Long " * 12)
    variant = try_part(build, motor, by=user, position=at(build, "motor"))
    assert len(variant.name) <= 60
    assert variant.name.endswith(f" {motor.code}")


def test_a_part_of_another_kind_is_tried_nowhere(build, user):
    with pytest.raises(UserError, match="servo"):
        try_part(build, part_of("servo", user), by=user, position=at(build, "motor"))
    with pytest.raises(UserError, match="servo"):
        try_part(build, part_of("servo", user), by=user)
    assert not Variant.objects.exists()
