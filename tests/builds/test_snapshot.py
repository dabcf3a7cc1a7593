"""A build frozen into plain records."""

import dataclasses
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from builds.models import Build, GroundChoice
from builds.operations import (
    change_build,
    change_position,
    choose_ground_gear,
    create_build,
    fit_part,
)
from builds.operations.weighing import record_weigh_in
from builds.snapshot import kinds_with, part_records, take_picture, take_snapshot
from hangar.clubs.models import RadioLimit
from inventory.models import Part
from inventory.operations import record_measurement
from inventory.pack_health import judge_pack
from tests.factories import (
    SHEET_FACTORIES,
    BuildFactory,
    ClubFactory,
    LogEntryFactory,
    MembershipFactory,
    PositionFactory,
    UserFactory,
    keeper_of,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    return BuildFactory(person=user)


def frozen(build, **options):
    return take_snapshot(Build.objects.select_related("club").get(pk=build.pk), **options)


def fit(build, key, part):
    return fit_part(build.positions.get(key=key), part, by=part.person)


def record_of(part):
    return part_records(Part.objects.filter(pk=part.pk))[part.pk]


# The number of queries


def build_with_parts(user, number):
    build = create_build(name=f"{number} parts", by=user)
    kinds = ["pack", *(kind for kind in SHEET_FACTORIES if kind not in ("pack", "airframe"))]
    for index in range(number):
        kind = kinds[index % len(kinds)]
        position = PositionFactory(build=build, key=f"p{index}", kind=kind)
        fit_part(position, part_of(kind, user, mass_g=10.0 + index), by=user)
    return Build.objects.select_related("club").get(pk=build.pk)


def queries_of(build, user):
    with CaptureQueriesContext(connection) as context:
        snapshot = take_snapshot(build, viewer=user)
    return len(context), snapshot


def test_sixty_parts_take_as_many_queries_as_five(user):
    few, few_snapshot = queries_of(build_with_parts(user, 5), user)
    many, many_snapshot = queries_of(build_with_parts(user, 60), user)
    assert len(few_snapshot.fitted()) == 5
    assert len(many_snapshot.fitted()) == 60
    assert few == many
    # One for each table that a build is made of, and none for each row.
    assert many <= 10


def test_the_snapshot_asks_the_database_nothing_more(user, django_assert_num_queries):
    _, snapshot = queries_of(build_with_parts(user, 16), user)
    with django_assert_num_queries(0):
        for position in snapshot.fitted():
            assert position.part.get("mass_g") > 0
            assert position.title
        assert snapshot.pack


def test_records_cannot_be_changed(build):
    snapshot = frozen(build)
    with pytest.raises(dataclasses.FrozenInstanceError):
        snapshot.name = "other"
    with pytest.raises(dataclasses.FrozenInstanceError):
        snapshot.positions[0].x_mm = 0


# Where a figure comes from


def test_what_the_sheet_says_is_taken_as_the_sheets(user):
    value = record_of(part_of("motor", user)).known("kv_rpm_v")
    assert (value.value, value.source, value.is_guess) == (1900.0, "sheet", False)


def test_a_measured_figure_beats_the_sheet_and_the_sheets_stays_to_be_seen(user):
    part = part_of("motor", user)
    record_measurement(part, name="mass_g", value=33.6, by=user, source="weighed", uncertainty=0.1)
    record = record_of(part)
    known = record.known("mass_g")
    assert (known.value, known.source, known.uncertainty) == (33.6, "weighed", 0.1)
    assert known.by == user.username
    assert known.at is not None
    assert record.rated["mass_g"].value == 33.0


def test_the_latest_measurement_counts(user):
    part = part_of("motor", user)
    for value in (33.6, 34.1):
        record_measurement(part, name="mass_g", value=value, by=user)
    assert record_of(part).get("mass_g") == 34.1


@pytest.mark.parametrize("source", ["guessed", "unknown"])
def test_a_guess_never_takes_the_place_of_the_sheet(user, source):
    part = part_of("motor", user)
    record_measurement(part, name="mass_g", value=50, by=user, source=source)
    assert record_of(part).known("mass_g").value == 33.0
    assert not record_of(part).known("mass_g").is_guess


@pytest.mark.parametrize("rated_g", [33.0, None])
def test_a_guess_never_takes_the_place_of_a_measurement(user, rated_g):
    part = part_of("motor", user, sheet__mass_g=rated_g)
    record_measurement(part, name="mass_g", value=33.6, by=user, source="weighed")
    record_measurement(part, name="mass_g", value=50, by=user, source="guessed")
    known = record_of(part).known("mass_g")
    assert (known.value, known.source) == (33.6, "weighed")


def test_a_guess_is_taken_where_nobody_knows_better_and_is_called_one(user):
    part = part_of("motor", user, sheet__mass_g=None)
    record_measurement(part, name="mass_g", value=35, by=user, source="guessed")
    known = record_of(part).known("mass_g")
    assert (known.value, known.is_guess) == (35, True)


def test_the_part_and_its_record_agree_on_the_mass(user):
    part = part_of("motor", user)
    for value, source in ((33.6, "weighed"), (34.2, "weighed"), (60, "guessed")):
        record_measurement(part, name="mass_g", value=value, by=user, source=source)
    part.refresh_from_db()
    assert record_of(part).get("mass_g") == part.mass_g == 34.2


@pytest.mark.parametrize("unknown", ["mass_g", "kv_rpm_v", "thread_hand", "length_mm"])
def test_what_nobody_gave_is_unknown_and_not_zero(user, unknown):
    empty = [] if unknown == "hole_pattern_mm" else "" if unknown == "thread_hand" else None
    part = part_of("motor", user, **{f"sheet__{unknown}": empty})
    record = record_of(part)
    assert record.known(unknown) is None
    assert record.get(unknown) is None


def test_zero_and_no_are_answers(user):
    board = record_of(part_of("flight_controller", user, sheet__has_compass=False))
    assert board.known("has_compass").value is False
    cool = record_of(part_of("motor", user, sheet__no_load_current_a=0.0))
    assert cool.known("no_load_current_a").value == 0.0


def test_a_record_says_whose_and_where_a_part_is(user):
    part = part_of("pack", user, condition="worn", out_of_service="swollen", name="number 3")
    record = record_of(part)
    assert (record.code, record.kind, record.name) == (part.code, "pack", "number 3")
    assert (record.owner, record.condition) == (user.username, "worn")
    assert (record.out_of_service, record.count) == ("swollen", 1)


# Positions


def test_positions_come_in_order_with_their_parts(user, build):
    fit(build, "motor", part_of("motor", user))
    snapshot = frozen(build)
    assert [position.key for position in snapshot.positions] == list(
        build.positions.values_list("key", flat=True)
    )
    assert [position.key for position in snapshot.fitted()] == ["airframe", "motor"]
    motor = snapshot.at("motor")
    assert (motor.x_mm, motor.hole_pattern_mm) == (258.0, (16.0, 19.0))
    assert snapshot.at("servo-left").output == 3


def test_a_quantity_is_kept(user, build):
    screws = part_of("hardware", user, is_bag=True, count=10)
    fit_part(PositionFactory(build=build, key="screws"), screws, by=user, quantity=4)
    assert frozen(build).at("screws").quantity == 4


# Which pack


def test_without_any_pack_the_tray_is_empty(build):
    snapshot = frozen(build)
    assert snapshot.pack is None
    assert snapshot.at("pack").part is None


def test_the_usual_pack_sits_in_the_tray(user, build):
    pack = part_of("pack", user)
    change_build(build, by=user, pack=pack, pack_x_mm=70.0)
    tray = frozen(build).at("pack")
    assert (tray.part.id, tray.x_mm) == (pack.pk, 70.0)


def test_a_fitted_pack_goes_before_the_usual_one(user, build):
    fitted = part_of("pack", user)
    fit(build, "pack", fitted)
    change_build(build, by=user, pack=part_of("pack", user))
    assert frozen(build).pack.id == fitted.pk


def test_the_pack_asked_for_goes_before_all(user, build):
    asked = part_of("pack", user)
    fit(build, "pack", part_of("pack", user))
    change_build(build, by=user, pack=part_of("pack", user))
    assert frozen(build, pack=asked).pack.id == asked.pk
    assert len(frozen(build, pack=asked).fitted("pack")) == 1


def test_without_a_place_of_its_own_the_pack_sits_where_the_tray_is(user, build):
    change_build(build, by=user, pack=part_of("pack", user))
    assert frozen(build).at("pack").x_mm == 66.0


def test_a_build_without_a_tray_has_its_pack_all_the_same(user):
    build = create_build(name="Bare", by=user, pack=part_of("pack", user), pack_x_mm=12.0)
    snapshot = frozen(build)
    assert snapshot.pack.id == build.pack_id
    assert snapshot.first("pack").x_mm == 12.0


def test_a_pack_in_the_second_tray_is_not_doubled(user, build):
    PositionFactory(build=build, key="second-tray", kind="pack")
    pack = part_of("pack", user)
    fit(build, "second-tray", pack)
    assert [position.key for position in frozen(build).fitted("pack")] == ["second-tray"]
    asked = part_of("pack", user)
    assert [position.part.id for position in frozen(build, pack=asked).fitted("pack")] == [asked.pk]


# Ground gear, club limits


def test_the_viewers_ground_gear_is_there_and_nobody_elses(user, build):
    gear = part_of("ground_gear", user)
    GroundChoice.objects.create(person=user, role="transmitter", part=gear)
    assert frozen(build, viewer=user).ground["transmitter"].id == gear.pk
    assert frozen(build, viewer=UserFactory()).ground == {}
    assert frozen(build).ground == {}


def test_ground_gear_named_for_the_build_leads(user, build):
    usual, special = part_of("ground_gear", user), part_of("ground_gear", user)
    GroundChoice.objects.create(person=user, role="transmitter", part=special, build=build)
    GroundChoice.objects.create(person=user, role="transmitter", part=usual)
    assert frozen(build, viewer=user).ground["transmitter"].id == special.pk
    assert frozen(BuildFactory(person=user), viewer=user).ground["transmitter"].id == usual.pk


def test_a_clubs_build_has_the_clubs_limits():
    club = ClubFactory(mass_line_g=250.0)
    RadioLimit.objects.create(
        club=club, band_min_mhz=5725, band_max_mhz=5875, radiated_power_max_mw=25
    )
    RadioLimit.objects.create(club=ClubFactory(), band_min_mhz=1, band_max_mhz=2)
    snapshot = frozen(BuildFactory(club=club), viewer=keeper_of(club))
    assert snapshot.club_mass_line_g == 250.0
    assert [limit.radiated_power_max_mw for limit in snapshot.radio_limits] == [25]


def test_a_persons_build_has_the_limits_of_the_clubs_they_are_in(user, build):
    club = MembershipFactory(user=user).club
    member_of(club)
    RadioLimit.objects.create(club=club, band_min_mhz=5725, band_max_mhz=5875)
    RadioLimit.objects.create(club=ClubFactory(), band_min_mhz=1, band_max_mhz=2)
    assert [limit.band_min_mhz for limit in frozen(build).radio_limits] == [5725]


def test_the_builds_own_limits_are_there(user, build):
    change_build(build, by=user, cg_target_x_mm=131.0, motor_signal="digital", servo_rate_hz=50.0)
    snapshot = frozen(build)
    assert (snapshot.cg_target_x_mm, snapshot.motor_signal, snapshot.servo_rate_hz) == (
        131.0,
        "digital",
        50.0,
    )
    assert snapshot.revision == 2


# What if


def test_another_part_in_a_position_leaves_the_first_snapshot_alone(user, build):
    motor, other = part_of("motor", user), part_of("motor", user)
    fit(build, "motor", motor)
    snapshot = frozen(build)
    changed = snapshot.with_part(snapshot.at("motor").id, record_of(other))
    assert changed.at("motor").part.id == other.pk
    assert snapshot.at("motor").part.id == motor.pk


def test_kinds_are_found_by_a_column():
    assert set(kinds_with("mass_g")) == set(SHEET_FACTORIES)
    assert kinds_with("kv_rpm_v") == ("motor",)
    assert kinds_with("no_such_column") == ()


# Weigh-ins


def weigh(build, user, mass_g, **values):
    build.refresh_from_db()
    return record_weigh_in(build, by=user, mass_g=mass_g, revision=build.revision, **values)


def test_the_newest_weigh_in_of_this_revision_says_what_was_on_the_scale(build, user):
    fit(build, "motor", part_of("motor", user, mass_g=33.0))
    pack = part_of("pack", user, mass_g=155.0)
    weigh(build, user, 340.0, pack=pack)
    newest = weigh(build, user, 310.0, pack=pack, left_off=["motor"])
    found = frozen(build).weigh_in
    assert (found.id, found.mass_g, found.by) == (newest.pk, 310.0, user.username)
    assert {position.key for position in found.on_scale} == {"airframe", "pack"}
    assert found.pack.code == pack.code


def test_a_weigh_in_without_a_pack_had_none_on_the_scale(build, user):
    fit(build, "pack", part_of("pack", user, mass_g=155.0))
    weigh(build, user, 160.0)
    assert {position.key for position in frozen(build).weigh_in.on_scale} == {"airframe"}


def test_a_change_makes_the_weigh_in_stale(build, user):
    weigh(build, user, 160.0)
    change_build(build, by=user, pack_x_mm=70.0)
    snapshot = frozen(build)
    assert snapshot.weigh_in is None
    assert [one.on_scale for one in snapshot.weigh_ins] == [()]


def test_the_air_is_that_of_the_clubs_field():
    club = ClubFactory(field_elevation_m=420.0)
    assert frozen(BuildFactory(club=club)).air.elevation_m == 420.0


def test_a_persons_build_has_no_field(build):
    assert frozen(build).air.elevation_m is None


# What a pack's log tells


def log(pack, kind, **values):
    return LogEntryFactory(pack=pack, kind=kind, **values)


def test_capacity_of_a_test_in_the_log_is_there_with_its_day(user, build):
    pack = part_of("pack", user, sheet__capacity_mah=1300.0)
    day = timezone.now() - timedelta(days=3)
    log(
        pack,
        "use",
        charge_mah=1100.0,
        voltage_min_v=12.0,
        is_capacity_test=True,
        is_full=True,
        started_at=day,
        duration_s=3600.0,
        temperature_c=22.0,
    )
    found = take_snapshot(build, pack=pack).pack.known("capacity_now_mah")
    assert found.value == pytest.approx(1100.0, rel=0.03)
    assert found.source == "measured"
    assert 0 < found.uncertainty < 50
    assert found.at >= day


def test_log_that_does_not_tell_the_capacity_leaves_the_rated_one(user, build):
    pack = part_of("pack", user)
    log(pack, "use", charge_mah=900.0)
    assert take_snapshot(build, pack=pack).pack.known("capacity_now_mah") is None


def test_last_resistance_of_the_log_counts_and_not_one_of_the_future(user, build):
    pack = part_of("pack", user)
    for days, mohm in ((9, 3.0), (2, 5.0), (-2, 99.0)):
        at = timezone.now() - timedelta(days=days)
        log(pack, "resistance", resistance_mohm=[mohm] * 4, started_at=at)
    assert take_snapshot(build, pack=pack).pack.get("cell_resistance_mohm") == [5.0] * 4


def test_chosen_flight_of_the_build_is_there(user, build):
    change_build(build, by=user, full_throttle_share_percent=10.0, reserve_percent=30.0)
    build.refresh_from_db()
    snapshot = take_snapshot(build)
    assert snapshot.full_throttle_share_percent == 10.0
    assert snapshot.reserve_percent == 30.0


# What the log of a pack says of it


def test_a_pack_comes_with_the_verdict_on_its_log_and_the_reason(user):
    record = record_of(part_of("pack", user))
    assert record.get("health_verdict") == "cannot_tell"
    assert record.get("health_reason").startswith("0 cycles")


def test_the_verdict_is_that_of_the_shelf(user):
    pack = part_of("pack", user)
    for number in range(5):
        LogEntryFactory(pack=pack, started_at=timezone.now() - timedelta(days=9 - number))
    report = judge_pack(Part.objects.with_sheets().get(pk=pack.pk))
    record = record_of(pack)
    assert record.get("health_verdict") == report.verdict
    assert record.get("health_reason") == report.reasons[0].message


def test_packs_in_reach_and_ground_gear_come_with_the_parts_of_the_build(build, user):
    pack, charger = part_of("pack", user), part_of("ground_gear", user, sheet__role="charger")
    choose_ground_gear(charger, by=user)
    reach = Part.objects.filter(kind="pack").order_by("pk")[:5]
    picture = take_picture(build, viewer=user, others=reach)
    assert set(picture.others) == {pack.pk}
    assert picture.snapshot.ground["charger"].id == charger.pk


def test_what_a_log_last_said_comes_with_its_pack(user):
    pack = part_of("pack", user)
    LogEntryFactory(
        pack=pack,
        kind="charge",
        started_at=timezone.now() - timedelta(days=5),
        charge_mah=1300.0,
        duration_s=1800.0,
        is_full=True,
    )
    record = record_of(pack)
    assert record.get("stored_days") == 5
    assert record.get("left_charged_full") is True
    assert record.get("charge_current_a") == pytest.approx(2.6)
    assert record.get("health_abouts")


def test_what_the_build_is_flown_for_is_there(user, build):
    change_build(build, by=user, role="trainer", is_hand_launched=True, work_planned="a cut")
    build.refresh_from_db()
    snapshot = take_snapshot(build)
    assert (snapshot.role, snapshot.is_hand_launched, snapshot.work_planned) == (
        "trainer",
        True,
        "a cut",
    )


def test_the_set_up_that_only_rules_read_is_there(user, build):
    given = {
        "planned_flight_s": 480.0,
        "timer_s": 360.0,
        "voltage_alarm_v": 14.0,
        "cell_alarm_v": 3.5,
        "current_scale_mv_a": 40.0,
        "gps_baud_hz": 115200.0,
        "overlay_standard": "auto",
        "is_usb_reachable": False,
    }
    change_build(build, by=user, **given)
    snapshot = frozen(build)
    assert {name: getattr(snapshot, name) for name in given} == given


def test_what_a_place_is_wired_to_is_there(user, build):
    given = {"serial_port": 2, "turning": "cw", "route_mm": 120.0, "extension_mm": 30.0}
    place = build.positions.get(key="motor")
    change_position(place, by=user, is_regulator_cut=True, **given)
    record = frozen(build).at("motor")
    assert {name: getattr(record, name) for name in given} == given
    assert record.is_regulator_cut


def test_what_the_build_usually_flies_with_stays_whatever_is_tried(user, build):
    motor, usual = part_of("motor", user), part_of("pack", user, sheet__cell_count=4)
    fit(build, "motor", motor)
    change_build(build, by=user, pack=usual)
    tried = frozen(build, pack=part_of("pack", user, sheet__cell_count=6))
    assert (tried.pack.get("cell_count"), tried.usual_cell_count) == (6, 4)
    assert tried.usual_drive == (motor.pk,)
