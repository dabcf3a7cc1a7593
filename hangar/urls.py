"""All addresses: the API below /api/v1/, the pages everywhere else."""

from django.urls import include, path
from drf_spectacular.views import SpectacularJSONAPIView

from hangar.pages import home
from hangar.schema import DocsView

urlpatterns = [
    path("api/v1/schema/", SpectacularJSONAPIView.as_view(), name="schema"),
    path("api/v1/docs/", DocsView.as_view(url_name="schema"), name="docs"),
    path("api/v1/", include("hangar.clubs.api_urls")),
    path("api/v1/", include("inventory.api_urls")),
    path("api/v1/", include("builds.api_urls")),
    path("", home, name="home"),
    path("", include("hangar.clubs.urls")),
    path("", include("inventory.urls")),
    path("", include("builds.urls")),
]

handler400 = "hangar.error_pages.bad_request"
handler403 = "hangar.error_pages.permission_denied"
handler404 = "hangar.error_pages.page_not_found"
handler500 = "hangar.error_pages.server_error"
