"""Pages of accounts, clubs and errors."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from hangar.clubs.models import Club, Invitation, Membership, Role, User
from tests.factories import (
    ClubFactory,
    InvitationFactory,
    LoanFactory,
    LogEntryFactory,
    MembershipFactory,
    MotorFactory,
    PackFactory,
    PartFactory,
    UserFactory,
)

PASSWORD = "a long word of passage 7"


@pytest.fixture
def officer(db):
    return UserFactory()


@pytest.fixture
def club(officer):
    club = ClubFactory(name="Long Meadow Flyers", slug="long-meadow-flyers")
    MembershipFactory(user=officer, club=club, role=Role.OFFICER)
    return club


def test_home_asks_a_stranger_to_sign_in(client, db):
    answer = client.get("/")
    assert (answer.status_code, answer.url) == (302, "/sign-in/?next=/")


def test_home_of_somebody_with_nothing_says_how_to_begin(client_of, user):
    assert "To begin with" in client_of(user).get("/").text


def test_home_shows_what_needs_attention(client_of, user):
    stopped = PartFactory(sheet=MotorFactory(person=user), out_of_service="bent shaft")
    due_on = timezone.localdate() - timedelta(days=3)
    LoanFactory(part=PartFactory(), borrower=user, due_on=due_on)
    page = client_of(user).get("/").text
    assert "bent shaft" in page
    assert stopped.code[:3] in page
    assert "overdue since" in page


def test_home_names_a_pack_that_its_log_speaks_against(client_of, user):
    pack = PartFactory(sheet=PackFactory(person=user, cell_count=4), name="PK-1")
    LogEntryFactory(
        pack=pack, by=user, kind="rest", charge_mah=None, rest_v=[3.85, 3.85, 2.4, 3.85]
    )
    answer = client_of(user).get("/")
    assert [found.pk for found, _ in answer.context["worn_packs"]] == [pack.pk]
    assert "PK-1" in answer.text


@pytest.mark.parametrize("loans", [1, 15])
def test_home_asks_no_more_of_the_database_for_more_rows(
    client_of, user, django_assert_max_num_queries, loans
):
    for _ in range(loans):
        LoanFactory(part=PartFactory(sheet=MotorFactory(person=user)))
    client = client_of(user)
    with django_assert_max_num_queries(12):
        client.get("/")


def test_signing_in_leads_to_where_one_was_going(client, db):
    User.objects.create_user("robin", password=PASSWORD)
    answer = client.post("/sign-in/?next=/parts/", {"username": "robin", "password": PASSWORD})
    assert (answer.status_code, answer.url) == (302, "/parts/")


def test_a_wrong_password_keeps_the_name_and_says_so(client, db):
    User.objects.create_user("robin", password=PASSWORD)
    page = client.post("/sign-in/", {"username": "robin", "password": "wrong"}).text
    assert 'value="robin"' in page
    assert "correct" in page


def test_many_wrong_passwords_lock_the_name_for_a_while(client, db):
    User.objects.create_user("robin", password=PASSWORD)
    answers = [
        client.post("/sign-in/", {"username": "robin", "password": "wrong"}) for _ in range(6)
    ]
    assert answers[-1].status_code == 429
    assert "Too many wrong passwords" in answers[-1].text


def test_signing_up_makes_an_account_and_signs_in(client, db):
    answer = client.post(
        "/sign-up/", {"username": "robin", "password1": PASSWORD, "password2": PASSWORD}
    )
    assert (answer.status_code, answer.url) == (302, "/")
    assert client.get("/").context["user"].username == "robin"


def test_signing_up_never_leads_to_another_site(client, db):
    answer = client.post(
        "/sign-up/",
        {
            "username": "robin",
            "password1": PASSWORD,
            "password2": PASSWORD,
            "next": "https://example.com/",
        },
    )
    assert answer.url == "/"


def test_a_weak_password_is_refused_at_its_box(client, db):
    answer = client.post("/sign-up/", {"username": "robin", "password1": "12", "password2": "12"})
    assert answer.status_code == 400
    assert 'id="id_password2_error"' in answer.text
    assert not User.objects.exists()


def test_signing_out_needs_a_form_and_ends_the_session(client_of, user):
    client = client_of(user)
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").url == "/sign-in/"
    assert client.get("/").status_code == 302


def test_chosen_units_are_what_pages_then_show(client_of, user):
    # NIST SP 811 (2008), appendix B.8: ounce (avoirdupois) 28.349523125 g, exact.
    part = PartFactory(sheet=MotorFactory(person=user, mass_g=28.349523125))
    client = client_of(user)
    client.post("/settings/", {"mass_unit": "oz", "length_unit": "mm"})
    assert "1\u00a0oz" in client.get(f"/parts/{part.code}/").text


def test_a_unit_that_is_none_is_refused(client_of, user):
    answer = client_of(user).post("/settings/", {"mass_unit": "stone", "length_unit": "mm"})
    assert answer.status_code == 400
    assert 'id="id_mass_unit_error"' in answer.text


def test_founding_a_club_makes_the_founder_its_officer(client_of, user):
    answer = client_of(user).post("/clubs/", {"name": "High Ridge Wings"})
    assert answer.url == "/clubs/high-ridge-wings/"
    assert Membership.objects.get(user=user).role == Role.OFFICER


def test_an_officer_enters_the_flying_field(client_of, officer, club):
    client = client_of(officer)
    place = {"field_latitude_deg": "53.3", "field_longitude_deg": "-0.3", "field_elevation_m": ""}
    assert client.post(f"/clubs/{club.slug}/field/", place).status_code == 302
    assert "latitude 53.3" in client.get(f"/clubs/{club.slug}/").text
    answer = client.post(f"/clubs/{club.slug}/field/", {**place, "field_latitude_deg": "95"})
    assert answer.status_code == 400
    assert 'id="id_field_latitude_deg_error"' in answer.text


def test_a_club_name_that_is_taken_is_told_at_the_box_and_kept(client_of, user, club):
    answer = client_of(user).post("/clubs/", {"name": club.name})
    assert answer.status_code == 400
    assert 'id="id_name_error"' in answer.text
    assert f'value="{club.name}"' in answer.text
    assert Club.objects.count() == 1


def test_a_club_is_not_there_for_who_is_no_member(client_of, user, club):
    assert client_of(user).get(f"/clubs/{club.slug}/").status_code == 404


def test_a_member_sees_no_invitations_and_no_forms_of_officers(client_of, user, club):
    MembershipFactory(user=user, club=club)
    InvitationFactory(club=club)
    page = client_of(user).get(f"/clubs/{club.slug}/").text
    assert "Make a link" not in page
    assert "Remove" not in page


@pytest.mark.parametrize("members", [2, 30])
def test_a_club_of_many_costs_no_more_queries(
    client_of, officer, club, django_assert_max_num_queries, members
):
    MembershipFactory.create_batch(members, club=club)
    client = client_of(officer)
    with django_assert_max_num_queries(9):
        client.get(f"/clubs/{club.slug}/")


def test_an_invitation_link_is_shown_once(client_of, officer, club):
    client = client_of(officer)
    client.post(f"/clubs/{club.slug}/invitations/", {"role": "member", "uses_max": 1, "days": 14})
    token = Invitation.objects.get().token
    assert token in client.get(f"/clubs/{club.slug}/").text
    assert token not in client.get(f"/clubs/{club.slug}/").text


def test_an_invitation_for_too_long_is_refused_at_its_box(client_of, officer, club):
    answer = client_of(officer).post(
        f"/clubs/{club.slug}/invitations/", {"role": "member", "uses_max": 1, "days": 500}
    )
    assert answer.status_code == 400
    assert 'id="id_days_error"' in answer.text
    assert 'value="500"' in answer.text
    assert not Invitation.objects.exists()


def test_a_withdrawn_link_lets_nobody_in(client_of, officer, club, user):
    invitation = InvitationFactory(club=club)
    client_of(officer).post(f"/clubs/{club.slug}/invitations/{invitation.pk}/withdraw/")
    answer = client_of(user).post(f"/join/{invitation.token}/")
    assert answer.status_code == 404
    assert "has ended" in answer.text


def test_a_stranger_with_a_link_is_asked_to_sign_in_and_comes_back(client, club):
    invitation = InvitationFactory(club=club)
    address = f"/join/{invitation.token}/"
    assert f"/sign-in/?next={address}" in client.get(address).text
    assert client.post(address).url == f"/sign-in/?next={address}"


def test_joining_by_link(client_of, user, club):
    invitation = InvitationFactory(club=club, role=Role.KEEPER)
    answer = client_of(user).post(f"/join/{invitation.token}/")
    assert answer.url == f"/clubs/{club.slug}/"
    assert Membership.objects.get(user=user).role == Role.KEEPER


def test_joining_twice_says_that_one_is_a_member_already(client_of, officer, club):
    invitation = InvitationFactory(club=club, uses_max=5)
    answer = client_of(officer).post(f"/join/{invitation.token}/")
    assert answer.status_code == 409
    assert "member of Long Meadow Flyers already" in answer.text


def test_an_officer_gives_another_role(client_of, officer, club):
    membership = MembershipFactory(club=club)
    client_of(officer).post(f"/clubs/{club.slug}/members/{membership.pk}/role/", {"role": "keeper"})
    membership.refresh_from_db()
    assert membership.role == Role.KEEPER


def test_the_last_officer_is_told_why_they_stay(client_of, officer, club):
    mine = Membership.objects.get(user=officer)
    client = client_of(officer)
    answer = client.post(f"/clubs/{club.slug}/members/{mine.pk}/end/", follow=True)
    assert "A club needs an officer" in answer.text
    mine.refresh_from_db()
    assert mine.left_at is None


def test_a_member_removes_nobody(client_of, user, club, officer):
    MembershipFactory(user=user, club=club)
    theirs = Membership.objects.get(user=officer)
    answer = client_of(user).post(f"/clubs/{club.slug}/members/{theirs.pk}/end/")
    assert answer.status_code == 404


def test_a_mass_line_takes_any_unit(client_of, officer, club):
    client_of(officer).post(f"/clubs/{club.slug}/mass-line/", {"mass_line_g": "0,25 kg"})
    club.refresh_from_db()
    assert club.mass_line_g == 250.0


def test_a_mass_line_that_is_no_mass_keeps_what_was_typed(client_of, officer, club):
    answer = client_of(officer).post(f"/clubs/{club.slug}/mass-line/", {"mass_line_g": "250 volts"})
    assert answer.status_code == 400
    assert 'value="250 volts"' in answer.text
    assert 'id="id_mass_line_g_error"' in answer.text


def test_a_band_is_entered_and_taken_out(client_of, officer, club):
    client = client_of(officer)
    client.post(
        f"/clubs/{club.slug}/radio-limits/",
        {"band_min_mhz": "2.4 GHz", "band_max_mhz": "2483.5", "is_allowed": "on"},
    )
    limit = club.radio_limits.get()
    assert (limit.band_min_mhz, limit.band_max_mhz) == (2400.0, 2483.5)
    client.post(f"/clubs/{club.slug}/radio-limits/{limit.pk}/remove/")
    assert not club.radio_limits.exists()


def test_a_band_that_ends_below_its_beginning_is_refused(client_of, officer, club):
    answer = client_of(officer).post(
        f"/clubs/{club.slug}/radio-limits/", {"band_min_mhz": "900", "band_max_mhz": "800"}
    )
    assert answer.status_code == 400
    assert 'id="id_band_max_mhz_error"' in answer.text
    assert not club.radio_limits.exists()


def test_an_address_that_leads_nowhere_has_a_page(client_of, user):
    answer = client_of(user).get("/nowhere/")
    assert answer.status_code == 404
    assert "Nothing here" in answer.text


def test_a_form_without_its_token_has_a_page(user):
    client = Client(enforce_csrf_checks=True)
    answer = client.post("/sign-in/", {"username": "x", "password": "y"})
    assert answer.status_code == 403
    assert "The form was too old" in answer.text


def test_every_page_has_its_landmarks_and_a_way_past_the_navigation(client_of, user):
    page = client_of(user).get(reverse("inventory:part_list")).text
    for piece in ('class="skip" href="#main"', "<main", "<header", "<footer", 'aria-label="Main"'):
        assert piece in page
    assert re.search(r'href="/parts/" aria-current="page"', page)


def test_no_page_holds_inline_style_or_script(client_of, user):
    page = client_of(user).get("/parts/").text
    assert not re.search(r"<style|\sstyle=|<script(?![^>]*\ssrc=)|\son[a-z]+=", page)


def test_a_program_that_reads_no_html_gets_a_problem_document_that_names_the_field(client):
    answer = client.post(
        "/sign-up/",
        {"username": "", "password1": "", "password2": ""},
        HTTP_ACCEPT="application/json",
    )
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    assert "#/username" in [error["pointer"] for error in answer.json()["errors"]]
