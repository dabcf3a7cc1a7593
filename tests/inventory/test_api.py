"""The API of the inventory: what scripts lean on, who may do what, and what it costs."""

import uuid

import pytest
from django.utils import timezone

from inventory import operations
from inventory.filters import parts_of_kind
from inventory.kinds import DataSheet, Pack, Servo
from inventory.models import LogEntry, Part, PartEvent
from inventory.pack_health import judge_pack
from tests.factories import (
    SHEET_FACTORIES,
    ClubFactory,
    LoanFactory,
    LogEntryFactory,
    MembershipFactory,
    OfferFactory,
    PartFactory,
    PlaceFactory,
    ServoFactory,
    UserFactory,
    keeper_of,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db

PROBLEM = "application/problem+json"


@pytest.fixture
def api(api_of, user):
    return api_of(user)


def codes(response):
    assert response.status_code == 200, response.json()
    return [part["code"] for part in response.json()["results"]]


def refused(response, status, *pointers):
    assert response.status_code == status, response.content
    assert response["Content-Type"] == PROBLEM
    assert {error["pointer"] for error in response.json().get("errors", [])} == set(pointers)


# Parts: lists and filters


def test_a_list_answers_next_previous_and_results(api):
    assert api.get("/api/v1/parts/").json() == {"next": None, "previous": None, "results": []}


def test_a_part_shows_what_scripts_lean_on(api, user):
    place = PlaceFactory(person=user, name="Drawer 2")
    part = part_of(
        "servo", user, name="Left", mass_g=9.2, mass_uncertainty_g=0.1, place=place, notes="spare"
    )
    shown = api.get(f"/api/v1/parts/{part.code}/").json()
    for stamp in ("created_at", "updated_at"):
        assert shown.pop(stamp)
    assert shown == {
        "code": part.code,
        "kind": "servo",
        "name": "Left",
        "sheet": part.sheet_id,
        "mass_g": 9.2,
        "mass_source": "weighed",
        "mass_uncertainty_g": 0.1,
        "condition": "good",
        "out_of_service": "",
        "fitted": False,
        "is_bag": False,
        "count": 1,
        "fitted_count": 0,
        "place": place.pk,
        "place_name": "Drawer 2",
        "owner": {"kind": "person", "name": user.username},
        "notes": "spare",
        "acquired_on": None,
    }


def test_a_part_that_nobody_weighed_shows_the_mass_of_its_sheet(api, user):
    part = part_of("servo", user, sheet__mass_g=9.0)
    shown = api.get(f"/api/v1/parts/{part.code}/").json()
    assert (shown["mass_g"], shown["mass_source"]) == (9.0, "sheet")


def test_a_part_without_any_mass_says_unknown(api, user):
    part = part_of("servo", user, sheet__mass_g=None)
    shown = api.get(f"/api/v1/parts/{part.code}/").json()
    assert (shown["mass_g"], shown["mass_source"]) == (None, "unknown")


def test_a_club_part_names_its_club(api, user):
    club = MembershipFactory(user=user).club
    part = part_of("servo", club)
    shown = api.get(f"/api/v1/parts/{part.code}/").json()
    assert shown["owner"] == {"kind": "club", "name": club.name, "slug": club.slug}


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("kind=servo", {"light", "heavy", "sheet-mass"}),
        ("kind=motor", {"motor"}),
        ("mass_g__lt=9.5", {"light", "sheet-mass"}),
        ("mass_g__gt=9.5&kind=servo", {"heavy"}),
        ("mass_g__lt=0.3 oz", {"light"}),
        ("kind=servo&mass_g__gte=9&mass_g__lte=9", {"sheet-mass"}),
        ("condition=worn", {"heavy"}),
        ("condition=worn&condition=good&kind=servo", {"light", "heavy", "sheet-mass"}),
        ("q=Heavy", {"heavy"}),
        ("q=heavy motor", set()),
        ("kind=servo&torque_kgcm__gte=2.0", {"heavy"}),
        ("kind=servo&torque_kgcm__gte=1.0&height_mm__lte=20", {"light"}),
        ("kind=motor&cells_max__lt=4", set()),
        ("kind=motor&cells_max=4", {"motor"}),
        ("kind=servo&plug=JR", {"heavy"}),
        ("kind=servo&direction=ccw", {"heavy"}),
        ("owner=me", {"light", "heavy", "sheet-mass", "motor"}),
        ("in_service=false", {"motor"}),
        ("fitted=true", set()),
    ],
)
def test_parts_are_filtered(api, user, query, expected):
    part_of("servo", user, name="light", mass_g=8.0, sheet__height_mm=20.0)
    part_of(
        "servo",
        user,
        name="heavy",
        mass_g=12.0,
        condition="worn",
        sheet__torque_kgcm=2.5,
        sheet__plug="jr",
        sheet__direction="ccw",
    )
    part_of("servo", user, name="sheet-mass", sheet__mass_g=9.0)
    part_of("motor", user, name="motor", out_of_service="bent shaft")
    found = api.get(f"/api/v1/parts/?{query}").json()["results"]
    assert {part["name"] for part in found} == expected


