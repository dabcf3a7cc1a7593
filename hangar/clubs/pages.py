"""Pages of accounts and clubs."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.contrib.auth.views import LoginView, redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from hangar.clubs import operations
from hangar.clubs.forms import (
    ClubForm,
    FieldForm,
    InvitationForm,
    MassLineForm,
    RadioLimitForm,
    RoleForm,
    SettingsForm,
    SignUpForm,
    role_form,
)
from hangar.clubs.models import Club, Invitation, Membership, RadioLimit, Role
from hangar.errors import Conflict, Missing, UserError
from hangar.requests import PersonRequest
from hangar.submissions import sent, show, submit

PASSWORD_BACKEND = "django.contrib.auth.backends.ModelBackend"  # noqa: S105
NEW_LINK = "new_invitation"


class SignInPage(LoginView):
    """Sign in; who is signed in already goes on."""

    template_name = "registration/sign_in.html"
    redirect_authenticated_user = True


def locked_out(request: HttpRequest, *_args: Any, **_kwargs: Any) -> HttpResponse:
    """Say that too many wrong passwords have been tried."""
    response = show(request, "registration/locked_out.html", {})
    response.status_code = 429
    return response


def sign_up(request: HttpRequest) -> HttpResponse:
    """Make an account and sign in with it."""
    form = SignUpForm(sent(request))
    onward = _onward(request)
    if form.is_valid():
        login(request, form.save(), backend=PASSWORD_BACKEND)
        return redirect(onward)
    return show(request, "registration/sign_up.html", {"form": form, "next": onward}, form)


def _onward(request: HttpRequest) -> str:
    wanted = request.POST.get("next") or request.GET.get("next") or "/"
    ours = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if ours else "/"


@login_required
def settings(request: PersonRequest) -> HttpResponse:
    """Change the name shown and the units to read."""
    form = SettingsForm(sent(request), instance=request.user)
    if form.is_valid():
        form.save()
        messages.success(request, "Your settings are saved.")
        return redirect("clubs:settings")
    return show(request, "registration/settings.html", {"form": form}, form)


@login_required
def club_list(request: PersonRequest) -> HttpResponse:
    """List the person's clubs, and found another."""
    form = ClubForm(sent(request))
    club = submit(form, lambda given: operations.found_club(by=request.user, **given))
    if club:
        return redirect("clubs:club_detail", slug=club.slug)
    mine = Membership.objects.current().filter(user=request.user).select_related("club")
    return show(request, "clubs/club_list.html", {"memberships": mine, "form": form}, form)


@login_required
def club_detail(request: PersonRequest, slug: str) -> HttpResponse:
    """Show a club: its members, and for its officers invitations and limits."""
    return _show_club(request, get_object_or_404(Club.objects.visible_to(request.user), slug=slug))


def _show_club(request: PersonRequest, club: Club, **tried: Any) -> HttpResponse:
    members = list(
        Membership.objects.current().filter(club=club).select_related("user").order_by("pk")
    )
    mine = next(member for member in members if member.user_id == request.user.pk)
    is_officer = mine.role == Role.OFFICER
    token = request.session.pop(NEW_LINK, None) if is_officer and not tried else None
    forms = {
        "invitation_form": InvitationForm(),
        "mass_line_form": MassLineForm(instance=club),
        "field_form": FieldForm(instance=club),
        "limit_form": RadioLimitForm(),
    } | tried
    context: dict[str, Any] = {
        "club": club,
        "members": [(member, role_form(member)) for member in members],
        "mine": mine,
        "is_officer": is_officer,
        "limits": club.radio_limits.all(),
        "invitations": Invitation.objects.usable()
        .visible_to(request.user)
        .filter(club=club)
        .select_related("created_by"),
        "new_link": request.build_absolute_uri(_join_path(token)) if token else "",
    }
    return show(request, "clubs/club_detail.html", context | forms, *tried.values())


def _join_path(token: str) -> str:
    return redirect("clubs:join", token=token).url


@login_required
@require_POST
def invite(request: PersonRequest, slug: str) -> HttpResponse:
    """Make an invitation link, shown once on the club's page."""
    club = get_object_or_404(Club.objects.editable_by(request.user), slug=slug)
    form = InvitationForm(request.POST)
    made = submit(form, lambda given: operations.invite(club=club, by=request.user, **given))
    if made is None:
        return _show_club(request, club, invitation_form=form)
    request.session[NEW_LINK] = made.token
    return redirect("clubs:club_detail", slug=slug)


@login_required
@require_POST
def withdraw_invitation(request: PersonRequest, slug: str, pk: int) -> HttpResponse:
    """End an invitation."""
    mine = Invitation.objects.editable_by(request.user).select_related("club")
    invitation = get_object_or_404(mine, pk=pk, club__slug=slug)
    operations.withdraw_invitation(invitation=invitation, by=request.user)
    messages.success(request, "The invitation has ended.")
    return redirect("clubs:club_detail", slug=slug)


