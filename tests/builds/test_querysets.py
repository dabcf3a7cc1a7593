"""Who may see and who may change an aircraft and what belongs to it."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.utils import timezone

from builds.models import Build, Fitting, GroundChoice, Position, Revision
from builds.operations import change_build, fit_part, remove_part
from hangar.clubs.models import Role
from tests.factories import (
    BuildFactory,
    ClubFactory,
    MembershipFactory,
    OfferFactory,
    PositionFactory,
    keeper_of,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db

RECORDS = [Position, Revision, Fitting]
ROLES = [Role.MEMBER, Role.KEEPER, Role.OFFICER]


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def club_build(club):
    return BuildFactory(club=club)


@pytest.mark.parametrize("role", ROLES)
def test_members_see_their_clubs_aircraft_and_keepers_change_them(club, club_build, role):
    person = member_of(club, role)
    may_change = role != Role.MEMBER
    assert Build.objects.visible_to(person).exists()
    assert Build.objects.editable_by(person).exists() is may_change
    for model in RECORDS:
        assert model.objects.visible_to(person).exists()
        assert model.objects.editable_by(person).exists() is may_change


def test_an_owner_sees_and_changes_their_own(user):
    build = BuildFactory(person=user)
    BuildFactory()
    for door in ("visible_to", "editable_by"):
        assert list(getattr(Build.objects, door)(user)) == [build]
        for model in RECORDS:
            records = getattr(model.objects, door)(user)
            assert {record.build_id for record in records} == {build.pk}


@pytest.mark.parametrize("model", [Build, *RECORDS])
@pytest.mark.parametrize("door", ["visible_to", "editable_by"])
def test_strangers_and_nobody_see_nothing(club_build, model, door):
    BuildFactory()
    stranger = member_of(ClubFactory(), Role.OFFICER)
    assert model.objects.exists()
    assert not getattr(model.objects, door)(stranger).exists()
    assert not getattr(model.objects, door)(AnonymousUser()).exists()


def test_who_left_the_club_sees_its_aircraft_no_more(club, club_build):
    gone = MembershipFactory(club=club, role=Role.OFFICER, left_at=timezone.now()).user
    assert not Build.objects.visible_to(gone).exists()
    assert not Position.objects.visible_to(gone).exists()


def test_offering_a_part_does_not_show_the_aircraft_it_is_in(user, club):
    build = BuildFactory(person=user)
    airframe = build.fittings.get().part
    OfferFactory(part=airframe, club=club)
    assert not Build.objects.visible_to(member_of(club)).exists()


def test_open_fittings_are_those_of_today(user):
    build = BuildFactory(person=user)
    motor = fit_part(build.positions.get(key="motor"), part_of("motor", user), by=user)
    remove_part(motor, by=user)
    assert [fitting.position.key for fitting in build.fittings.open()] == ["airframe"]
    assert build.fittings.count() == 2


def test_ground_gear_is_a_persons_own(user):
    gear = part_of("ground_gear", user)
    GroundChoice.objects.create(person=user, role="transmitter", part=gear)
    other = member_of(ClubFactory())
    for door in ("visible_to", "editable_by"):
        assert getattr(GroundChoice.objects, door)(user).count() == 1
        assert not getattr(GroundChoice.objects, door)(other).exists()
        assert not getattr(GroundChoice.objects, door)(AnonymousUser()).exists()


def test_every_build_is_listed_once(user, club):
    MembershipFactory(user=user, club=club, role=Role.KEEPER)
    build = BuildFactory(club=club, by=user)
    change_build(build, by=keeper_of(club), name="Other")
    PositionFactory(build=build)
    assert Build.objects.visible_to(user).count() == 1
