"""How a file is read: suggested by its looks, checked, remembered."""

import pytest

from inventory.imports.reading import read_text
from inventory.log_files.recipes import Recipe, RecipeProblem, check_recipe, faults_of, suggest


def suggested(text):
    return suggest(read_text(text))


def test_a_list_of_charges_and_flights_is_known_by_its_headers():
    recipe = suggested("Datum;Zeit;Art;Ladung (Ah);Dauer\n1.5.2026;10:20;laden;1,02;45:10\n")
    assert recipe.shape == "summary"
    assert recipe.columns == {
        "Datum": "day",
        "Zeit": "clock",
        "Art": "kind",
        "Ladung (Ah)": "charge_mah",
        "Dauer": "duration_s",
    }
    assert recipe.units["Ladung (Ah)"] == "Ah"
    assert recipe.decimal == ","


def test_samples_are_known_by_time_and_current():
    rows = "".join(f"{n},{12 + n},15.8,3.95\n" for n in range(5))
    recipe = suggested(f"time_ms,current_mA,voltage,cell 1 (V)\n{rows}")
    assert recipe.shape == "samples"
    assert recipe.columns == {
        "time_ms": "elapsed_s",
        "current_mA": "current_a",
        "voltage": "voltage_v",
        "cell 1 (V)": "cell_1_v",
    }
    assert (recipe.units["time_ms"], recipe.units["current_mA"]) == ("ms", "mA")


def test_a_date_whose_second_number_is_above_twelve_has_the_month_first():
    assert suggested("date,mah\n04/17/2026,900\n").day_order == "month"


def test_a_recipe_survives_as_json():
    recipe = Recipe(shape="samples", columns={"t": "moment"}, counts_in=True)
    assert Recipe.from_json(recipe.to_json()) == recipe


@pytest.mark.parametrize(
    "given",
    [
        None,
        [],
        {"shape": 3},
        {"columns": []},
        {"columns": {"a": 1}},
        {"zone": "x" * 1000},
        {"colour": "red"},
        {"counts_in": "yes"},
        {"kind": "\x00"},
    ],
)
def test_what_is_no_recipe_is_refused(given):
    with pytest.raises(RecipeProblem):
        Recipe.from_json(given)


GOOD = {"columns": {"t": "moment", "what": "kind", "mah": "charge_mah"}}
HEADERS = ("t", "what", "mah", "c1", "c2")


def test_a_whole_recipe_has_no_fault():
    assert faults_of(Recipe(**GOOD), HEADERS, 2) == []


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"shape": "circle"}, "summary or samples"),
        ({"columns": {"x": "moment"}}, "no such column"),
        ({"columns": {"t": "length"}}, "no field"),
        ({"columns": {"t": "elapsed_s"}}, "no time since the start in summary"),
        ({"columns": {"t": "moment", "what": "moment"}}, "is that already"),
        ({"columns": {"mah": "charge_mah"}}, "date or the time"),
        ({"columns": {"t": "clock", "what": "kind"}}, "date or the time"),
        ({"columns": {"t": "moment", "mah": "charge_mah"}}, "what the rows are"),
        ({"units": {"mah": "volt"}}, "no unit of charge"),
        ({"zone": "Moon"}, "no time zone"),
        ({"decimal": ";"}, "point or a comma"),
        ({"kind": "incident"}, "Rows are one of"),
        ({"columns": {**GOOD["columns"], "c1": "cell_1_v"}}, "each of the pack's 2 cells"),
        ({"shape": "samples", "columns": {"t": "moment"}}, "current, or the charge counter"),
        ({"shape": "samples", "columns": {"t": "elapsed_s", "mah": "counter_mah"}}, "began"),
    ],
)
def test_each_fault_of_a_recipe_is_told(changes, message):
    with pytest.raises(RecipeProblem, match=message):
        check_recipe(Recipe(**{**GOOD, **changes}), HEADERS, 2)
