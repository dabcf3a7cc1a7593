"""Addresses of the API of the inventory."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.api import packs, parts, pool, sheets
from inventory.imports.api import ImportViewSet
from inventory.log_files.api import LogFileViewSet

router = SimpleRouter(use_regex_path=False)
for kind, viewset in sheets.VIEWSETS.items():
    router.register(f"sheets/{kind}", viewset, basename=f"api-sheet-{kind}")
router.register("sheets", sheets.SheetViewSet, basename="api-sheet")
router.register("parts/<str:code>/measurements", parts.MeasurementViewSet, "api-measurement")
router.register("parts/<str:code>/history", parts.HistoryViewSet, "api-history")
router.register("parts", parts.PartViewSet, basename="api-part")
router.register("places", parts.PlaceViewSet, basename="api-place")
router.register("offers", pool.OfferViewSet, basename="api-offer")
router.register("claims", pool.ClaimViewSet, basename="api-claim")
router.register("waits", pool.WaitViewSet, basename="api-wait")
router.register("loans", pool.LoanViewSet, basename="api-loan")
router.register("imports", ImportViewSet, basename="api-import")
router.register("packs/<str:code>/log-files", LogFileViewSet, basename="api-log-file")
router.register("packs/<str:code>/log", packs.LogViewSet, basename="api-log")

urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
    path("packs/<str:code>/health/", packs.HealthView.as_view(), name="api-health"),
]
