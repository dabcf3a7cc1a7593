"""Builds, their positions and fittings, and ground gear."""

import pytest

from builds.models import Build, Fitting
from tests.factories import (
    BuildFactory,
    ClubFactory,
    MembershipFactory,
    keeper_of,
    member_of,
    part_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


def at(build, rest=""):
    return f"/api/v1/builds/{build.pk}/{rest}"


def fit(api, build, key, part, **more):
    position = build.positions.get(key=key)
    body = {"position": position.pk, "part": part.code} | more
    return api.post(at(build, "fittings/"), body)


def test_a_build_gets_its_positions_from_the_airframe(api, user):
    airframe = part_of("airframe", user, sheet__template=True)
    answer = api.post("/api/v1/builds/", {"name": "A1", "airframe": airframe.code})
    assert answer.status_code == 201, answer.json()
    build = Build.objects.get(pk=answer.json()["id"])
    assert (build.person, build.positions.count()) == (user, 11)
    assert answer.json()["owner"] == {"kind": "person", "name": user.username}


def test_a_build_may_start_with_its_set_up(api, user):
    pack = part_of("pack", user)
    body = {"name": "A1", "pack": pack.code, "pack_x_mm": "2.6 in", "motor_signal": "digital"}
    shown = api.post("/api/v1/builds/", body).json()
    assert (shown["pack"], shown["motor_signal"]) == (pack.code, "digital")
    # 1 in = 25.4 mm exactly: NIST Handbook 44 (2024), appendix C, section 3.
    assert shown["pack_x_mm"] == pytest.approx(66.04)


def test_a_keeper_makes_a_build_of_the_club(api_of):
    club = ClubFactory()
    answer = api_of(keeper_of(club)).post("/api/v1/builds/", {"name": "A1", "club": club.slug})
    assert answer.json()["owner"]["slug"] == club.slug


def test_a_plain_member_makes_no_build_of_the_club(api_of):
    club = ClubFactory()
    body = {"name": "A1", "club": club.slug}
    refused(api_of(member_of(club)).post("/api/v1/builds/", body), 403, "#/club")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"name": ""}, "#/name"),
        ({"name": "x" * 81}, "#/name"),
        ({"airframe": "2D8YMX6"}, "#/airframe"),
        ({"airframe": 5}, "#/airframe"),
        ({"motor_signal": "smoke"}, "#/motor_signal"),
        ({"servo_rate_hz": 1001}, "#/servo_rate_hz"),
        ({"cg_min_x_mm": "near the front"}, "#/cg_min_x_mm"),
        ({"club": "no-such-club"}, "#/club"),
    ],
)
def test_what_is_wrong_with_a_build_is_said_at_its_field(api, change, pointer):
    refused(api.post("/api/v1/builds/", {"name": "A1"} | change), 400, pointer)
    assert not Build.objects.exists()


def test_a_build_does_not_start_from_a_motor(api, user):
    body = {"name": "A1", "airframe": part_of("motor", user).code}
    refused(api.post("/api/v1/builds/", body), 400, "#/airframe")


def test_a_change_of_set_up_is_a_revision(api, build, user):
    pack = part_of("pack", user)
    answer = api.patch(at(build), {"pack": pack.code, "cg_target_x_mm": 131})
    assert (answer.json()["pack"], answer.json()["cg_target_x_mm"]) == (pack.code, 131.0)
    revisions = api.get(at(build, "revisions/")).json()["results"]
    assert revisions[0]["number"] == answer.json()["revision"]
    assert revisions[0]["by"] == user.username


def test_a_pack_out_of_service_does_not_become_the_usual_one(api, build, user):
    pack = part_of("pack", user, out_of_service="swollen")
    refused(api.patch(at(build), {"pack": pack.code}), 409, "#/pack")


def test_deleting_a_build_archives_it(api, build):
    assert api.delete(at(build)).status_code == 204
    assert api.get(at(build)).json()["is_archived"] is True
    assert api.get("/api/v1/builds/?archived=false").json()["results"] == []
    assert len(api.get("/api/v1/builds/?archived=true").json()["results"]) == 1


def test_a_build_of_a_stranger_is_not_found(api):
    build = BuildFactory()
    for rest in (
        "", "positions/", "fittings/", "revisions/", "figures/", "findings/", "spares/?position=1",
    ):  # fmt: skip
        refused(api.get(at(build, rest)), 404)
    refused(api.patch(at(build), {"name": "mine"}), 404)
    refused(api.post(at(build, "fittings/"), {}), 404)


def test_a_member_reads_a_build_of_the_club_and_does_not_change_it(api_of):
    club = ClubFactory()
    build = BuildFactory(club=club)
    api = api_of(member_of(club))
    position = build.positions.first()
    assert api.get(at(build, "figures/")).status_code == 200
    refused(api.patch(at(build), {"name": "mine"}), 403)
    refused(api.delete(at(build)), 403)
    refused(api.post(at(build, "positions/"), {}), 403)
    refused(api.patch(at(build, f"positions/{position.pk}/"), {"x_mm": 1}), 403)
    refused(api.post(at(build, "fittings/"), {}), 403)
    refused(api.delete(at(build, f"fittings/{build.fittings.first().pk}/")), 403)


