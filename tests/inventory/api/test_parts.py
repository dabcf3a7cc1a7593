"""Parts and their measurements: adding, changing, retiring, and who may."""

import pytest

from inventory.models import Part, PartEvent
from tests.factories import (
    ClubFactory,
    MembershipFactory,
    PartFactory,
    PlaceFactory,
    ServoFactory,
    keeper_of,
    member_of,
    part_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


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