def test_a_yes_or_no_figure_of_a_kind_is_a_filter(api, user):
    wanted = part_of("gps", user)
    part_of("gps", user, sheet__has_compass=False)
    assert codes(api.get("/api/v1/parts/?kind=gps&has_compass=true")) == [wanted.code]


def test_a_bag_is_fitted_when_no_piece_is_left(api, user):
    empty = part_of("propeller", user, is_bag=True, count=2, fitted_count=2)
    part_of("propeller", user, is_bag=True, count=2, fitted_count=1)
    assert codes(api.get("/api/v1/parts/?fitted=true")) == [empty.code]


def test_a_place_stands_for_all_that_is_inside_it(api, user):
    box = PlaceFactory(person=user)
    bag = PlaceFactory(parent=box)
    inside = part_of("servo", user, place=bag)
    part_of("servo", user, place=PlaceFactory(person=user))
    assert codes(api.get(f"/api/v1/parts/?place={box.pk}")) == [inside.code]


def test_an_owner_may_be_a_club(api, user):
    club = MembershipFactory(user=user).club
    part = part_of("servo", club)
    part_of("servo", user)
    assert codes(api.get(f"/api/v1/parts/?owner={club.slug}")) == [part.code]


def test_a_label_code_is_read_with_spaces_and_small_letters(api, user):
    part = part_of("servo", user)
    typed = f"{part.code[:3].lower()} {part.code[3:]}"
    assert codes(api.get("/api/v1/parts/", {"code": typed})) == [part.code]


def test_parts_come_in_pages_without_a_gap(api, user):
    expected = [part_of("servo", user).code for _ in range(5)]
    found, address = [], "/api/v1/parts/?page_size=2"
    while address:
        page = api.get(address).json()
        found += [part["code"] for part in page["results"]]
        address = page["next"]
    assert found == expected


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("colour=red", "#/colour"),
        ("torque_kgcm__gte=1", "#/torque_kgcm__gte"),
        ("kind=servo&kv_rpm_v=1", "#/kv_rpm_v"),
        ("kind=boat", "#/kind"),
        ("mass_g__lt=heavy", "#/mass_g__lt"),
        ("mass_g__lt=5 mm", "#/mass_g__lt"),
        ("fitted=perhaps", "#/fitted"),
        ("place=999", "#/place"),
        ("owner=nobody-here", "#/owner"),
        ("condition=shiny", "#/condition"),
        ("code=2D8YMX6", "#/code"),
        ("kind=motor&cells_max=three", "#/cells_max"),
    ],
)
def test_a_bad_filter_is_named(api, query, pointer):
    refused(api.get(f"/api/v1/parts/?{query}"), 400, pointer)


def test_a_place_of_somebody_else_is_no_filter(api):
    refused(api.get(f"/api/v1/parts/?place={PlaceFactory().pk}"), 400, "#/place")


