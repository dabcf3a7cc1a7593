"""Addresses of the pages of the inventory."""

from django.urls import path

from inventory.imports import pages as imports
from inventory.log_files import pages as log_files
from inventory.pages import packs, part_actions, parts, places, pool, quick_log, sheets

app_name = "inventory"

urlpatterns = [
    path("parts/", parts.part_list, name="part_list"),
    path("parts/add/", parts.part_add, name="part_add"),
    path("parts/find/", parts.part_find, name="part_find"),
    path("parts/<str:code>/", parts.part_detail, name="part_detail"),
    path("parts/<str:code>/change/", parts.part_change, name="part_change"),
    path("parts/<str:code>/measure/", part_actions.measure, name="part_measure"),
    path("parts/<str:code>/offer/", part_actions.offer, name="part_offer"),
    path("parts/<str:code>/claim/", part_actions.claim, name="part_claim"),
    path("parts/<str:code>/lend/", part_actions.lend, name="part_lend"),
    path("parts/<str:code>/stop/", part_actions.take_out_of_service, name="part_stop"),
    path("parts/<str:code>/inspect/", part_actions.inspect, name="part_inspect"),
    path("parts/<str:code>/retire/", part_actions.retire, name="part_retire"),
    path("offers/<int:pk>/withdraw/", part_actions.withdraw, name="offer_withdraw"),
    path("claims/<int:pk>/release/", part_actions.release, name="claim_release"),
    path("loans/<int:pk>/return/", part_actions.take_back, name="loan_return"),
    path("sheets/", sheets.sheet_list, name="sheet_list"),
    path("sheets/add/<slug:kind>/", sheets.sheet_add, name="sheet_add"),
    path("sheets/<int:pk>/", sheets.sheet_detail, name="sheet_detail"),
    path("sheets/<int:pk>/change/", sheets.sheet_change, name="sheet_change"),
    path("sheets/<int:pk>/positions/", sheets.sheet_positions, name="sheet_positions"),
    path("sheets/<int:pk>/delete/", sheets.sheet_delete, name="sheet_delete"),
    path("places/", places.place_list, name="place_list"),
    path("places/<int:pk>/", places.place_change, name="place_change"),
    path("places/<int:pk>/delete/", places.place_delete, name="place_delete"),
    path("packs/", packs.pack_shelf, name="pack_shelf"),
    path("packs/<str:code>/log/", packs.pack_log, name="pack_log"),
    path("packs/quick/", quick_log.quick_log, name="quick_log"),
    path("packs/<str:code>/log/import/", log_files.log_import, name="log_import"),
    path("packs/<str:code>/log/import/<int:pk>/", log_files.log_file, name="log_file"),
    path(
        "packs/<str:code>/log/import/<int:pk>/columns/",
        log_files.log_file_columns,
        name="log_file_columns",
    ),
    path(
        "packs/<str:code>/log/import/<int:pk>/discard/",
        log_files.log_file_discard,
        name="log_file_discard",
    ),
    path("pool/", pool.pool, name="pool"),
    path("imports/", imports.import_start, name="import_start"),
    path("imports/<int:pk>/", imports.import_detail, name="import_detail"),
    path("imports/<int:pk>/columns/", imports.import_match, name="import_match"),
    path("imports/<int:pk>/discard/", imports.import_discard, name="import_discard"),
]
