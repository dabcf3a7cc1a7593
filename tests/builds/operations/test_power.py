"""Readings on the bench are written down for the motor and propeller that are fitted."""

import pytest

from builds import operations
from builds.models import PowerReading
from builds.operations.power import record_power_reading
from builds.snapshot import take_snapshot
from hangar.errors import Missing, UserError
from tests.factories import BuildFactory, UserFactory, part_of

READ = {"voltage_v": 15.6, "current_a": 30.0, "speed_rpm": 24000.0}


@pytest.fixture
def build(user):
    build = BuildFactory(person=user)
    for key in ("motor", "propeller", "controller"):
        position = build.positions.get(key=key)
        operations.fit_part(position, part_of(position.kind, user), by=user)
    operations.change_build(build, by=user, pack=part_of("pack", user))
    build.refresh_from_db()
    return build


def test_reading_belongs_to_motor_propeller_and_revision(build, user):
    reading = record_power_reading(build, by=user, **READ)
    fitted = {f.position.key: f.part for f in build.fittings.open().select_related("position")}
    assert reading.motor == fitted["motor"]
    assert reading.propeller == fitted["propeller"]
    assert reading.revision == build.revision


def test_snapshot_holds_the_readings_newest_first(build, user):
    record_power_reading(build, by=user, **READ)
    record_power_reading(build, by=user, **READ, thrust_g=900.0, temperature_c=20.0)
    found = take_snapshot(build).power_readings
    assert [one.thrust_g for one in found] == [900.0, None]
    assert found[0].temperature_c == 20.0
    assert found[0].by == str(user)


def test_reading_without_a_propeller_is_refused(build, user):
    operations.remove_part(build.fittings.open().get(position__key="propeller"), by=user)
    with pytest.raises(UserError, match="Fit the propeller first"):
        record_power_reading(build, by=user, **READ)


def test_impossible_reading_is_refused_and_not_kept(build, user):
    with pytest.raises(UserError, match="momentum theory"):
        record_power_reading(build, by=user, **READ, thrust_g=90_000.0)
    assert not PowerReading.objects.exists()


@pytest.mark.parametrize("name", READ)
def test_reading_needs_voltage_current_and_speed(build, user, name):
    with pytest.raises(UserError, match="A reading needs the"):
        record_power_reading(build, by=user, **{**READ, name: None})


def test_stranger_writes_nothing_down(build):
    with pytest.raises(Missing):
        record_power_reading(build, by=UserFactory(), **READ)