@pytest.mark.parametrize("kind", sorted(SHEET_FACTORIES))
def test_every_figure_of_every_kind_is_a_filter_that_runs(api, user, kind):
    for name, used in parts_of_kind(kind).base_filters.items():
        field = used.field
        choices = [value for value, _ in getattr(field, "choices", ()) if value]
        value = choices[0] if choices and name != "kind" else 1
        if name in ("kind", "place", "owner", "code", "q"):
            continue
        answer = api.get("/api/v1/parts/", {"kind": kind, name: value})
        assert answer.status_code == 200, (name, answer.json())


def test_a_page_of_parts_costs_few_queries(client_of, user, django_assert_max_num_queries):
    for _ in range(3):
        part_of("servo", user, place=PlaceFactory(person=user))
    part_of("servo", MembershipFactory(user=user).club)
    client = client_of(user)
    with django_assert_max_num_queries(3):
        answer = client.get("/api/v1/parts/?kind=servo&mass_g__lt=1000&fitted=false")
    assert len(answer.json()["results"]) == 4


# Parts: writing


def test_a_part_is_added_with_its_weighing(api, user):
    sheet = ServoFactory(person=user)
    answer = api.post("/api/v1/parts/", {"sheet": sheet.pk, "mass_g": "0.33 oz", "name": "A"})
    assert answer.status_code == 201, answer.json()
    part = Part.objects.get(code=answer.json()["code"])
    # 1 oz = 28.349523125 g exactly: NIST Handbook 44 (2024), appendix C, section 4.
    assert answer.json()["mass_g"] == pytest.approx(0.33 * 28.349523125, rel=1e-12)
    assert part.person == user
    assert [row.source for row in part.measurements.all()] == ["weighed"]


def test_a_keeper_adds_to_the_pool(api_of):
    club = ClubFactory()
    sheet = ServoFactory(club=club)
    body = {"sheet": sheet.pk, "club": club.slug}
    answer = api_of(keeper_of(club)).post("/api/v1/parts/", body)
    assert answer.status_code == 201
    assert answer.json()["owner"]["slug"] == club.slug


def test_a_plain_member_does_not_add_to_the_pool(api_of):
    club = ClubFactory()
    body = {"sheet": ServoFactory(club=club).pk, "club": club.slug}
    refused(api_of(member_of(club)).post("/api/v1/parts/", body), 403, "#/club")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"sheet": None}, "#/sheet"),
        ({"sheet": 10**30}, "#/sheet"),
        ({"sheet": 1.5}, "#/sheet"),
        ({"sheet": True}, "#/sheet"),
        ({"sheet": [1]}, "#/sheet"),
        ({"mass_g": 0}, "#/mass_g"),
        ({"mass_g": -1}, "#/mass_g"),
        ({"mass_g": "5 mm"}, "#/mass_g"),
        ({"mass_source": "weighed"}, "#/mass_source"),
        ({"mass_g": 5, "mass_uncertainty_g": -1}, "#/mass_uncertainty_g"),
        ({"condition": "retired"}, "#/condition"),
        ({"count": 3}, "#"),
        ({"is_bag": True, "count": 10**9}, "#/count"),
        ({"acquired_on": "yesterday"}, "#/acquired_on"),
        ({"name": "x" * 81}, "#/name"),
        ({"place": 10**6}, "#/place"),
        ({"club": "no-such-club"}, "#/club"),
    ],
)
def test_what_is_wrong_with_a_new_part_is_said_at_its_field(api, user, change, pointer):
    body = {"sheet": ServoFactory(person=user).pk} | change
    refused(api.post("/api/v1/parts/", body), 400, pointer)
    assert not Part.objects.exists()


def test_no_part_is_added_of_a_sheet_of_a_stranger(api):
    refused(api.post("/api/v1/parts/", {"sheet": ServoFactory().pk}), 400, "#/sheet")


