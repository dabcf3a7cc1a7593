"""Addresses of the API of builds."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from builds.api import (
    answers,
    balance,
    builds,
    checks,
    controls,
    kit,
    packs,
    power,
    reports,
    room,
    variants,
)

router = SimpleRouter(use_regex_path=False)
router.register("builds/<int:build_pk>/positions", builds.PositionViewSet, "api-position")
router.register("builds/<int:build_pk>/fittings", builds.FittingViewSet, "api-fitting")
router.register("builds/<int:build_pk>/revisions", builds.RevisionViewSet, "api-revision")
router.register("builds/<int:build_pk>/surfaces", controls.SurfaceViewSet, "api-surface")
router.register(
    "builds/<int:build_pk>/surfaces/<int:surface_pk>/records",
    controls.ThrowRecordViewSet,
    "api-throw-record",
)
router.register("builds/<int:build_pk>/variants", variants.BuildVariantViewSet, "api-build-variant")
router.register("variants", variants.VariantViewSet, basename="api-variant")
router.register("builds/<int:build_pk>/weigh-ins", balance.WeighInViewSet, "api-weigh-in")
router.register(
    "builds/<int:build_pk>/power-readings", power.PowerReadingViewSet, "api-power-reading"
)
router.register("builds/<int:build_pk>/answers", answers.AnswerViewSet, "api-answer")
router.register("builds/<int:build_pk>/crashes", checks.CrashViewSet, "api-crash")
router.register("builds/<int:build_pk>/field-sheets", checks.FieldSheetViewSet, "api-field-sheet")
router.register("clubs/<slug:slug>/rule-limits", answers.RuleLimitViewSet, "api-rule-limit")
router.register("builds", builds.BuildViewSet, basename="api-build")
router.register("ground-gear", builds.GroundGearViewSet, basename="api-ground-gear")

urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
    path("builds/<int:pk>/figures/", reports.FiguresView.as_view(), name="api-figures"),
    path("builds/<int:pk>/findings/", reports.FindingsView.as_view(), name="api-findings"),
    path(
        "builds/<int:pk>/variants/compare/",
        variants.VariantsBesideView.as_view(),
        name="api-variants-beside",
    ),
    path("builds/<int:pk>/spares/", reports.SparesView.as_view(), name="api-spares"),
    path("builds/<int:pk>/throws/", controls.ThrowsView.as_view(), name="api-throws"),
    path("builds/<int:pk>/outputs/", controls.OutputsView.as_view(), name="api-outputs"),
    path("builds/<int:pk>/balance/", balance.BalanceView.as_view(), name="api-balance"),
    path("builds/<int:pk>/power/", power.PowerView.as_view(), name="api-power"),
    path("builds/<int:pk>/packs/", packs.PackMatchView.as_view(), name="api-packs"),
    path("builds/<int:pk>/placing/", power.PlacingView.as_view(), name="api-placing"),
    path("builds/<int:pk>/room/", room.RoomView.as_view(), name="api-room"),
    path("builds/<int:pk>/kit/", kit.KitView.as_view(), name="api-kit"),
    path("builds/<int:pk>/checks/", checks.ChecksView.as_view(), name="api-checks"),
    path("builds/<int:pk>/field-sheet/", checks.SheetView.as_view(), name="api-sheet"),
    path("rules/", reports.RuleListView.as_view(), name="api-rule-list"),
    path("rules/<str:rule_id>/", reports.RuleView.as_view(), name="api-rule"),
]
