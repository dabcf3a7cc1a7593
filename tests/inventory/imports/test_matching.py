"""Which column is which field: what the headers suggest, and what is refused."""

import pytest

from inventory.imports.fields import list_fields, sheet_columns
from inventory.imports.matching import (
    Matching,
    check_matching,
    known_kind,
    suggest,
    unit_in,
    unknown_kind_words,
)
from inventory.imports.reading import read_table, read_text
from inventory.imports.table import ImportProblem
from inventory.imports.words import HEADERS, KINDS
from inventory.kinds import DataSheet
from tests.inventory.imports.lists import semicolon_list, tab_list, xlsx_list

FIELDS = [
    "kind", "maker", "name", "mass_g", "count", "condition", "place", "kv_rpm_v", "cell_count",
    "capacity_mah", "length_mm",
]  # fmt: skip


@pytest.mark.parametrize("data", [semicolon_list(), tab_list(), xlsx_list()])
def test_the_headers_of_three_builders_suggest_the_same_fields(data):
    table = read_table(data)
    matching = suggest(table)
    assert [matching.columns.get(header) for header in table.headers] == FIELDS
    check_matching(matching, table)


@pytest.mark.parametrize(
    ("header", "unit"),
    [
        ("Gewicht (g)", "g"),
        ("weight oz", "oz"),
        ("Mass [g]", "g"),
        ("Gewicht in Gramm", "g"),
        ("Weight (lbs)", "lbs"),
        ("weight", ""),
        ("weight mm", ""),
        ("mass_g (approx)", ""),
    ],
)
def test_the_unit_of_a_header_is_found(header, unit):
    assert unit_in(header, list_fields()["mass_g"]) == unit


def test_a_column_of_our_own_names_is_known():
    table = read_text("kind,name,mass_g,stator_diameter_mm\nmotor,T1,30,23\n")
    assert list(suggest(table).columns.values()) == ["kind", "name", "mass_g", "stator_diameter_mm"]


def test_no_field_is_suggested_twice():
    table = read_text("name,item,weight,mass\nT1,x,1,2\n")
    assert suggest(table).columns == {"name": "name", "weight": "mass_g"}


def test_a_column_of_numbers_of_their_own_is_no_label_code():
    assert "code" not in suggest(read_text("label code,name\nA-1,T1\n")).columns.values()


def test_a_column_called_type_that_holds_kinds_is_the_kind():
    assert suggest(read_text("type,model\nservo,S9\nESC,F35\n")).columns["type"] == "kind"


@pytest.mark.parametrize("kind", list(KINDS))
def test_every_kind_is_known_by_its_own_words(kind):
    sheet = DataSheet.registry[kind]
    words = [kind, sheet.label, sheet.label_plural.upper(), *KINDS[kind].split(", ")]
    assert {known_kind(word) for word in words} == {kind}


def test_the_tables_of_words_name_what_there_is():
    assert set(HEADERS) <= set(list_fields())
    assert set(KINDS) == set(DataSheet.registry)


def test_every_column_of_every_sheet_can_be_matched():
    for kind in DataSheet.registry:
        assert set(sheet_columns(kind)) <= set(list_fields())


def test_words_that_mean_no_kind_are_listed_once():
    table = read_text("kind,name\nservo,a\nGizmo,b\ngizmo,c\n?,d\n")
    assert unknown_kind_words(table, suggest(table)) == ["Gizmo"]


def test_a_chosen_kind_goes_before_a_usual_one():
    assert Matching(kinds={"Controller": "flight_controller"}).kind_of("controller") == (
        "flight_controller"
    )


TABLE = read_text("kind,name,weight,note\nservo,S9,9,x\n")
GOOD = {"kind": "kind", "name": "name"}


@pytest.mark.parametrize(
    ("matching", "words"),
    [
        (Matching(GOOD | {"colour": "notes"}), "no such column"),
        (Matching(GOOD | {"weight": "weight_stone"}), "no field weight_stone"),
        (Matching(GOOD | {"weight": "name"}), "is that already"),
        (Matching({"kind": "kind"}), "which column is the name"),
        (Matching({"name": "name"}), "which column is the kind"),
        (Matching(GOOD | {"weight": "mass_g"}, {"weight": "mm"}), "no unit of mass"),
        (Matching(GOOD, kinds={"x": "boat"}), "no kind boat"),
        (Matching({"name": "name"}, kind="boat"), "no kind boat"),
        (Matching(GOOD | {"weight": "mass_g", "note": "mass_guessed_g"}), "weighed or guessed"),
    ],
)
def test_a_matching_that_cannot_be_used_is_refused(matching, words):
    with pytest.raises(ImportProblem, match=words):
        check_matching(matching, TABLE)


@pytest.mark.parametrize(
    "given",
    [None, [], "x", {"columns": []}, {"columns": {"a": 1}}, {"kind": 3}, {"other": {}}],
)
def test_a_matching_of_another_shape_is_refused(given):
    with pytest.raises(ImportProblem):
        Matching.from_json(given)


def test_a_matching_survives_being_stored():
    matching = suggest(read_table(tab_list()))
    assert Matching.from_json(matching.to_json()) == matching