def test_a_place_of_another_owner_is_refused(api, user):
    club = MembershipFactory(user=user, role="keeper").club
    body = {"sheet": ServoFactory(person=user).pk, "place": PlaceFactory(club=club).pk}
    refused(api.post("/api/v1/parts/", body), 400, "#/place")


def test_a_change_is_kept_in_the_history(api, user):
    part = part_of("servo", user)
    answer = api.patch(f"/api/v1/parts/{part.code}/", {"name": "Right", "condition": "worn"})
    assert (answer.json()["name"], answer.json()["condition"]) == ("Right", "worn")
    history = api.get(f"/api/v1/parts/{part.code}/history/").json()["results"]
    assert history[0]["verb"] == "changed"
    assert history[0]["by"] == user.username


def test_writing_the_mass_records_a_weighing(api, user):
    part = part_of("servo", user, mass_g=9.0)
    answer = api.patch(f"/api/v1/parts/{part.code}/", {"mass_g": 9.4, "mass_uncertainty_g": 0.05})
    assert (answer.json()["mass_g"], answer.json()["mass_uncertainty_g"]) == (9.4, 0.05)
    shown = api.get(f"/api/v1/parts/{part.code}/measurements/").json()["results"]
    assert [row["value"] for row in shown] == [9.4, 9.0]


def test_a_count_below_what_is_fitted_is_a_conflict(api, user):
    bag = part_of("propeller", user, is_bag=True, count=5, fitted_count=3)
    refused(api.patch(f"/api/v1/parts/{bag.code}/", {"count": 2}), 409, "#/count")


def test_deleting_a_part_retires_it_and_keeps_its_history(api, user):
    part = part_of("servo", user)
    assert api.delete(f"/api/v1/parts/{part.code}/").status_code == 204
    assert api.get(f"/api/v1/parts/{part.code}/").json()["condition"] == "retired"
    assert PartEvent.objects.filter(part=part, verb="retired").exists()


def test_a_fitted_part_is_not_retired(api, user):
    part = part_of("servo", user, fitted_count=1)
    refused(api.delete(f"/api/v1/parts/{part.code}/"), 409)


def test_a_part_is_taken_out_of_service_and_returns_after_an_inspection(api, user):
    part = part_of("servo", user)
    stopped = api.post(f"/api/v1/parts/{part.code}/take-out-of-service/", {"reason": "jitters"})
    assert stopped.json()["out_of_service"] == "jitters"
    refused(
        api.post(f"/api/v1/parts/{part.code}/return-to-service/", {"finding": "ok"}),
        400,
        "#/finding",
    )
    back = api.post(
        f"/api/v1/parts/{part.code}/return-to-service/", {"finding": "gears replaced, runs free"}
    )
    assert back.json()["out_of_service"] == ""


def test_a_typing_error_in_the_address_is_told(api):
    answer = api.get("/api/v1/parts/2D8YMX6/")
    refused(answer, 404)
    assert "look again at the label" in answer.json()["detail"]


def test_a_part_of_a_stranger_is_not_found(api):
    part = PartFactory()
    for address in ("", "history/", "measurements/"):
        refused(api.get(f"/api/v1/parts/{part.code}/{address}"), 404)
    refused(api.patch(f"/api/v1/parts/{part.code}/", {"name": "mine"}), 404)


def test_a_part_one_may_only_see_is_not_changed(api_of):
    club = ClubFactory()
    part = part_of("servo", club)
    api = api_of(member_of(club))
    refused(api.patch(f"/api/v1/parts/{part.code}/", {"name": "mine"}), 403)
    refused(api.delete(f"/api/v1/parts/{part.code}/"), 403)
    body = {"name": "mass_g", "value": 1}
    refused(api.post(f"/api/v1/parts/{part.code}/measurements/", body), 403)


def test_nobody_reads_without_signing_in(api_of):
    refused(api_of().get("/api/v1/parts/"), 401)


# Measurements


