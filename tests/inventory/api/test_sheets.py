"""Data sheets of every kind."""

import pytest

from inventory.kinds import DataSheet, Servo
from tests.factories import (
    SHEET_FACTORIES,
    ClubFactory,
    ServoFactory,
    member_of,
    part_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("kind", sorted(SHEET_FACTORIES))
def test_what_a_sheet_shows_can_be_written_back(api, user, kind):
    sheet = SHEET_FACTORIES[kind](person=user)
    address = f"/api/v1/sheets/{kind}/{sheet.pk}/"
    shown = api.get(address).json()
    written = {name: value for name, value in shown.items() if name not in ("owner", "id")}
    answer = api.put(address, written)
    assert answer.status_code == 200, answer.json()
    again = answer.json()
    assert again.pop("updated_at") >= shown.pop("updated_at")
    assert again == shown


def test_all_sheets_are_listed_together_and_each_kind_apart(api, user):
    servo, motor = SHEET_FACTORIES["servo"](person=user), SHEET_FACTORIES["motor"](person=user)
    both = api.get("/api/v1/sheets/").json()["results"]
    assert {sheet["id"]: sheet["kind"] for sheet in both} == {
        servo.pk: "servo",
        motor.pk: "motor",
    }
    motors = api.get("/api/v1/sheets/motor/").json()["results"]
    assert [sheet["kv_rpm_v"] for sheet in motors] == [1900.0]


def test_sheets_are_filtered_by_the_figures_of_their_kind(api, user):
    strong = ServoFactory(person=user, torque_kgcm=3.0)
    ServoFactory(person=user, torque_kgcm=1.0)
    found = api.get("/api/v1/sheets/servo/?torque_kgcm__gt=2").json()["results"]
    assert [sheet["id"] for sheet in found] == [strong.pk]


def test_an_airframe_is_written_with_its_positions(api):
    body = {
        "name": "T640",
        "wing_stations": [
            {"y_mm": 0, "leading_edge_x_mm": 60, "chord_mm": 190, "z_mm": 0},
            {"y_mm": 320, "leading_edge_x_mm": 155, "chord_mm": 110, "z_mm": 0},
        ],
        "template": [
            {"key": "motor", "name": "Motor", "kind": "motor", "x_mm": 258},
            {"key": "servo", "name": "Servo", "kind": "servo", "x_mm": "7 in"},
        ],
    }
    answer = api.post("/api/v1/sheets/airframe/", body)
    assert answer.status_code == 201, answer.json()
    positions = answer.json()["template"]
    assert [(shape["key"], shape["x_mm"]) for shape in positions] == [
        ("motor", 258.0),
        ("servo", pytest.approx(177.8)),
    ]


def test_a_new_template_replaces_the_old_one_and_no_template_leaves_it(api, user):
    sheet = SHEET_FACTORIES["airframe"](person=user, template=True)
    address = f"/api/v1/sheets/airframe/{sheet.pk}/"
    assert len(api.patch(address, {"name": "T641"}).json()["template"]) == 11
    one = [{"key": "motor", "name": "Motor", "kind": "motor"}]
    assert len(api.patch(address, {"template": one}).json()["template"]) == 1


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"name": ""}, "#/name"),
        ({"mass_g": -1}, "#/mass_g"),
        ({"wing_stations": "flat"}, "#/wing_stations"),
        ({"wing_stations": [{"y_mm": 0}]}, "#/wing_stations"),
        (
            {
                "wing_stations": [
                    {"y_mm": 10**400, "leading_edge_x_mm": 0, "chord_mm": 1, "z_mm": 0}
                ]
            },
            "#/wing_stations",
        ),
        ({"template": [{"key": "a b", "name": "A", "kind": "motor"}]}, "#/template/0/key"),
        ({"template": [{"key": "a", "name": "A", "kind": "boat"}]}, "#/template/0/kind"),
        ({"template": [{"key": "a", "name": "A", "kind": "motor"}] * 2}, "#/template"),
        ({"layout": "biplane"}, "#/layout"),
        ({"club": "no-such-club"}, "#/club"),
    ],
)
def test_what_is_wrong_with_a_sheet_is_said_at_its_field(api, body, pointer):
    refused(api.post("/api/v1/sheets/airframe/", {"name": "T640"} | body), 400, pointer)
    assert not DataSheet.objects.exists()


def test_a_sheet_of_which_there_are_parts_stays(api, user):
    part = part_of("servo", user)
    refused(api.delete(f"/api/v1/sheets/servo/{part.sheet_id}/"), 409)


def test_a_sheet_without_parts_is_deleted(api, user):
    sheet = ServoFactory(person=user)
    assert api.delete(f"/api/v1/sheets/servo/{sheet.pk}/").status_code == 204
    assert not Servo.objects.exists()


def test_a_member_reads_a_sheet_of_the_club_and_does_not_change_it(api_of):
    club = ClubFactory()
    sheet = ServoFactory(club=club)
    api = api_of(member_of(club))
    assert api.get(f"/api/v1/sheets/servo/{sheet.pk}/").status_code == 200
    refused(api.patch(f"/api/v1/sheets/servo/{sheet.pk}/", {"name": "mine"}), 403)


def test_a_sheet_of_a_stranger_is_not_found(api):
    sheet = ServoFactory()
    refused(api.get(f"/api/v1/sheets/servo/{sheet.pk}/"), 404)


def test_a_page_of_typed_sheets_costs_one_query_and_airframes_two(
    api, user, django_assert_num_queries
):
    for _ in range(3):
        SHEET_FACTORIES["motor"](person=user)
        SHEET_FACTORIES["airframe"](person=user, template=True)
    with django_assert_num_queries(1):
        api.get("/api/v1/sheets/motor/")
    with django_assert_num_queries(2):
        api.get("/api/v1/sheets/airframe/")
