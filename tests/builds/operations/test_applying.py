"""A what-if applied and taken back, each time whole or not at all."""

import dataclasses

import pytest

from builds.models import Build, ControlSurface, Fitting, Variant
from builds.operations import change_build, fit_part, remove_part, swap_part
from builds.operations.applying import apply_variant, undo_variant
from builds.operations.variants import create_variant
from hangar.errors import Conflict, Missing
from inventory.models import Condition, Part
from inventory.operations import take_out_of_service
from tests.builds.operations.what_ifs import (
    as_compared,
    at,
    fitted,
    frozen,
    small_wing,
    state,
    with_motor,
)
from tests.factories import (
    BuildFactory,
    ClaimFactory,
    ClubFactory,
    LoanFactory,
    PositionFactory,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    return small_wing(user)


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


# Taking back


@pytest.fixture
def surface(build):
    return ControlSurface.objects.create(
        build=build, key="left", name="Left elevon", arm_radius_mm=10.0
    )


@pytest.fixture
def applied(build, user, surface):
    """A variant of motor, servo, pack and arm hole, applied; and the build as it was before."""
    before = frozen(build)
    changes = [
        {"position": at(build, "motor"), "part": part_of("motor", user, mass_g=50.0)},
        {"position": at(build, "servo-left"), "part": part_of("servo", user)},
        {"surface": surface, "arm_radius_mm": 8.0},
    ]
    variant = create_variant(
        build, by=user, name="all", pack=part_of("pack", user), pack_x_mm=60.0, changes=changes
    )
    apply_variant(variant, by=user)
    variant.refresh_from_db()
    return variant, before


def without_since(snapshot):
    """A surface that was changed and changed back is to be measured anew."""
    surfaces = tuple(dataclasses.replace(one, since_revision=0) for one in snapshot.surfaces)
    return dataclasses.replace(snapshot, surfaces=surfaces)


def test_taking_back_gives_the_build_of_before(build, user, applied):
    variant, before = applied
    assert without_since(frozen(build)) != without_since(before)
    undo_variant(variant, by=user)
    assert without_since(frozen(build)) == without_since(before)


def test_taking_back_is_one_revision_and_the_history_keeps_both(build, user, applied):
    variant, _ = applied
    number = variant.applied_revision
    motor = variant.changes.get(position__key="motor").part
    undo_variant(variant, by=user)
    build.refresh_from_db()
    assert build.revision == number + 1
    texts = [revision.text for revision in build.revisions.all()[:2]]
    assert texts[0].startswith("Took back the variant “all”: Motor: ")
    assert texts[1].startswith("Applied the variant “all”: ")
    assert [one.verb for one in motor.events.order_by("pk")][-2:] == ["fitted", "removed"]
    fitting = Fitting.objects.get(part=motor)
    assert (fitting.fitted_revision, fitting.removed_revision) == (number, number + 1)


def test_a_throw_measured_before_is_not_taken_for_one_of_the_hole_put_back(
    build, user, surface, applied
):
    undo_variant(applied[0], by=user)
    surface.refresh_from_db()
    build.refresh_from_db()
    assert (surface.arm_radius_mm, surface.since_revision) == (10.0, build.revision)


def test_a_variant_taken_back_may_be_applied_again_and_taken_back_again(build, user, applied):
    variant, before = applied
    for _ in range(2):
        undo_variant(variant, by=user)
        apply_variant(variant, by=user)
    undo_variant(variant, by=user)
    assert without_since(frozen(build)) == without_since(before)


def test_a_variant_that_was_not_applied_or_is_taken_back_cannot_be_taken_back(build, user):
    variant = with_motor(build, user)
    with pytest.raises(Conflict, match="is not applied"):
        undo_variant(variant, by=user)
    apply_variant(variant, by=user)
    undo_variant(variant, by=user)
    with pytest.raises(Conflict, match="is not applied"):
        undo_variant(variant, by=user)


def test_a_build_that_had_no_usual_pack_has_none_again(user):
    build = BuildFactory(person=user)
    variant = create_variant(build, by=user, name="pack", pack=part_of("pack", user))
    apply_variant(variant, by=user)
    undo_variant(variant, by=user)
    build.refresh_from_db()
    assert build.pack is None


@pytest.mark.parametrize(
    ("go", "reason"),
    [
        (gone_into_another_build, "is in Other already"),
        (gone_out_of_service, "bent shaft"),
        (lent, "not yours to fit now"),
        (broken, "is broken"),
    ],
)
def test_a_part_of_before_that_has_gone_elsewhere_stops_it_and_nothing_changes(
    build, user, go, reason
):
    old = fitted(build, "motor")
    variant = with_motor(build, user, pack=part_of("pack", user))
    apply_variant(variant, by=user)
    go(old, user)
    before = state(build)
    with pytest.raises(Conflict, match=f"^Motor, .*{reason}"):
        undo_variant(variant, by=user)
    assert state(build) == before
    variant.refresh_from_db()
    assert variant.applied_revision is not None


def taken_out(build, user, surface):
    remove_part(Fitting.objects.open().get(position=at(build, "motor")), by=user)


def swapped(build, user, surface):
    fitting = Fitting.objects.open().get(position=at(build, "motor"))
    swap_part(fitting, part_of("motor", user), by=user)


def pack_moved(build, user, surface):
    change_build(build, by=user, pack_x_mm=61.0)


def another_pack(build, user, surface):
    change_build(build, by=user, pack=part_of("pack", user))


def another_hole(build, user, surface):
    ControlSurface.objects.filter(pk=surface.pk).update(arm_radius_mm=12.0)


def surface_gone(build, user, surface):
    surface.delete()


def usual_pack_in_another_aircraft(build, user, surface):
    pack = Part.objects.get(kind="pack", mass_g=155.0)
    fit_part(at(BuildFactory(person=user), "pack"), pack, by=user)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (taken_out, "^Motor: .* has been taken out since"),
        (swapped, "^Motor: .* has been taken out since"),
        (pack_moved, "^The place of the pack has been changed since"),
        (another_pack, "^The usual pack has been changed since"),
        (another_hole, "^Left elevon: the arm hole has been changed since"),
        (surface_gone, "no longer there"),
        (usual_pack_in_another_aircraft, "^Pack, .* in another aircraft"),
    ],
)
def test_what_was_changed_since_is_not_overwritten(build, user, surface, applied, change, reason):
    change(build, user, surface)
    before = state(build)
    with pytest.raises(Conflict, match=reason):
        undo_variant(applied[0], by=user)
    assert state(build) == before


def test_a_member_cannot_take_back_a_variant_of_the_clubs_build():
    club = ClubFactory()
    build = BuildFactory(club=club)
    by = build.fittings.get().fitted_by
    pack = part_of("pack", club)
    variant = create_variant(build, by=by, name="pack", pack=pack)
    apply_variant(variant, by=by)
    with pytest.raises(Missing):
        undo_variant(variant, by=member_of(club))
    assert Variant.objects.get(pk=variant.pk).applied_revision
    assert Build.objects.get(pk=build.pk).pack == pack