def test_a_measurement_is_recorded_in_the_unit_of_its_name(api, user):
    part = part_of("servo", user)
    body = {"name": "height_mm", "value": "1 in", "note": "callipers"}
    answer = api.post(f"/api/v1/parts/{part.code}/measurements/", body)
    assert answer.status_code == 201, answer.json()
    # 1 in = 25.4 mm exactly: NIST Handbook 44 (2024), appendix C, section 3.
    assert answer.json()["value"] == 25.4
    assert answer.json()["by"] == user.username


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"name": "colour", "value": 1}, "#/name"),
        ({"name": "height_mm", "value": {}}, "#/value"),
        ({"name": "height_mm", "value": []}, "#/value"),
        ({"name": "height_mm", "value": None}, "#/value"),
        ({"name": "height_mm", "value": True}, "#/value"),
        ({"name": "height_mm", "value": 10**400}, "#/value"),
        ({"name": "height_mm", "value": -3}, "#/value"),
        ({"name": "mass_g", "value": 0}, "#/value"),
        ({"name": "arm_radii_mm", "value": [1, "x"]}, "#/value"),
        ({"name": "arm_radii_mm", "value": [1] * 1000}, "#/value"),
        ({"name": "height_mm", "value": 3, "uncertainty": -1}, "#/uncertainty"),
        ({"name": "height_mm", "value": 3, "source": "heard"}, "#/source"),
        ({"name": "height_mm", "value": 3, "measured_at": "2999-01-01T00:00:00Z"}, "#/measured_at"),
        ({"name": "height_mm"}, "#/value"),
        ({"value": 3}, "#/name"),
    ],
)
def test_what_is_wrong_with_a_measurement_is_said_at_its_field(api, user, body, pointer):
    part = part_of("servo", user)
    refused(api.post(f"/api/v1/parts/{part.code}/measurements/", body), 400, pointer)


# Data sheets


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


# Places


def test_a_place_lies_in_a_place(api):
    shelf = api.post("/api/v1/places/", {"name": "Shelf"}).json()
    box = api.post("/api/v1/places/", {"name": "Box", "parent": shelf["id"]})
    assert box.status_code == 201, box.json()
    assert box.json()["parent"] == shelf["id"]


def test_a_place_does_not_lie_in_itself(api, user):
    outer = PlaceFactory(person=user)
    inner = PlaceFactory(parent=outer)
    refused(api.patch(f"/api/v1/places/{outer.pk}/", {"parent": inner.pk}), 400, "#/parent")


def test_a_place_with_something_in_it_stays(api, user):
    place = PlaceFactory(person=user)
    part_of("servo", user, place=place)
    refused(api.delete(f"/api/v1/places/{place.pk}/"), 409)


def test_an_empty_place_is_removed(api, user):
    place = PlaceFactory(person=user)
    assert api.delete(f"/api/v1/places/{place.pk}/").status_code == 204


# Packs


@pytest.fixture
def pack(user):
    return part_of("pack", user)


def log_of(pack):
    return f"/api/v1/packs/{pack.code}/log/"


USE = {"kind": "use", "charge_mah": 980, "duration_s": 420, "started_at": "2025-06-01T10:00:00Z"}


def test_an_entry_is_logged_and_listed_newest_first(api, pack):
    first = api.post(log_of(pack), USE)
    assert first.status_code == 201, first.json()
    api.post(log_of(pack), {"kind": "rest", "rest_v": [3.8, "3810 mV", 3.8, 3.8]})
    shown = api.get(log_of(pack)).json()["results"]
    assert [entry["kind"] for entry in shown] == ["rest", "use"]
    assert shown[0]["rest_v"] == [3.8, 3.81, 3.8, 3.8]


def test_a_list_of_entries_is_logged_at_once(api, pack):
    rows = [USE | {"started_at": f"2025-06-{day:02d}T10:00:00Z"} for day in range(1, 11)]
    answer = api.post(log_of(pack), rows)
    assert answer.status_code == 201, answer.json()
    assert len(answer.json()) == pack.log.count() == 10


