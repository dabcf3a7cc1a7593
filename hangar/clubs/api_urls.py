"""Addresses of the API of people and clubs."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from hangar.clubs import api

router = SimpleRouter(use_regex_path=False)
router.register("me/keys", api.KeyViewSet, basename="api-key")
router.register("clubs", api.ClubViewSet, basename="api-club")
router.register("clubs/<slug:slug>/members", api.MemberViewSet, basename="api-member")
router.register("clubs/<slug:slug>/invitations", api.InvitationViewSet, basename="api-invitation")
router.register("clubs/<slug:slug>/radio-limits", api.RadioLimitViewSet, basename="api-radio-limit")

urlpatterns: list[URLPattern | URLResolver] = [
    path("me/", api.MeView.as_view(), name="api-me"),
    path("invitations/<str:token>/accept/", api.AcceptView.as_view(), name="api-accept"),
    *router.urls,
]