def test_positions_show_what_is_in_them(api, build):
    shown = api.get(at(build, "positions/")).json()["results"]
    fitted = {one["key"]: one["fitting"] and one["fitting"]["part"] for one in shown}
    assert len(shown) == 11
    assert fitted["airframe"] == build.fittings.get().part.code
    assert fitted["motor"] is None


def test_a_position_is_added_changed_and_removed(api, build):
    body = {"key": "buzzer", "name": "Buzzer", "kind": "hardware", "x_mm": "3 in"}
    made = api.post(at(build, "positions/"), body)
    assert made.status_code == 201, made.json()
    address = at(build, f"positions/{made.json()['id']}/")
    assert api.patch(address, {"x_mm": 80}).json()["x_mm"] == 80.0
    assert api.delete(address).status_code == 204


def test_a_short_name_is_used_once_in_a_build(api, build):
    body = {"key": "motor", "name": "Motor 2", "kind": "motor"}
    answer = api.post(at(build, "positions/"), body)
    assert answer.status_code == 400
    assert "of that short name already" in answer.json()["detail"]


def test_a_position_with_a_history_stays(api, build):
    position = build.positions.get(key="airframe")
    refused(api.delete(at(build, f"positions/{position.pk}/")), 409)


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"kind": "boat"}, "#/kind"),
        ({"key": "two words"}, "#/key"),
        ({"x_mm": 10**400}, "#/x_mm"),
        ({"output": 0}, "#/output"),
        ({"hole_pattern_mm": [16, "x"]}, "#/hole_pattern_mm/1"),
        ({"supply": "sun"}, "#/supply"),
    ],
)
def test_what_is_wrong_with_a_position_is_said_at_its_field(api, build, change, pointer):
    body = {"key": "new", "name": "New", "kind": "motor"} | change
    refused(api.post(at(build, "positions/"), body), 400, pointer)


def test_a_part_is_fitted_and_taken_out_and_the_record_stays(api, build, user):
    motor = part_of("motor", user)
    fitted = fit(api, build, "motor", motor)
    assert fitted.status_code == 201, fitted.json()
    assert api.get(f"/api/v1/parts/{motor.code}/").json()["fitted"] is True
    assert api.delete(at(build, f"fittings/{fitted.json()['id']}/")).status_code == 204
    assert api.get(f"/api/v1/parts/{motor.code}/").json()["fitted"] is False
    history = api.get(at(build, "fittings/?open=false")).json()["results"]
    assert [(row["part"], row["removed_by"]) for row in history] == [(motor.code, user.username)]


def test_a_part_taken_out_is_not_taken_out_again(api, build, user):
    fitting = fit(api, build, "motor", part_of("motor", user)).json()
    api.delete(at(build, f"fittings/{fitting['id']}/"))
    refused(api.delete(at(build, f"fittings/{fitting['id']}/")), 409)


def test_a_taken_part_and_a_taken_position_are_conflicts(api, build, user):
    motor = part_of("motor", user)
    fit(api, build, "motor", motor)
    refused(fit(api, BuildFactory(person=user), "motor", motor), 409)
    refused(fit(api, build, "motor", part_of("motor", user)), 409)
    assert Fitting.objects.open().filter(part=motor).count() == 1


def test_a_part_of_the_wrong_kind_is_refused_at_its_field(api, build, user):
    refused(fit(api, build, "motor", part_of("servo", user)), 400, "#/part")


def test_a_position_of_another_build_is_refused(api, build, user):
    other = BuildFactory(person=user)
    body = {"position": other.positions.get(key="motor").pk, "part": part_of("motor", user).code}
    refused(api.post(at(build, "fittings/"), body), 400, "#/position")


@pytest.mark.parametrize("quantity", [0, -1, 10**9, 1.5, "many", None, True])
def test_a_quantity_is_a_whole_number_from_one(api, build, user, quantity):
    propeller = part_of("propeller", user, is_bag=True, count=4)
    refused(fit(api, build, "propeller", propeller, quantity=quantity), 400, "#/quantity")


def test_more_pieces_than_are_free_is_a_conflict(api, build, user):
    propeller = part_of("propeller", user, is_bag=True, count=4)
    refused(fit(api, build, "propeller", propeller, quantity=5), 409)


def test_ground_gear_replaces_that_of_its_role(api, user):
    first, second = part_of("ground_gear", user), part_of("ground_gear", user)
    api.post("/api/v1/ground-gear/", {"part": first.code})
    made = api.post("/api/v1/ground-gear/", {"part": second.code})
    assert made.status_code == 201, made.json()
    shown = api.get("/api/v1/ground-gear/").json()["results"]
    assert [(one["role"], one["part"]) for one in shown] == [("transmitter", second.code)]


def test_a_servo_is_no_ground_gear(api, user):
    body = {"part": part_of("servo", user).code}
    refused(api.post("/api/v1/ground-gear/", body), 400, "#/part")


def test_a_page_of_builds_costs_few_queries(client_of, user, django_assert_max_num_queries):
    for _ in range(3):
        BuildFactory(person=user)
    BuildFactory(club=MembershipFactory(user=user).club)
    client = client_of(user)
    with django_assert_max_num_queries(3):
        assert len(client.get("/api/v1/builds/").json()["results"]) == 4