@pytest.mark.parametrize(
    ("bad", "pointer"),
    [
        ({"kind": "use"}, "#/1/charge_mah"),
        ({"kind": "flight"}, "#/1/kind"),
        ({"kind": "rest", "rest_v": [9]}, "#/1/rest_v/0"),
        ({"kind": "use", "charge_mah": -5}, "#/1/charge_mah"),
        ("nothing", "#/1"),
    ],
)
def test_of_a_list_with_one_bad_row_nothing_is_logged_and_the_row_is_named(api, pack, bad, pointer):
    refused(api.post(log_of(pack), [USE, bad, USE]), 400, pointer)
    assert not LogEntry.objects.exists()


@pytest.mark.parametrize("rows", [[], [USE] * 1001])
def test_a_list_has_one_to_a_thousand_rows(api, pack, rows):
    refused(api.post(log_of(pack), rows), 400, "#")


def test_a_repeated_upload_changes_nothing(api, pack):
    address = f"{log_of(pack)}{uuid.uuid4()}/"
    assert api.put(address, USE).status_code == 201
    again = api.put(address, USE)
    assert again.status_code == 200
    assert again.json()["charge_mah"] == 980
    assert pack.log.count() == 1


@pytest.mark.parametrize(
    "change", [{"charge_mah": 981}, {"note": "windy"}, {"started_at": "2025-06-02T10:00:00Z"}]
)
def test_another_content_under_the_same_id_is_a_conflict(api, pack, change):
    address = f"{log_of(pack)}{uuid.uuid4()}/"
    api.put(address, USE)
    refused(api.put(address, USE | change), 409, "#/id")


def test_the_id_in_the_body_is_that_of_the_address(api, pack):
    address = f"{log_of(pack)}{uuid.uuid4()}/"
    refused(api.put(address, USE | {"id": str(uuid.uuid4())}), 400, "#/id")


def test_an_entry_is_corrected_by_a_later_one(api, pack):
    wrong = api.post(log_of(pack), USE).json()
    right = api.post(log_of(pack), USE | {"charge_mah": 908, "corrects": wrong["id"]})
    assert right.status_code == 201, right.json()
    standing = api.get(log_of(pack) + "?standing=true").json()["results"]
    assert [entry["charge_mah"] for entry in standing] == [908]
    twice = api.post(log_of(pack), USE | {"corrects": wrong["id"]})
    refused(twice, 400, "#/corrects")


def test_an_incident_takes_the_pack_out_of_service(api, pack):
    api.post(log_of(pack), {"kind": "incident", "incident": "swollen"})
    assert api.get(f"/api/v1/parts/{pack.code}/").json()["out_of_service"] == "swollen"


def test_who_borrowed_a_pack_logs_it(api_of, pack):
    loan = LoanFactory(part=pack)
    assert api_of(loan.borrower).post(log_of(pack), USE).status_code == 201


def test_who_only_sees_a_pack_does_not_log_it(api_of, pack):
    offer = OfferFactory(part=pack)
    api = api_of(member_of(offer.club))
    assert api.get(log_of(pack)).status_code == 200
    refused(api.post(log_of(pack), USE), 403)


def test_only_a_pack_has_a_log(api, user):
    refused(api.get(log_of(part_of("servo", user))), 404)


def test_the_health_of_a_new_pack_cannot_be_told(api, pack):
    LogEntryFactory(pack=pack, charge_mah=650.0)
    health = api.get(f"/api/v1/packs/{pack.code}/health/").json()
    assert health["verdict"] == "cannot_tell"
    assert health["reasons"]
    assert (health["cycles"], health["equivalent_cycles"]) == (1, 0.5)
    assert (health["capacity_mah"], health["end_of_life"]) == (None, None)
    assert health["resistance_mohm"] == []


