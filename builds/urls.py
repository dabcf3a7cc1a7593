"""Addresses of the pages of builds."""

from django.urls import path

from builds.pages import (
    answers,
    balance,
    builds,
    checks,
    controls,
    field_sheets,
    ground,
    kit,
    outputs,
    placing,
    positions,
    power,
    room,
    rule_book,
    rule_limits,
    variants,
)

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
    path("builds/<int:pk>/variants/", variants.variant_list, name="variant_list"),
    path("builds/<int:pk>/variants/add/", variants.variant_add, name="variant_add"),
    path("builds/<int:pk>/variants/compare/", variants.variant_compare, name="variant_compare"),
    path("builds/<int:pk>/variants/try/", variants.variant_try, name="variant_try"),
    path(
        "builds/<int:pk>/variants/<int:variant_pk>/",
        variants.variant_detail,
        name="variant_detail",
    ),
    path(
        "builds/<int:pk>/variants/<int:variant_pk>/change/",
        variants.variant_change,
        name="variant_change",
    ),
    path(
        "builds/<int:pk>/variants/<int:variant_pk>/apply/",
        variants.variant_apply,
        name="variant_apply",
    ),
    path(
        "builds/<int:pk>/variants/<int:variant_pk>/undo/",
        variants.variant_undo,
        name="variant_undo",
    ),
    path(
        "builds/<int:pk>/variants/<int:variant_pk>/delete/",
        variants.variant_delete,
        name="variant_delete",
    ),
    path(
        "builds/<int:pk>/variants/<int:variant_pk>/positions/<int:position_pk>/",
        variants.variant_position,
        name="variant_position",
    ),
    path(
        "builds/<int:pk>/variants/<int:variant_pk>/surfaces/<int:surface_pk>/",
        variants.variant_surface,
        name="variant_surface",
    ),
    path(
        "builds/<int:pk>/variants/<int:variant_pk>/changes/<int:change_pk>/drop/",
        variants.variant_drop,
        name="variant_drop",
    ),
    path("builds/<int:pk>/controls/", controls.controls, name="controls"),
    path("builds/<int:pk>/controls/add/", controls.surface_add, name="surface_add"),
    path(
        "builds/<int:pk>/controls/<int:surface_pk>/change/",
        controls.surface_change,
        name="surface_change",
    ),
    path(
        "builds/<int:pk>/controls/<int:surface_pk>/remove/",
        controls.surface_remove,
        name="surface_remove",
    ),
    path(
        "builds/<int:pk>/controls/<int:surface_pk>/measured/",
        controls.throw_add,
        name="throw_add",
    ),
    path("builds/<int:pk>/outputs/", outputs.outputs, name="outputs"),
    path("builds/<int:pk>/balance/", balance.balance, name="balance"),
    path("builds/<int:pk>/balance/weigh-in/", balance.weigh_in_add, name="weigh_in_add"),
    path("builds/<int:pk>/power/", power.power, name="power"),
    path("builds/<int:pk>/power/flight/", power.power_flight, name="power_flight"),
    path("builds/<int:pk>/power/readings/add/", power.power_reading_add, name="power_reading_add"),
    path("builds/<int:pk>/placing/", placing.placing, name="placing"),
    path("builds/<int:pk>/room/", room.room, name="room"),
    path("builds/<int:pk>/kit/", kit.kit, name="kit"),
    path("builds/<int:pk>/kit/claim/", kit.kit_claim, name="kit_claim"),
    path("builds/<int:pk>/kit/fit/", kit.kit_fit, name="kit_fit"),
    path("builds/<int:pk>/answers/", answers.answer_list, name="answer_list"),
    path(
        "builds/<int:pk>/answers/<int:answer_pk>/withdraw/",
        answers.answer_withdraw,
        name="answer_withdraw",
    ),
    path("builds/<int:pk>/checks/", checks.checks, name="checks"),
    path("builds/<int:pk>/crash/", checks.crash_add, name="crash_add"),
    path("builds/<int:pk>/field-sheet/", field_sheets.field_sheet, name="field_sheet"),
    path("builds/<int:pk>/field-sheets/", field_sheets.signed_sheets, name="signed_sheets"),
    path(
        "builds/<int:pk>/field-sheets/<int:sheet_pk>/",
        field_sheets.signed_sheet,
        name="signed_sheet",
    ),
    path("builds/<int:pk>/ground/", ground.ground_gear, name="build_ground"),
    path("rules/", rule_book.rule_list, name="rule_list"),
    path("clubs/<slug:slug>/rule-limits/", rule_limits.rule_limit_list, name="rule_limits"),
    path("ground-gear/", ground.ground_gear, name="ground_gear"),
]
