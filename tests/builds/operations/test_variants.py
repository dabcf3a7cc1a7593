"""What-ifs in the database: made, changed, applied whole or not at all."""

import dataclasses

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from builds.comparisons import CHANGES, compare_variants
from builds.models import Build, Fitting, Revision, Variant
from builds.operations import change_build, fit_part, remove_part
from builds.operations.variants import (
    apply_variant,
    change_variant,
    create_variant,
    delete_variant,
    drop_change,
    put_change,
)
from builds.snapshot import take_snapshot
from hangar.errors import Conflict, Missing, UserError
from inventory.models import Condition, Part, PartEvent
from inventory.operations import take_out_of_service
from tests.factories import (
    BuildFactory,
    ClaimFactory,
    ClubFactory,
    LoanFactory,
    PositionFactory,
    UserFactory,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    """A wing with a motor and a usual pack."""
    build = BuildFactory(person=user)
    fit_part(build.positions.get(key="motor"), part_of("motor", user, mass_g=30.0), by=user)
    pack = part_of("pack", user, mass_g=155.0)
    change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    return Build.objects.select_related("club").get(pk=build.pk)


def at(build, key):
    return build.positions.get(key=key)


def fitted(build, key):
    fitting = at(build, key).fittings.open().first()
    return fitting and fitting.part


def frozen(build):
    fresh = Build.objects.select_related("club").get(pk=build.pk)
    return dataclasses.replace(take_snapshot(fresh), revision=0)


def as_compared(build, variant, user):
    variants = list(Variant.objects.filter(pk=variant.pk).prefetch_related(CHANGES))
    _, option = compare_variants(build, viewer=user, variants=variants)
    return dataclasses.replace(option.snapshot, revision=0, ground={})


def state(build):
    """All that applying may touch."""
    return (
        list(Fitting.objects.order_by("pk").values()),
        list(Part.objects.order_by("pk").values()),
        list(Revision.objects.order_by("pk").values()),
        list(PartEvent.objects.order_by("pk").values()),
        list(Build.objects.filter(pk=build.pk).values()),
    )


def with_motor(build, user, motor=None, **values):
    motor = motor or part_of("motor", user, mass_g=50.0)
    changes = [{"position": at(build, "motor"), "part": motor}]
    return create_variant(build, by=user, name="other motor", changes=changes, **values)


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


# Applying


def test_applying_makes_the_build_what_was_compared(build, user):
    servo = part_of("servo", user, mass_g=9.6)
    variant = create_variant(
        build,
        by=user,
        name="all of it",
        pack=part_of("pack", user, mass_g=205.0),
        pack_x_mm=60.0,
        changes=[
            {"position": at(build, "motor"), "part": part_of("motor", user, mass_g=50.0)},
            {"position": at(build, "servo-left"), "part": servo},
        ],
    )
    compared = as_compared(build, variant, user)
    apply_variant(variant, by=user)
    assert frozen(build) == compared


def test_applying_and_then_the_parts_of_before_gives_the_same_build(build, user):
    before, motor, pack = frozen(build), fitted(build, "motor"), build.pack
    apply_variant(with_motor(build, user, pack=part_of("pack", user), pack_x_mm=60.0), by=user)
    assert frozen(build) != before
    back = create_variant(
        build,
        by=user,
        name="back",
        pack=pack,
        pack_x_mm=66.0,
        changes=[{"position": at(build, "motor"), "part": motor}],
    )
    apply_variant(back, by=user)
    assert frozen(build) == before


def test_applying_is_one_revision_that_names_the_variant(build, user):
    number = build.revision
    variant = with_motor(build, user)
    apply_variant(variant, by=user)
    build.refresh_from_db()
    assert build.revision == number + 1
    assert build.revisions.first().text.startswith("Applied the variant “other motor”: Motor: ")


def test_history_tells_what_came_out_and_what_went_in(build, user):
    old = fitted(build, "motor")
    variant = with_motor(build, user)
    apply_variant(variant, by=user)
    new = fitted(build, "motor")
    assert (old.events.latest("pk").verb, new.events.latest("pk").verb) == ("removed", "fitted")
    closed = Fitting.objects.get(part=old)
    opened = Fitting.objects.get(part=new)
    assert closed.removed_revision == opened.fitted_revision == build.revision + 1
    variant.refresh_from_db()
    assert (variant.applied_by, variant.applied_at is not None) == (user, True)


def test_a_pack_that_is_fitted_gives_way_to_the_variants(build, user):
    fit_part(at(build, "pack"), build.pack, by=user)
    variant = create_variant(build, by=user, name="heavy", pack=part_of("pack", user))
    compared = as_compared(build, variant, user)
    apply_variant(variant, by=user)
    assert fitted(build, "pack") == variant.pack
    assert frozen(build) == compared


def test_a_second_pack_brings_the_usual_one_into_its_tray(build, user):
    second = PositionFactory(build=build, key="pack-2", name="Second tray", kind="pack")
    variant = create_variant(
        build,
        by=user,
        name="two packs",
        packs_wiring="parallel",
        changes=[{"position": second, "part": part_of("pack", user)}],
    )
    compared = as_compared(build, variant, user)
    apply_variant(variant, by=user)
    assert fitted(build, "pack") == build.pack
    assert frozen(build) == compared


def test_applying_twice_is_refused(build, user):
    variant = with_motor(build, user)
    apply_variant(variant, by=user)
    with pytest.raises(Conflict, match="like this already"):
        apply_variant(variant, by=user)


def gone_into_another_build(motor, user):
    fit_part(at(BuildFactory(person=user, name="Other"), "motor"), motor, by=user)


def gone_out_of_service(motor, user):
    take_out_of_service(motor, reason="bent shaft", by=user)


def lent(motor, user):
    LoanFactory(part=motor)


def claimed(motor, user):
    ClaimFactory(part=motor)


def broken(motor, user):
    Part.objects.filter(pk=motor.pk).update(condition=Condition.BROKEN)


@pytest.mark.parametrize(
    ("go", "reason"),
    [
        (gone_into_another_build, "is in Other already"),
        (gone_out_of_service, "bent shaft"),
        (lent, "not yours to fit now"),
        (claimed, "not yours to fit now"),
        (broken, "is broken"),
    ],
)
def test_a_part_that_has_gone_elsewhere_stops_it_and_nothing_changes(build, user, go, reason):
    motor, servo = part_of("motor", user), part_of("servo", user)
    changes = [
        {"position": at(build, "servo-left"), "part": servo},
        {"position": at(build, "motor"), "part": motor},
    ]
    variant = create_variant(
        build, by=user, name="both", pack=part_of("pack", user), changes=changes
    )
    go(motor, user)
    before = state(build)
    with pytest.raises(Conflict, match=f"^Motor, .*{reason}"):
        apply_variant(variant, by=user)
    assert state(build) == before
    variant.refresh_from_db()
    assert variant.applied_at is None


@pytest.mark.parametrize(
    ("go", "reason"),
    [
        (gone_out_of_service, "bent shaft"),
        (lent, "borrowed or claimed"),
        (claimed, "borrowed or claimed"),
        (broken, "is broken"),
    ],
)
def test_a_usual_pack_that_has_gone_elsewhere_stops_it_too(build, user, go, reason):
    variant = with_motor(build, user, pack=part_of("pack", user))
    go(variant.pack, user)
    before = state(build)
    with pytest.raises(Conflict, match=reason):
        apply_variant(variant, by=user)
    assert state(build) == before


def test_a_usual_pack_in_another_aircraft_stops_it(build, user):
    variant = create_variant(build, by=user, name="pack", pack=part_of("pack", user))
    fit_part(at(BuildFactory(person=user), "pack"), variant.pack, by=user)
    with pytest.raises(Conflict, match="another aircraft"):
        apply_variant(variant, by=user)


def test_a_member_cannot_apply_a_variant_of_the_clubs_build():
    club = ClubFactory()
    build = BuildFactory(club=club)
    by = build.fittings.get().fitted_by
    variant = create_variant(build, by=by, name="empty", changes=[])
    with pytest.raises(Missing):
        apply_variant(variant, by=member_of(club))


def test_a_part_taken_out_meanwhile_is_no_hindrance(build, user):
    variant = with_motor(build, user)
    remove_part(Fitting.objects.open().get(position=at(build, "motor")), by=user)
    apply_variant(variant, by=user)
    assert fitted(build, "motor") == variant.changes.get().part