@login_required
@require_POST
def change_role(request: PersonRequest, slug: str, pk: int) -> HttpResponse:
    """Give a member another role."""
    members = Membership.objects.current().editable_by(request.user).select_related("club", "user")
    membership = get_object_or_404(members, pk=pk, club__slug=slug)
    form = RoleForm(request.POST)
    done = submit(
        form,
        lambda given: operations.change_role(membership=membership, by=request.user, **given),
    )
    if done is None:
        messages.error(request, " ".join(str(m) for found in form.errors.values() for m in found))
    else:
        messages.success(request, f"{membership.user} is now {done.get_role_display()}.")
    return redirect("clubs:club_detail", slug=slug)


@login_required
@require_POST
def end_membership(request: PersonRequest, slug: str, pk: int) -> HttpResponse:
    """Leave a club, or remove a member as an officer."""
    members = Membership.objects.current().visible_to(request.user).select_related("club", "user")
    membership = get_object_or_404(members, pk=pk, club__slug=slug)
    try:
        operations.end_membership(membership=membership, by=request.user)
    except Conflict as error:
        messages.error(request, error.message)
        return redirect("clubs:club_detail", slug=slug)
    messages.success(request, f"{membership.user} has left {membership.club}.")
    if membership.user_id == request.user.pk:
        return redirect("clubs:club_list")
    return redirect("clubs:club_detail", slug=slug)


@login_required
@require_POST
def change_mass_line(request: PersonRequest, slug: str) -> HttpResponse:
    """Set the club's mass line."""
    club = get_object_or_404(Club.objects.editable_by(request.user), slug=slug)
    form = MassLineForm(request.POST, instance=club)
    done = submit(
        form, lambda given: operations.change_mass_line(club=club, by=request.user, **given)
    )
    if done is None:
        return _show_club(request, club, mass_line_form=form)
    messages.success(request, "The mass line is saved.")
    return redirect("clubs:club_detail", slug=slug)


@login_required
@require_POST
def change_field(request: PersonRequest, slug: str) -> HttpResponse:
    """Set where the club's field lies."""
    club = get_object_or_404(Club.objects.editable_by(request.user), slug=slug)
    form = FieldForm(request.POST, instance=club)
    done = submit(form, lambda given: operations.change_field(club=club, by=request.user, **given))
    if done is None:
        return _show_club(request, club, field_form=form)
    messages.success(request, "The field is saved.")
    return redirect("clubs:club_detail", slug=slug)


@login_required
@require_POST
def add_radio_limit(request: PersonRequest, slug: str) -> HttpResponse:
    """Enter a band that may, or may not, be used at the club's field."""
    club = get_object_or_404(Club.objects.editable_by(request.user), slug=slug)
    form = RadioLimitForm(request.POST)
    done = submit(
        form, lambda given: operations.add_radio_limit(club=club, by=request.user, **given)
    )
    if done is None:
        return _show_club(request, club, limit_form=form)
    messages.success(request, "The band is entered.")
    return redirect("clubs:club_detail", slug=slug)


@login_required
@require_POST
def remove_radio_limit(request: PersonRequest, slug: str, pk: int) -> HttpResponse:
    """Take a band out of the club's list."""
    club = get_object_or_404(Club.objects.editable_by(request.user), slug=slug)
    limit = get_object_or_404(RadioLimit.objects.select_related("club"), pk=pk, club=club)
    operations.remove_radio_limit(limit=limit, by=request.user)
    messages.success(request, "The band is taken out.")
    return redirect("clubs:club_detail", slug=slug)


def join(request: HttpRequest, token: str) -> HttpResponse:
    """Ask whether to join the club that a link names, then join it."""
    invitation = Invitation.objects.usable().select_related("club").filter(token=token).first()
    if invitation is None:
        return _link_ended(request, "This invitation has ended or never was.")
    if request.method != "POST":
        return show(request, "clubs/join.html", {"invitation": invitation})
    if not request.user.is_authenticated:
        return redirect_to_login(request.path)
    try:
        membership = operations.join_club(token=token, user=request.user)
    except (Missing, Conflict) as error:
        return _link_ended(request, error.message, error)
    messages.success(request, f"Welcome to {membership.club}.")
    return redirect("clubs:club_detail", slug=membership.club.slug)


def _link_ended(request: HttpRequest, words: str, error: UserError | None = None) -> HttpResponse:
    response = show(request, "clubs/link_ended.html", {"words": words})
    response.status_code = error.status if error else Missing.status
    return response