def test_a_pack_whose_sheet_says_too_little_is_not_judged_and_says_why(api, user):
    pack = part_of("pack", user, sheet__chemistry="", sheet__cell_count=None)
    health = api.get(f"/api/v1/packs/{pack.code}/health/").json()
    assert health["verdict"] == "cannot_tell"
    assert "chemistry, cells in series" in health["reasons"][0]["message"]


def test_a_thousand_rows_are_logged_in_one_request(api, pack):
    rows = [USE | {"started_at": f"2024-01-01T00:00:{0:02d}.{row:06d}Z"} for row in range(1000)]
    assert api.post(log_of(pack), rows).status_code == 201
    assert pack.log.count() == 1000


# Offers, claims and loans


def test_a_part_is_offered_claimed_lent_and_returned(api_of, user):
    club = MembershipFactory(user=user).club
    other = member_of(club)
    owner, mate = api_of(user), api_of(other)
    part = part_of("servo", user)
    offered = owner.post("/api/v1/offers/", {"part": part.code, "club": club.slug})
    assert offered.status_code == 201, offered.json()
    claimed = mate.post("/api/v1/claims/", {"part": part.code, "purpose": "my wing"})
    assert claimed.status_code == 201, claimed.json()
    lent = owner.post("/api/v1/loans/", {"part": part.code, "borrower": other.username})
    assert lent.status_code == 201, lent.json()
    back = owner.post(f"/api/v1/loans/{lent.json()['id']}/return/", {"condition": "worn"})
    assert back.json()["ended_at"]
    assert owner.get(f"/api/v1/parts/{part.code}/").json()["condition"] == "worn"
    assert owner.delete(f"/api/v1/offers/{offered.json()['id']}/").status_code == 204
    assert owner.get("/api/v1/offers/?open=true").json()["results"] == []


def test_of_two_claims_the_second_is_a_conflict(api_of):
    club = ClubFactory()
    part = part_of("servo", club)
    first, second = api_of(member_of(club)), api_of(member_of(club))
    assert first.post("/api/v1/claims/", {"part": part.code}).status_code == 201
    refused(second.post("/api/v1/claims/", {"part": part.code}), 409)


def test_a_part_is_lent_to_clubmates_only(api, user):
    part = part_of("servo", user)
    body = {"part": part.code, "borrower": UserFactory().username}
    refused(api.post("/api/v1/loans/", body), 400, "#/borrower")


def test_a_part_one_only_sees_is_neither_offered_nor_lent(api_of):
    club = ClubFactory()
    part, mate = part_of("servo", club), member_of(club)
    api = api_of(mate)
    refused(api.post("/api/v1/offers/", {"part": part.code, "club": club.slug}), 403)
    refused(api.post("/api/v1/loans/", {"part": part.code, "borrower": mate.username}), 403)


def test_a_part_of_a_stranger_is_not_claimed(api):
    refused(api.post("/api/v1/claims/", {"part": PartFactory().code}), 400, "#/part")


def test_a_borrower_does_not_end_the_loan_themselves(api_of):
    loan = LoanFactory()
    answer = api_of(loan.borrower).post(f"/api/v1/loans/{loan.pk}/return/", {"condition": "good"})
    refused(answer, 403)


# Health from the database


def test_an_inspection_answers_the_incidents_before_it(user, pack):
    operations.add_log_entry(pack, by=user, kind="incident", incident="crashed")
    pack.refresh_from_db()
    assert judge_pack(pack).verdict == "out_of_service"
    operations.return_to_service(pack, finding="no dent, cells within 5 mV", by=user)
    assert judge_pack(pack).verdict == "cannot_tell"
    operations.add_log_entry(pack, by=user, kind="incident", incident="swollen")
    pack.refresh_from_db()
    assert judge_pack(pack, timezone.now()).verdict == "out_of_service"


def test_a_pack_of_an_unjudged_chemistry_that_is_out_of_service_says_so(user):
    pack = part_of("pack", user, sheet__chemistry="nimh", out_of_service="leaks")
    assert isinstance(pack.sheet, Pack)
    assert judge_pack(pack).verdict == "out_of_service"
