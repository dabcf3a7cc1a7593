"""One cell to one value.

1 oz = 28.349 523 125 g and 1 lb = 453.592 37 g: NIST SP 811 (2008), Appendix B.8.
"""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from inventory.imports.cells import has_decimal_comma, is_blank, read_cell, read_condition
from inventory.imports.fields import part_column, sheet_columns

MASS = part_column("mass_g")


def read(column, cell, unit="", decimal_commas=False):
    return read_cell(column, cell, unit=unit, decimal_commas=decimal_commas)


@pytest.mark.parametrize(
    ("cell", "unit", "mass_g"),
    [
        ("1,5 g", "g", 1.5),
        ("1,5 g", "oz", 1.5),
        ("0.5 oz", "g", 14.1747615625),
        ("0.5", "oz", 14.1747615625),
        (0.5, "oz", 14.1747615625),
        (14, "g", 14.0),
        ("14", "", 14.0),
        ("1 lb 3 oz", "g", 453.59237 + 3 * 28.349523125),
        ("2,5", "kg", 2500.0),
    ],
)
def test_a_mass_is_read_in_its_own_unit_else_in_that_of_the_column(cell, unit, mass_g):
    assert read(MASS, cell, unit) == pytest.approx(mass_g, rel=1e-12)


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("heavy", "Enter a number"),
        ("12 mm", "unit of length"),
        ("1.300", "two ways"),
        ("#REF!", "mend the formula"),
        ("-3", "at least 0"),
        ("1e999", "too large"),
        ("3;4", "one number and one unit"),
    ],
)
def test_a_wrong_mass_is_refused_with_its_reason(cell, words):
    with pytest.raises(ValidationError, match=words):
        read(MASS, cell, "g", decimal_commas=True)


def test_a_point_is_a_decimal_sign_in_a_list_without_decimal_commas():
    assert read(MASS, "1.300", "kg") == 1300.0


@pytest.mark.parametrize(
    ("cell", "shows"),
    [("33,6", True), ("0,125", True), ("1,300", False), ("33.6", False), (33.6, False),
     ("1,5 g", True), ("12,345,678", False)],
)  # fmt: skip
def test_a_decimal_comma_is_told_from_thousands(cell, shows):
    assert has_decimal_comma(cell) is shows


@pytest.mark.parametrize("cell", ["", "-", "?", "n/a", "k.A."])
def test_marks_for_not_known_are_blank(cell):
    assert is_blank(cell)


def test_zero_is_not_blank():
    assert not is_blank(0)


@pytest.mark.parametrize("cell", [4, "4", "4S", "4s"])
def test_cells_in_series_are_read_as_people_write_them(cell):
    assert read(sheet_columns("pack")["cell_count"], cell) == 4


@pytest.mark.parametrize(
    ("cell", "value"), [("ja", True), ("No", False), ("yes", True), (0, False)]
)
def test_yes_and_no_are_read(cell, value):
    assert read(sheet_columns("gps")["has_compass"], cell) is value


@pytest.mark.parametrize("cell", ["lipo", "Lithium polymer"])
def test_a_choice_is_read_by_its_key_or_its_word(cell):
    assert read(sheet_columns("pack")["chemistry"], cell) == "lipo"


def test_a_choice_that_is_none_names_those_there_are():
    with pytest.raises(ValidationError, match="lithium ion"):
        read(sheet_columns("pack")["chemistry"], "coal")


def test_a_list_of_numbers_is_read():
    assert read(sheet_columns("motor")["hole_pattern_mm"], "16 19") == [16.0, 19.0]


def test_one_number_is_a_list_of_one():
    assert read(sheet_columns("motor")["hole_pattern_mm"], 16) == [16.0]


@pytest.mark.parametrize("cell", ["2025-03-18", "18.3.2025", "18.03.2025"])
def test_a_day_is_read(cell):
    assert read(part_column("acquired_on"), cell) == date(2025, 3, 18)


@pytest.mark.parametrize("cell", ["03/04/2025", "31.2.2025", "spring", 45000])
def test_a_day_that_could_be_two_or_none_is_refused(cell):
    with pytest.raises(ValidationError, match="year-month-day"):
        read(part_column("acquired_on"), cell)


@pytest.mark.parametrize(
    ("word", "condition"), [("neu", "new"), ("OK", "good"), ("defekt", "broken")]
)
def test_a_condition_is_read(word, condition):
    assert read_condition(word) == condition


def test_a_retired_part_is_not_imported():
    with pytest.raises(ValidationError, match="no condition"):
        read_condition("retired")
