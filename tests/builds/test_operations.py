"""Writes to builds: what each does, refuses and leaves in the build's history."""

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction
from django.utils import timezone

from builds import operations
from builds.models import Build, Fitting, GroundChoice, Position, Revision
from hangar.clubs.models import Role
from hangar.errors import Conflict, Missing, NotAllowed, UserError
from inventory.models import Part
from inventory.operations import claim_part, lend_part
from tests.factories import (
    TEMPLATE,
    BuildFactory,
    ClaimFactory,
    ClubFactory,
    LoanFactory,
    MembershipFactory,
    PositionFactory,
    UserFactory,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    return BuildFactory(person=user)


@pytest.fixture
def motor(user):
    return part_of("motor", user, mass_g=33.6)


@pytest.fixture
def place(build):
    return build.positions.get(key="motor")


def again(thing):
    return type(thing).objects.get(pk=thing.pk)


def texts(build):
    return list(build.revisions.order_by("number").values_list("text", flat=True))


# Making a build


def test_a_build_takes_its_positions_from_the_airframe(build):
    assert list(build.positions.values_list("key", flat=True)) == [
        shape["key"] for shape in TEMPLATE
    ]
    motor = build.positions.get(key="motor")
    assert (motor.x_mm, motor.hole_pattern_mm) == (258.0, [16.0, 19.0])
    assert build.positions.get(key="airframe").x_mm == 172.0


def test_a_build_has_its_airframe_fitted(build):
    fitting = build.fittings.get()
    assert fitting.part.kind == "airframe"
    assert fitting.position.key == "airframe"
    assert fitting.part.fitted_count == 1
    assert build.revision == 1


def test_a_later_change_of_the_template_does_not_change_a_build(build):
    sheet = build.fittings.get().part.sheet.typed
    sheet.template.all().delete()
    assert build.positions.count() == len(TEMPLATE)


def test_a_build_without_an_airframe_has_the_position_for_one(user):
    build = operations.create_build(name="Empty", by=user)
    assert [position.kind for position in build.positions.all()] == ["airframe"]
    assert build.person == user


def test_a_build_starts_from_an_airframe_and_nothing_else(user, motor):
    with pytest.raises(UserError) as caught:
        operations.create_build(name="A", by=user, airframe=motor)
    assert caught.value.field == "airframe"


@pytest.mark.parametrize(
    "values",
    [{"name": ""}, {"name": "x" * 81}, {"servo_rate_hz": -1}, {"motor_signal": "smoke"}],
)
def test_a_build_with_values_out_of_bounds_is_not_made_at_all(user, values):
    with pytest.raises((UserError, ValidationError)):
        operations.create_build(**{"name": "A", "by": user, **values})
    assert not Build.objects.exists()


def test_a_build_whose_airframe_is_taken_is_not_made_at_all(user, build):
    airframe = build.fittings.get().part
    with pytest.raises(Conflict):
        operations.create_build(name="Second", by=user, airframe=airframe)
    assert list(Build.objects.all()) == [build]


def test_a_build_of_an_airframe_nobody_showed_is_not_made(user):
    with pytest.raises(UserError):
        operations.create_build(name="A", by=user, airframe=part_of("airframe", UserFactory()))
    assert not Build.objects.exists()


@pytest.mark.parametrize("role", [None, Role.MEMBER])
def test_only_keepers_make_a_clubs_build(role):
    club = ClubFactory()
    person = member_of(club, role) if role else UserFactory()
    with pytest.raises(NotAllowed):
        operations.create_build(name="Club wing", by=person, club=club)
    assert not Build.objects.exists()


def test_nobody_makes_a_build_for_another(user):
    with pytest.raises(NotAllowed):
        operations.create_build(name="A", by=user, person=UserFactory())


def test_a_build_starts_with_no_pack_that_is_none(user, motor):
    for wrong in (motor, part_of("pack", UserFactory())):
        with pytest.raises(UserError) as caught:
            operations.create_build(name="A", by=user, pack=wrong)
        assert caught.value.field == "pack"
    assert not Build.objects.exists()


# Changing a build


def test_a_change_makes_a_revision_that_names_it(user, build):
    changed = operations.change_build(build, by=user, name="Longer", servo_rate_hz=50.0)
    assert (changed.name, changed.revision) == ("Longer", 2)
    assert texts(build)[-1] == "Changed name, servo rate hz."


def test_a_change_that_changes_nothing_makes_no_revision(user, build):
    operations.change_build(build, by=user, name=build.name)
    assert build.revisions.count() == 1


def test_the_usual_pack_is_a_pack_in_service_that_the_person_sees(user, build, motor):
    swollen = part_of("pack", user, out_of_service="swollen")
    for wrong in (motor, swollen, part_of("pack", UserFactory())):
        with pytest.raises(UserError) as caught:
            operations.change_build(build, by=user, pack=wrong)
        assert caught.value.field == "pack"
    assert again(build).pack is None
    pack = part_of("pack", user)
    assert operations.change_build(build, by=user, pack=pack, pack_x_mm=66.0).pack == pack


def test_one_pack_is_the_usual_one_of_several_builds(user, build):
    pack = part_of("pack", user)
    for aircraft in (build, BuildFactory(person=user)):
        operations.change_build(aircraft, by=user, pack=pack)
    assert pack.usual_in_set.count() == 2


@pytest.mark.parametrize("role", [None, Role.MEMBER])
def test_nobody_else_writes_to_a_clubs_build(role):
    club = ClubFactory()
    build = BuildFactory(club=club)
    person = member_of(club, role) if role else UserFactory()
    position, fitting = build.positions.get(key="motor"), build.fittings.get()
    for refused in (
        lambda: operations.change_build(build, by=person, name="Mine"),
        lambda: operations.add_position(build, by=person, key="a", name="A", kind="gps"),
        lambda: operations.change_position(position, by=person, name="Mine"),
        lambda: operations.remove_position(position, by=person),
        lambda: operations.fit_part(position, part_of("motor", person), by=person),
        lambda: operations.remove_part(fitting, by=person),
    ):
        with pytest.raises(Missing):
            refused()
    assert again(build).revision == 1
    assert build.positions.count() == len(TEMPLATE)


# Positions


def test_a_position_is_added(user, build):
    operations.add_position(build, by=user, key="gps", name="GPS", kind="gps", x_mm=40)
    assert build.positions.get(key="gps").x_mm == 40
    assert texts(build)[-1] == "Added the position GPS."


def test_a_key_that_is_taken_is_refused_with_a_message(user, build):
    with pytest.raises((UserError, ValidationError)) as caught:
        operations.add_position(build, by=user, key="motor", name="Again", kind="motor")
    assert "short name" in str(caught.value)
    assert again(build).revision == 1


def test_a_position_does_not_take_the_key_of_another(user, build, place):
    with pytest.raises((UserError, ValidationError)):
        operations.change_position(place, by=user, key="propeller")
    assert again(place).key == "motor"


@pytest.mark.parametrize(
    "values",
    [{"kind": "wheel"}, {"x_mm": -30_000}, {"length_mm": -1}, {"output": 0}, {"key": "a b"}],
)
def test_a_position_out_of_bounds_is_not_added(user, build, values):
    with pytest.raises((UserError, ValidationError)):
        operations.add_position(
            build, by=user, **{"key": "new", "name": "New", "kind": "gps", **values}
        )
    assert not build.positions.filter(key="new").exists()


def test_a_build_has_a_bounded_number_of_positions(user, build, monkeypatch):
    monkeypatch.setattr(operations, "POSITIONS_MAX", len(TEMPLATE))
    with pytest.raises(UserError):
        operations.add_position(build, by=user, key="one-more", name="One more", kind="gps")


def test_a_position_is_moved(user, build, place):
    operations.change_position(place, by=user, x_mm=250.0)
    assert again(place).x_mm == 250.0
    assert texts(build)[-1] == "Motor: changed x mm."


def test_a_position_keeps_its_kind_while_a_part_is_in_it(user, place, motor):
    operations.fit_part(place, motor, by=user)
    with pytest.raises(Conflict) as caught:
        operations.change_position(place, by=user, kind="servo")
    assert caught.value.field == "kind"
    assert again(place).kind == "motor"


def test_a_position_without_a_history_is_removed(user, build, place):
    operations.remove_position(place, by=user)
    assert not build.positions.filter(key="motor").exists()


def test_a_position_with_a_history_stays(user, place, motor):
    operations.remove_part(operations.fit_part(place, motor, by=user), by=user)
    with pytest.raises(Conflict):
        operations.remove_position(place, by=user)
    assert again(place)


# Fitting and taking out


def test_a_part_is_fitted_and_says_so(user, build, place, motor):
    fitting = operations.fit_part(place, motor, by=user)
    assert (fitting.part, fitting.position, fitting.quantity) == (motor, place, 1)
    assert (fitting.fitted_by, fitting.fitted_revision) == (user, 2)
    motor.refresh_from_db()
    assert (motor.fitted_count, motor.has_free) == (1, False)
    assert motor.events.first().verb == "fitted"
    assert texts(build)[-1] == f"Fitted {motor} as Motor."


def test_a_part_taken_out_is_free_and_the_record_stays(user, place, motor):
    fitting = operations.fit_part(place, motor, by=user)
    removed = operations.remove_part(fitting, by=user)
    assert (removed.removed_by, removed.removed_revision) == (user, 3)
    motor.refresh_from_db()
    assert (motor.fitted_count, motor.has_free) == (0, True)
    assert Fitting.objects.filter(part=motor).count() == 1
    assert motor.events.first().verb == "removed"


def test_a_part_is_taken_out_once(user, place, motor):
    fitting = operations.fit_part(place, motor, by=user)
    operations.remove_part(fitting, by=user)
    with pytest.raises(Conflict):
        operations.remove_part(fitting, by=user)
    assert again(motor).fitted_count == 0


def test_a_part_sits_in_one_position(user, place, motor):
    operations.fit_part(place, motor, by=user)
    other = BuildFactory(person=user, name="Second")
    with pytest.raises(Conflict) as caught:
        operations.fit_part(other.positions.get(key="motor"), motor, by=user)
    assert place.build.name in str(caught.value)
    assert again(other).revision == 1


def test_the_name_of_an_aircraft_the_person_may_not_see_is_not_told(user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club, role=Role.KEEPER)
    owner = UserFactory()
    part = part_of("motor", club)
    lend_part(part, to=MembershipFactory(user=owner, club=club).user, by=user)
    secret = BuildFactory(person=owner, name="Secret wing")
    operations.fit_part(secret.positions.get(key="motor"), part, by=owner)
    mine = BuildFactory(person=user)
    with pytest.raises(Conflict) as caught:
        operations.fit_part(mine.positions.get(key="motor"), part, by=user)
    assert "Secret" not in str(caught.value)


def test_a_position_holds_one_part(user, place, motor):
    operations.fit_part(place, motor, by=user)
    with pytest.raises(Conflict):
        operations.fit_part(place, part_of("motor", user), by=user)
    assert place.fittings.open().get().part == motor


def test_a_part_fits_a_position_of_its_kind(user, place):
    with pytest.raises(UserError) as caught:
        operations.fit_part(place, part_of("servo", user), by=user)
    assert caught.value.field == "part"
    assert "servo" in str(caught.value)


def test_the_kind_of_today_decides_and_not_the_one_on_the_page(user, place, motor):
    operations.change_position(place, by=user, kind="servo")
    with pytest.raises(UserError):
        operations.fit_part(place, motor, by=user)


def test_a_part_the_person_may_not_see_is_no_part(user, place):
    with pytest.raises(UserError) as caught:
        operations.fit_part(place, part_of("motor", UserFactory()), by=user)
    assert str(caught.value) == "No such part."


@pytest.mark.parametrize(
    "values", [{"out_of_service": "bent shaft"}, {"condition": "broken"}, {"condition": "retired"}]
)
def test_what_cannot_be_used_is_not_fitted(user, place, values):
    part = part_of("motor", user, **values)
    with pytest.raises(Conflict):
        operations.fit_part(place, part, by=user)
    assert not place.fittings.exists()
    assert again(part).fitted_count == 0


def test_a_borrowed_part_is_fitted_by_the_borrower_and_not_by_the_owner(user, place):
    owner_build = BuildFactory()
    owner = owner_build.person
    part = part_of("motor", owner)
    LoanFactory(part=part, borrower=user)
    with pytest.raises(Conflict):
        operations.fit_part(owner_build.positions.get(key="motor"), part, by=owner)
    assert operations.fit_part(place, part, by=user).part == part


def test_a_members_claim_lets_them_fit_a_club_part(user, place):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    part = part_of("motor", club)
    with pytest.raises(Conflict):
        operations.fit_part(place, part, by=user)
    claim_part(part, by=user)
    assert operations.fit_part(place, part, by=user)


def test_what_another_claims_is_not_fitted(user, place, motor):
    ClaimFactory(part=motor)
    with pytest.raises(Conflict):
        operations.fit_part(place, motor, by=user)


@pytest.mark.parametrize("quantity", [0, -1, 100_001, True])
def test_a_quantity_out_of_bounds_is_refused_at_it(user, place, motor, quantity):
    with pytest.raises(UserError) as caught:
        operations.fit_part(place, motor, by=user, quantity=quantity)
    assert caught.value.field == "quantity"


def test_of_one_part_only_one_is_fitted(user, place, motor):
    with pytest.raises(Conflict):
        operations.fit_part(place, motor, by=user, quantity=2)


# Bags


@pytest.fixture
def screws(user):
    return part_of("hardware", user, is_bag=True, count=10)


def test_pieces_of_a_bag_go_into_several_positions(user, build, screws):
    first, second = (PositionFactory(build=build) for _ in range(2))
    operations.fit_part(first, screws, by=user, quantity=4)
    operations.fit_part(second, screws, by=user, quantity=6)
    assert (again(screws).fitted_count, again(screws).has_free) == (10, False)


def test_no_more_pieces_are_fitted_than_the_bag_has_free(user, build, screws):
    first, second = (PositionFactory(build=build) for _ in range(2))
    operations.fit_part(first, screws, by=user, quantity=8)
    with pytest.raises(Conflict) as caught:
        operations.fit_part(second, screws, by=user, quantity=3)
    assert "2 of 10" in str(caught.value)
    assert again(screws).fitted_count == 8


def test_pieces_taken_out_are_back_in_the_bag(user, build, screws):
    fitting = operations.fit_part(PositionFactory(build=build), screws, by=user, quantity=10)
    operations.remove_part(fitting, by=user)
    assert (again(screws).fitted_count, again(screws).has_free) == (0, True)


# Ground gear


def test_a_person_has_one_transmitter(user):
    first, second = part_of("ground_gear", user), part_of("ground_gear", user)
    operations.choose_ground_gear(first, by=user)
    operations.choose_ground_gear(second, by=user)
    assert GroundChoice.objects.get(person=user).part == second


def test_a_build_has_ground_gear_of_its_own_beside_that_for_all(user, build):
    first, second = part_of("ground_gear", user), part_of("ground_gear", user)
    operations.choose_ground_gear(first, by=user)
    operations.choose_ground_gear(second, by=user, build=build)
    assert {choice.build: choice.part for choice in GroundChoice.objects.all()} == {
        None: first,
        build: second,
    }


def test_ground_gear_is_not_named_for_a_build_that_the_person_does_not_see(user):
    with pytest.raises(UserError) as caught:
        operations.choose_ground_gear(part_of("ground_gear", user), by=user, build=BuildFactory())
    assert caught.value.field == "build"


def test_ground_gear_is_ground_gear_with_a_role_that_the_person_sees(user, motor):
    for wrong in (
        motor,
        part_of("ground_gear", UserFactory()),
        part_of("ground_gear", user, sheet__role=""),
    ):
        with pytest.raises(UserError) as caught:
            operations.choose_ground_gear(wrong, by=user)
        assert caught.value.field == "part"
    assert not GroundChoice.objects.exists()


# Revisions count without a gap, and what the database itself refuses


def test_revisions_count_without_a_gap(user, build, place, motor):
    operations.remove_part(operations.fit_part(place, motor, by=user), by=user)
    operations.change_build(build, by=user, notes="trimmed")
    numbers = list(build.revisions.order_by("number").values_list("number", flat=True))
    assert numbers == [1, 2, 3, 4]
    assert again(build).revision == 4


def test_a_refused_fitting_leaves_no_revision(user, build, place):
    with pytest.raises(Conflict):
        operations.fit_part(place, part_of("motor", user, condition="broken"), by=user)
    assert again(build).revision == 1
    assert Revision.objects.filter(build=build).count() == 1


def raw_fitting(build, position, part, **values):
    with transaction.atomic():
        return Fitting.objects.create(
            build=build,
            position=position,
            part=part,
            fitted_by=build.person,
            fitted_revision=1,
            **values,
        )


def test_the_database_refuses_a_part_in_two_positions(build, motor):
    raw_fitting(build, PositionFactory(build=build), motor)
    with pytest.raises(DatabaseError):
        raw_fitting(build, PositionFactory(build=build), motor)


def test_the_database_refuses_two_parts_in_a_position(user, build):
    position = PositionFactory(build=build)
    raw_fitting(build, position, part_of("hardware", user))
    with pytest.raises(DatabaseError):
        raw_fitting(build, position, part_of("hardware", user))


def test_the_database_refuses_to_open_a_closed_fitting_beside_another(build, motor):
    position = PositionFactory(build=build)
    closed = raw_fitting(build, position, motor, removed_at=timezone.now())
    raw_fitting(build, PositionFactory(build=build), motor)
    with pytest.raises(DatabaseError), transaction.atomic():
        Fitting.objects.filter(pk=closed.pk).update(removed_at=None)


def test_the_database_takes_a_bag_in_two_positions(build, screws):
    for _ in range(2):
        raw_fitting(build, PositionFactory(build=build), screws, is_whole=False)
    assert screws.fittings.open().count() == 2


@pytest.mark.parametrize("quantity", [0, -1])
def test_the_database_refuses_a_fitting_of_nothing(build, motor, quantity):
    with pytest.raises(DatabaseError):
        raw_fitting(build, PositionFactory(build=build), motor, quantity=quantity)


def test_the_database_refuses_two_owners_of_a_build(build):
    for owners in ({"club": ClubFactory()}, {"person": None}):
        with pytest.raises(DatabaseError), transaction.atomic():
            Build.objects.filter(pk=build.pk).update(**owners)


def test_the_database_refuses_a_key_and_a_revision_number_twice(user, build):
    with pytest.raises(DatabaseError), transaction.atomic():
        Position.objects.create(build=build, key="motor", name="Again", kind="motor")
    with pytest.raises(DatabaseError), transaction.atomic():
        Revision.objects.create(build=build, number=1, by=user, text="again")


def test_a_part_that_flew_cannot_be_deleted(place, motor, user):
    operations.remove_part(operations.fit_part(place, motor, by=user), by=user)
    with pytest.raises(Exception, match="protected"):
        motor.delete()
    assert Part.objects.filter(pk=motor.pk).exists()


@pytest.mark.parametrize(("name", "past"), [("cg_min_x_mm", 1.0), ("cg_max_x_mm", -1.0)])
def test_one_limit_of_balance_is_checked_against_the_airframes_other(build, user, name, past):
    sheet = build.fittings.get(position__key="airframe").part.sheet.typed
    other = "cg_max_x_mm" if name == "cg_min_x_mm" else "cg_min_x_mm"
    beyond = getattr(sheet, other) + past
    with pytest.raises(UserError, match="the airframe's") as refused:
        operations.change_build(build, by=user, **{name: beyond})
    assert refused.value.field == name
    assert getattr(again(build), name) is None
    # The very limit is no contradiction.
    operations.change_build(build, by=user, **{name: getattr(sheet, other)})


def test_both_limits_of_a_build_may_leave_the_airframes_range(build, user):
    operations.change_build(build, by=user, cg_min_x_mm=500.0, cg_max_x_mm=510.0)
    assert again(build).cg_min_x_mm == 500.0


def test_a_new_build_is_refused_a_limit_that_contradicts_its_airframe(user):
    airframe = part_of("airframe", user, sheet__cg_max_x_mm=140.0)
    with pytest.raises(UserError) as refused:
        operations.create_build(name="Swift", by=user, airframe=airframe, cg_min_x_mm=141.0)
    assert refused.value.field == "cg_min_x_mm"
    assert not Build.objects.exists()
