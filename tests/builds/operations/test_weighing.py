"""Writing down what the finished aircraft weighed."""

import pytest
from django.core.exceptions import ValidationError

from builds.models import WeighIn
from builds.operations import change_build, fit_part
from builds.operations.weighing import record_weigh_in
from hangar.errors import Conflict, Missing, UserError
from tests.factories import BuildFactory, PositionFactory, UserFactory, part_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    return BuildFactory(person=user)


def record(build, user, **values):
    return record_weigh_in(
        build, by=user, **({"mass_g": 160.0, "revision": build.revision} | values)
    )


def test_weigh_in_belongs_to_the_revision_and_changes_nothing(build, user):
    revision = build.revision
    made = record(build, user, cg_x_mm=133.0, note="on two fingers")
    build.refresh_from_db()
    assert (made.revision, made.by, build.revision) == (revision, user, revision)


def test_build_that_changed_meanwhile_is_not_the_one_that_was_weighed(build, user):
    change_build(build, by=user, pack_x_mm=70.0)
    with pytest.raises(Conflict, match="has changed since"):
        record(build, user)
    assert not WeighIn.objects.exists()


def test_nobody_else_writes_down_a_weigh_in(build):
    with pytest.raises(Missing):
        record(build, UserFactory())


@pytest.mark.parametrize("kind", ["motor", "stranger's pack"])
def test_only_a_pack_that_may_be_seen_was_on_the_scale(build, user, kind):
    owner = user if kind == "motor" else UserFactory()
    with pytest.raises(UserError) as refused:
        record(build, user, pack=part_of(kind.split()[-1], owner))
    assert refused.value.field == "pack"


def test_only_what_is_fitted_can_be_left_off(build, user):
    with pytest.raises(UserError, match="motor") as refused:
        record(build, user, left_off=["motor"])
    assert refused.value.field == "left_off"


def test_something_was_on_the_scale(build, user):
    with pytest.raises(UserError, match="Something must have been"):
        record(build, user, left_off=["airframe"])


def test_short_names_in_capitals_can_be_left_off(build, user):
    place = PositionFactory(
        build=build, key="Hatch-Front-With-A-Very-Long-Short-Name", kind="servo"
    )
    fit_part(place, part_of("servo", user), by=user)
    build.refresh_from_db()
    assert record(build, user, left_off=[place.key]).left_off == [place.key]


def test_mass_must_be_above_zero(build, user):
    with pytest.raises(ValidationError):
        record(build, user, mass_g=0.0)
