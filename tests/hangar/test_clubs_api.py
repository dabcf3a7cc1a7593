"""The API of people and clubs, and its description."""

import pytest
from django.core.management import call_command
from knox.models import AuthToken
from rest_framework.test import APIClient

from hangar.clubs.models import Membership, Role
from tests.factories import (
    ClubFactory,
    InvitationFactory,
    MembershipFactory,
    UserFactory,
    keeper_of,
    member_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def officer(club, api_of):
    return api_of(member_of(club, Role.OFFICER))


@pytest.fixture
def member(club, api_of):
    return api_of(member_of(club))


def test_the_description_of_the_api_is_valid_and_complete(tmp_path):
    call_command(
        "spectacular", "--validate", "--fail-on-warn", "--file", str(tmp_path / "schema.yaml")
    )


def test_a_person_reads_their_name_and_changes_their_units(api_of, user):
    api = api_of(user)
    assert api.get("/api/v1/me/").json() == {
        "name": user.username,
        "mass_unit": "g",
        "length_unit": "mm",
    }
    assert api.patch("/api/v1/me/", {"mass_unit": "oz"}).json()["mass_unit"] == "oz"
    user.refresh_from_db()
    assert user.mass_unit == "oz"


def test_an_unknown_unit_is_refused_at_its_field(api_of, user):
    refused(api_of(user).patch("/api/v1/me/", {"mass_unit": "stone"}), 400, "#/mass_unit")


def test_a_key_opens_the_api_until_it_is_withdrawn(api_of, user):
    made = api_of(user).post("/api/v1/me/keys/").json()
    script = APIClient(headers={"Authorization": f"Bearer {made['token']}"})
    assert script.get("/api/v1/me/").json()["name"] == user.username
    assert "token" not in script.get("/api/v1/me/keys/").json()["results"][0]
    assert script.delete(f"/api/v1/me/keys/{made['token_key']}/").status_code == 204
    refused(script.get("/api/v1/me/"), 401)


def test_a_key_of_somebody_else_is_not_found(api_of, user):
    key, _ = AuthToken.objects.create(UserFactory())
    refused(api_of(user).delete(f"/api/v1/me/keys/{key.token_key}/"), 404)


def test_who_founds_a_club_is_its_officer(api_of, user):
    answer = api_of(user).post("/api/v1/clubs/", {"name": "Long Meadow Flyers"})
    assert answer.status_code == 201, answer.json()
    assert answer.json()["slug"] == "long-meadow-flyers"
    assert Membership.objects.get(user=user).role == Role.OFFICER


def test_a_second_club_of_the_name_is_a_conflict(api_of, user, club):
    refused(api_of(user).post("/api/v1/clubs/", {"name": club.name}), 409, "#/name")


def test_a_member_sees_their_clubs_only(member, club):
    other = ClubFactory()
    slugs = [found["slug"] for found in member.get("/api/v1/clubs/").json()["results"]]
    assert slugs == [club.slug]
    refused(member.get(f"/api/v1/clubs/{other.slug}/"), 404)
    refused(member.get(f"/api/v1/clubs/{other.slug}/members/"), 404)


def test_an_officer_sets_the_mass_line(officer, club):
    answer = officer.patch(f"/api/v1/clubs/{club.slug}/", {"mass_line_g": "0.25 kg"})
    assert answer.json()["mass_line_g"] == 250.0


@pytest.mark.parametrize("value", [0, -1, "5 mm", "heavy", [250], 1e300])
def test_a_mass_line_that_is_no_mass_is_refused(officer, club, value):
    answer = officer.patch(f"/api/v1/clubs/{club.slug}/", {"mass_line_g": value})
    refused(answer, 400, "#/mass_line_g")


def test_a_member_does_not_set_the_mass_line(member, club):
    refused(member.patch(f"/api/v1/clubs/{club.slug}/", {"mass_line_g": 250}), 403)


def test_an_officer_says_where_the_field_lies_and_how_high(officer, club):
    place = {"field_latitude_deg": 53.3, "field_longitude_deg": -0.3, "field_elevation_m": "60 ft"}
    shown = officer.patch(f"/api/v1/clubs/{club.slug}/", place).json()
    assert (shown["field_latitude_deg"], shown["field_longitude_deg"]) == (53.3, -0.3)
    # The international foot is 0.3048 m exactly (NIST SP 811, appendix B).
    assert shown["field_elevation_m"] == pytest.approx(18.288)


def test_what_is_not_named_of_the_field_stays(officer, club):
    officer.patch(f"/api/v1/clubs/{club.slug}/", {"field_elevation_m": 18})
    shown = officer.patch(f"/api/v1/clubs/{club.slug}/", {"field_latitude_deg": 53.3}).json()
    assert shown["field_elevation_m"] == 18


@pytest.mark.parametrize(
    ("name", "value"),
    [("field_latitude_deg", 91), ("field_longitude_deg", "east"), ("field_elevation_m", 7000)],
)
def test_a_place_that_is_none_on_earth_is_refused(officer, club, name, value):
    answer = officer.patch(f"/api/v1/clubs/{club.slug}/", {name: value})
    refused(answer, 400, f"#/{name}")


def test_a_member_does_not_move_the_field(member, club):
    refused(member.patch(f"/api/v1/clubs/{club.slug}/", {"field_elevation_m": 5}), 403)


def test_members_are_listed_with_their_roles(member, club):
    keeper = keeper_of(club)
    shown = member.get(f"/api/v1/clubs/{club.slug}/members/").json()["results"]
    assert {"keeper"} == {one["role"] for one in shown if one["user"] == keeper.username}


def test_an_officer_gives_another_role(officer, club):
    membership = MembershipFactory(club=club)
    address = f"/api/v1/clubs/{club.slug}/members/{membership.pk}/"
    assert officer.patch(address, {"role": "keeper"}).json()["role"] == "keeper"
    refused(officer.patch(address, {"role": "king"}), 400, "#/role")
    refused(officer.patch(address, {}), 400, "#/role")


def test_the_last_officer_stays_officer(officer, club):
    membership = club.memberships.get(role=Role.OFFICER)
    address = f"/api/v1/clubs/{club.slug}/members/{membership.pk}/"
    refused(officer.patch(address, {"role": "member"}), 409)
    refused(officer.delete(address), 409)


def test_a_member_leaves_and_removes_nobody_else(api_of, club):
    MembershipFactory(club=club, role=Role.OFFICER)
    mine, other = MembershipFactory(club=club), MembershipFactory(club=club)
    api = api_of(mine.user)
    refused(api.delete(f"/api/v1/clubs/{club.slug}/members/{other.pk}/"), 403)
    assert api.delete(f"/api/v1/clubs/{club.slug}/members/{mine.pk}/").status_code == 204
    refused(api.get(f"/api/v1/clubs/{club.slug}/"), 404)


def test_an_invitation_is_made_and_accepted_once(officer, club, api_of, user):
    made = officer.post(f"/api/v1/clubs/{club.slug}/invitations/", {"role": "keeper"})
    assert made.status_code == 201, made.json()
    address = f"/api/v1/invitations/{made.json()['token']}/accept/"
    joined = api_of(user).post(address)
    assert joined.status_code == 201
    assert (joined.json()["club"], joined.json()["role"]) == (club.slug, "keeper")
    refused(api_of(UserFactory()).post(address), 404)


def test_a_withdrawn_invitation_lets_nobody_in(officer, club, api_of, user):
    invitation = InvitationFactory(club=club)
    address = f"/api/v1/clubs/{club.slug}/invitations/{invitation.pk}/"
    assert officer.delete(address).status_code == 204
    refused(api_of(user).post(f"/api/v1/invitations/{invitation.token}/accept/"), 404)


def test_a_member_neither_reads_nor_makes_invitations(member, club):
    invitation = InvitationFactory(club=club)
    address = f"/api/v1/clubs/{club.slug}/invitations/"
    assert member.get(address).json()["results"] == []
    refused(member.get(f"{address}{invitation.pk}/"), 404)
    refused(member.post(address, {}), 403)


@pytest.mark.parametrize(
    ("body", "pointer"),
    [({"role": "king"}, "#/role"), ({"days": 91}, "#/days"), ({"uses_max": 0}, "#/uses_max")],
)
def test_a_bad_invitation_is_refused_at_its_field(officer, club, body, pointer):
    refused(officer.post(f"/api/v1/clubs/{club.slug}/invitations/", body), 400, pointer)


def test_an_officer_enters_and_removes_a_band_that_members_read(officer, member, club):
    address = f"/api/v1/clubs/{club.slug}/radio-limits/"
    body = {
        "band_min_mhz": "2.4 GHz",
        "band_max_mhz": 2483.5,
        "radiated_power_max_mw": 100,
        "source": "club rules",
    }
    made = officer.post(address, body)
    assert made.status_code == 201, made.json()
    assert [one["band_min_mhz"] for one in member.get(address).json()["results"]] == [2400.0]
    refused(member.post(address, body), 403)
    refused(member.delete(f"{address}{made.json()['id']}/"), 403)
    assert officer.delete(f"{address}{made.json()['id']}/").status_code == 204


def test_a_band_runs_from_low_to_high(officer, club):
    body = {"band_min_mhz": 2500, "band_max_mhz": 2400}
    refused(officer.post(f"/api/v1/clubs/{club.slug}/radio-limits/", body), 400, "#")
