"""Clubs: founding, inviting, joining, roles, leaving, and who sees what of them."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from hangar.clubs import operations
from hangar.clubs.models import Club, Invitation, Membership, RadioLimit, Role
from hangar.errors import Conflict, Missing, UserError
from tests.factories import (
    ClubFactory,
    InvitationFactory,
    MembershipFactory,
    UserFactory,
    member_of,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def club():
    return ClubFactory()


@pytest.fixture
def officer(club):
    return member_of(club, Role.OFFICER)


def role_in(club, person):
    return Membership.objects.current().get(club=club, user=person).role


# Founding


def test_the_founder_of_a_club_is_its_officer(user):
    club = operations.found_club(name="Heath Flyers", by=user)
    assert club.slug == "heath-flyers"
    assert role_in(club, user) == Role.OFFICER


def test_two_clubs_cannot_have_one_name(user):
    operations.found_club(name="Heath Flyers", by=user)
    with pytest.raises(Conflict):
        operations.found_club(name="Heath Flyers", by=user)
    assert Club.objects.count() == 1
    assert Membership.objects.count() == 1


def test_names_that_make_one_address_clash(user):
    operations.found_club(name="Heath Flyers", by=user)
    with pytest.raises(Conflict):
        operations.found_club(name="Heath  flyers!", by=user)


@pytest.mark.parametrize("name", ["", "   ", "!?", "…"])
def test_a_club_needs_letters_or_digits_in_its_name(user, name):
    with pytest.raises(UserError) as caught:
        operations.found_club(name=name, by=user)
    assert caught.value.field == "name"
    assert not Club.objects.exists()


def test_a_name_longer_than_its_column_is_refused_at_the_name(user):
    with pytest.raises((UserError, ValidationError)):
        operations.found_club(name="long " * 20, by=user)
    assert not Club.objects.exists()


def test_a_name_whose_address_would_be_longer_than_the_name_is_kept(user):
    # U+FB03, one character, is written "ffi" in an address (Unicode NFKD).
    club = operations.found_club(name="\ufb03" * 60, by=user)
    assert len(club.slug) <= 80


# Inviting


def test_an_invitation_is_used_once(club, officer):
    invitation = operations.invite(club=club, by=officer)
    operations.join_club(token=invitation.token, user=UserFactory())
    with pytest.raises(Missing):
        operations.join_club(token=invitation.token, user=UserFactory())
    assert club.memberships.count() == 2


def test_an_invitation_for_three_lets_in_three_and_no_more(club, officer):
    invitation = operations.invite(club=club, by=officer, uses_max=3)
    for _ in range(3):
        operations.join_club(token=invitation.token, user=UserFactory())
    with pytest.raises(Missing):
        operations.join_club(token=invitation.token, user=UserFactory())


def test_an_invitation_gives_the_role_it_names(club, officer, user):
    invitation = operations.invite(club=club, by=officer, role=Role.KEEPER)
    assert operations.join_club(token=invitation.token, user=user).role == Role.KEEPER


def test_an_expired_invitation_lets_nobody_in(user):
    invitation = InvitationFactory(expires_at=timezone.now() - timedelta(seconds=1))
    with pytest.raises(Missing):
        operations.join_club(token=invitation.token, user=user)


def test_a_withdrawn_invitation_lets_nobody_in(club, officer, user):
    invitation = operations.invite(club=club, by=officer)
    operations.withdraw_invitation(invitation=invitation, by=officer)
    with pytest.raises(Missing):
        operations.join_club(token=invitation.token, user=user)


def test_withdrawing_twice_keeps_the_first_time(club, officer):
    invitation = operations.invite(club=club, by=officer)
    first = operations.withdraw_invitation(invitation=invitation, by=officer).withdrawn_at
    assert operations.withdraw_invitation(invitation=invitation, by=officer).withdrawn_at == first


def test_a_wrong_token_lets_nobody_in(user):
    with pytest.raises(Missing):
        operations.join_club(token="wrong", user=user)


def test_a_member_does_not_use_up_an_invitation(club, officer):
    invitation = operations.invite(club=club, by=officer)
    with pytest.raises(Conflict):
        operations.join_club(token=invitation.token, user=officer)
    invitation.refresh_from_db()
    assert invitation.uses == 0


def test_the_database_refuses_one_use_too_many(club):
    invitation = InvitationFactory(club=club)
    with pytest.raises(IntegrityError), transaction.atomic():
        Invitation.objects.filter(pk=invitation.pk).update(uses=2)


@pytest.mark.parametrize("role", [Role.MEMBER, Role.KEEPER])
def test_only_an_officer_invites(club, role):
    with pytest.raises(Missing):
        operations.invite(club=club, by=member_of(club, role))
    assert not Invitation.objects.exists()


def test_an_officer_of_another_club_invites_nobody_here(club):
    with pytest.raises(Missing):
        operations.invite(club=club, by=member_of(ClubFactory(), Role.OFFICER))


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"days": 0}, "days"),
        ({"days": 91}, "days"),
        ({"uses_max": 0}, "uses_max"),
        ({"uses_max": 201}, "uses_max"),
        ({"role": "king"}, "role"),
    ],
)
def test_an_invitation_out_of_bounds_is_refused_at_its_field(club, officer, values, field):
    with pytest.raises(UserError) as caught:
        operations.invite(club=club, by=officer, **values)
    assert caught.value.field == field
    assert not Invitation.objects.exists()


def test_tokens_cannot_be_guessed_from_one_another(club):
    tokens = {InvitationFactory(club=club).token for _ in range(50)}
    assert len(tokens) == 50
    # 24 random bytes are 32 characters of base64 (RFC 4648, section 5).
    assert {len(token) for token in tokens} == {32}


# Roles and leaving


def test_an_officer_changes_a_role(club, officer):
    member = MembershipFactory(club=club)
    operations.change_role(membership=member, role=Role.KEEPER, by=officer)
    member.refresh_from_db()
    assert member.role == Role.KEEPER


@pytest.mark.parametrize("role", [Role.MEMBER, Role.KEEPER])
def test_nobody_else_changes_a_role(club, officer, role):
    own = MembershipFactory(club=club, role=role)
    with pytest.raises(Missing):
        operations.change_role(membership=own, role=Role.OFFICER, by=own.user)
    own.refresh_from_db()
    assert own.role == role


def test_an_unknown_role_is_refused(club, officer):
    with pytest.raises(UserError):
        operations.change_role(membership=MembershipFactory(club=club), role="king", by=officer)


def test_the_last_officer_cannot_step_down(club, officer):
    own = club.memberships.get(user=officer)
    with pytest.raises(Conflict):
        operations.change_role(membership=own, role=Role.MEMBER, by=officer)
    assert role_in(club, officer) == Role.OFFICER


def test_the_last_officer_cannot_leave(club, officer):
    member_of(club, Role.KEEPER)
    with pytest.raises(Conflict):
        operations.end_membership(membership=club.memberships.get(user=officer), by=officer)
    assert role_in(club, officer) == Role.OFFICER


def test_an_officer_of_another_club_does_not_count(club, officer):
    MembershipFactory(user=officer, role=Role.OFFICER)
    member_of(ClubFactory(), Role.OFFICER)
    with pytest.raises(Conflict):
        operations.end_membership(membership=club.memberships.get(user=officer), by=officer)


def test_an_officer_who_left_does_not_count(club, officer):
    MembershipFactory(club=club, role=Role.OFFICER, left_at=timezone.now())
    with pytest.raises(Conflict):
        operations.end_membership(membership=club.memberships.get(user=officer), by=officer)


def test_one_of_two_officers_may_leave(club, officer):
    second = MembershipFactory(club=club, role=Role.OFFICER)
    operations.end_membership(membership=second, by=second.user)
    assert not Club.objects.visible_to(second.user).exists()


def test_the_role_of_today_decides_and_not_the_one_on_the_page(club, officer):
    second = MembershipFactory(club=club, role=Role.OFFICER)
    page = Membership.objects.get(club=club, user=officer)
    page.role = Role.MEMBER
    second.role = Role.MEMBER
    second.save()
    with pytest.raises(Conflict):
        operations.end_membership(membership=page, by=officer)


def test_a_member_leaves_and_the_record_stays(club, officer):
    member = MembershipFactory(club=club)
    operations.end_membership(membership=member, by=member.user)
    member.refresh_from_db()
    assert member.left_at is not None
    assert not Club.objects.visible_to(member.user).exists()


def test_a_membership_ends_once(club, officer):
    member = MembershipFactory(club=club)
    operations.end_membership(membership=member, by=officer)
    left_at = Membership.objects.get(pk=member.pk).left_at
    with pytest.raises(Conflict):
        operations.end_membership(membership=member, by=officer)
    assert Membership.objects.get(pk=member.pk).left_at == left_at


def test_an_ended_membership_takes_no_role(club, officer):
    gone = MembershipFactory(club=club, left_at=timezone.now())
    with pytest.raises(Conflict):
        operations.change_role(membership=gone, role=Role.OFFICER, by=officer)


def test_an_officer_removes_a_member(club, officer):
    member = MembershipFactory(club=club)
    operations.end_membership(membership=member, by=officer)
    assert not Club.objects.visible_to(member.user).exists()


def test_a_keeper_removes_nobody(club):
    member = MembershipFactory(club=club)
    with pytest.raises(Missing):
        operations.end_membership(membership=member, by=member_of(club, Role.KEEPER))
    assert Club.objects.visible_to(member.user).exists()


def test_who_left_may_join_again(club, officer, user):
    MembershipFactory(club=club, user=user, left_at=timezone.now())
    invitation = operations.invite(club=club, by=officer)
    operations.join_club(token=invitation.token, user=user)
    assert role_in(club, user) == Role.MEMBER
    assert club.memberships.filter(user=user).count() == 2


def test_the_database_refuses_a_second_current_membership(club, user):
    MembershipFactory(club=club, user=user)
    with pytest.raises(IntegrityError), transaction.atomic():
        MembershipFactory(club=club, user=user, role=Role.OFFICER)


# Who sees what


def test_a_person_sees_their_clubs_and_no_other(user):
    own = [MembershipFactory(user=user).club for _ in range(2)]
    ClubFactory()
    assert set(Club.objects.visible_to(user)) == set(own)


@pytest.mark.parametrize(
    ("role", "kept", "editable"),
    [(Role.MEMBER, 0, 0), (Role.KEEPER, 1, 0), (Role.OFFICER, 1, 1)],
)
def test_the_role_decides_what_a_person_may_do_in_a_club(user, role, kept, editable):
    club = MembershipFactory(user=user, role=role).club
    MembershipFactory(club=club)
    InvitationFactory(club=club)
    assert Club.objects.kept_by(user).count() == kept
    assert Club.objects.editable_by(user).count() == editable
    assert Membership.objects.editable_by(user).count() == 2 * editable
    assert Invitation.objects.visible_to(user).count() == editable
    assert Invitation.objects.editable_by(user).count() == editable
    assert Membership.objects.visible_to(user).count() == 2


def test_a_role_in_one_club_is_none_in_another(user):
    officer_here = MembershipFactory(user=user, role=Role.OFFICER).club
    member_there = MembershipFactory(user=user).club
    assert set(Club.objects.editable_by(user)) == {officer_here}
    with pytest.raises(Missing):
        operations.invite(club=member_there, by=user)


@pytest.mark.parametrize("model", [Club, Membership, Invitation])
@pytest.mark.parametrize("door", ["visible_to", "editable_by"])
def test_nobody_sees_nothing(model, door):
    MembershipFactory(role=Role.OFFICER)
    InvitationFactory()
    assert not getattr(model.objects, door)(AnonymousUser()).exists()


def test_nobody_keeps_no_club():
    MembershipFactory(role=Role.OFFICER)
    assert not Club.objects.kept_by(AnonymousUser()).exists()


# What the database holds


@pytest.mark.parametrize("mass_line_g", [0, -250])
def test_the_database_refuses_a_mass_line_of_zero_or_less(club, mass_line_g):
    with pytest.raises(IntegrityError), transaction.atomic():
        Club.objects.filter(pk=club.pk).update(mass_line_g=mass_line_g)


@pytest.mark.parametrize(
    "values",
    [{"band_min_mhz": 5800, "band_max_mhz": 5700}, {"radiated_power_max_mw": -1}],
)
def test_the_database_refuses_a_radio_limit_that_makes_no_sense(club, values):
    good = {"band_min_mhz": 2400, "band_max_mhz": 2483.5, "radiated_power_max_mw": 100}
    RadioLimit.objects.create(club=club, **good)
    with pytest.raises(IntegrityError), transaction.atomic():
        RadioLimit.objects.create(club=club, **{**good, **values})


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_limit_that_is_no_number_is_refused(club, value):
    limit = RadioLimit(club=club, band_min_mhz=2400, band_max_mhz=2500, radiated_power_max_mw=value)
    with pytest.raises(ValidationError):
        limit.full_clean()
