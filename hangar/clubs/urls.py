"""Addresses of the pages of accounts and clubs."""

from django.contrib.auth.views import LogoutView
from django.urls import path

from hangar.clubs import pages

app_name = "clubs"

urlpatterns = [
    path("sign-in/", pages.SignInPage.as_view(), name="sign_in"),
    path("sign-up/", pages.sign_up, name="sign_up"),
    path("sign-out/", LogoutView.as_view(), name="sign_out"),
    path("settings/", pages.settings, name="settings"),
    path("join/<str:token>/", pages.join, name="join"),
    path("clubs/", pages.club_list, name="club_list"),
    path("clubs/<slug:slug>/", pages.club_detail, name="club_detail"),
    path("clubs/<slug:slug>/invitations/", pages.invite, name="invite"),
    path(
        "clubs/<slug:slug>/invitations/<int:pk>/withdraw/",
        pages.withdraw_invitation,
        name="withdraw_invitation",
    ),
    path("clubs/<slug:slug>/members/<int:pk>/role/", pages.change_role, name="change_role"),
    path("clubs/<slug:slug>/members/<int:pk>/end/", pages.end_membership, name="end_membership"),
    path("clubs/<slug:slug>/field/", pages.change_field, name="change_field"),
    path("clubs/<slug:slug>/mass-line/", pages.change_mass_line, name="change_mass_line"),
    path("clubs/<slug:slug>/radio-limits/", pages.add_radio_limit, name="add_radio_limit"),
    path(
        "clubs/<slug:slug>/radio-limits/<int:pk>/remove/",
        pages.remove_radio_limit,
        name="remove_radio_limit",
    ),
]
