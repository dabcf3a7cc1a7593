"""Addresses of the pages of builds."""

from django.urls import path

from builds.pages import builds, ground, positions, rule_book

app_name = "builds"

urlpatterns = [
    path("builds/", builds.build_list, name="build_list"),
    path("builds/add/", builds.build_add, name="build_add"),
    path("builds/<int:pk>/", builds.build_detail, name="build_detail"),
    path("builds/<int:pk>/change/", builds.build_change, name="build_change"),
    path("builds/<int:pk>/history/", builds.build_history, name="build_history"),
    path("builds/<int:pk>/positions/add/", positions.position_add, name="position_add"),
    path(
        "builds/<int:pk>/positions/<int:position_pk>/",
        positions.position_detail,
        name="position_detail",
    ),
    path(
        "builds/<int:pk>/positions/<int:position_pk>/change/",
        positions.position_change,
        name="position_change",
    ),
    path(
        "builds/<int:pk>/positions/<int:position_pk>/fit/",
        positions.position_fit,
        name="position_fit",
    ),
    path(
        "builds/<int:pk>/positions/<int:position_pk>/take-out/",
        positions.position_clear,
        name="position_clear",
    ),
    path(
        "builds/<int:pk>/positions/<int:position_pk>/remove/",
        positions.position_remove,
        name="position_remove",
    ),
    path("rules/", rule_book.rule_list, name="rule_list"),
    path("ground-gear/", ground.ground_gear, name="ground_gear"),
]
