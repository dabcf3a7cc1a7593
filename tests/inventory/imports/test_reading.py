"""From bytes to a table: CSV after RFC 4180 and what people make of it, XLSX and ODS."""

import io
import zipfile
from datetime import date, datetime

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.imports import spreadsheets, table
from inventory.imports.reading import read_table
from inventory.imports.table import ImportProblem
from tests.inventory.imports.lists import (
    GERMAN_HEADERS,
    HEADERS,
    IMPERIAL_HEADERS,
    PARTS,
    comma_list,
    ods_list,
    saved,
    semicolon_list,
    tab_list,
    xlsx_list,
)


def cells(found):
    return [row.cells for row in found.rows]


def test_semicolons_are_found_beside_decimal_commas():
    found = read_table(semicolon_list())
    assert found.headers == GERMAN_HEADERS
    assert found.rows[0].cells[:4] == ("Motor", "Tarrowden", "T2306", "33,6")


def test_tabs_are_found():
    found = read_table(tab_list())
    assert found.headers == IMPERIAL_HEADERS
    assert len(found.rows) == len(PARTS)


def test_a_quoted_cell_holds_separators_quotes_and_lines():
    # RFC 4180, section 2, rules 6 and 7
    found = read_table(b'a,b\r\n"x, ""y""\nz",2\r\n')
    assert cells(found) == [('x, "y"\nz', "2")]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_umlauts_survive_every_encoding(encoding):
    assert read_table(semicolon_list(encoding)).headers == GERMAN_HEADERS


def test_a_formula_in_a_text_file_is_text():
    assert cells(read_table(b"a,b\n=1+1,@SUM(A1)\n")) == [("=1+1", "@SUM(A1)")]


def test_rows_keep_the_number_they_have_in_the_file():
    found = read_table(b"\n\nname,mass\n\nx,1\n\ny,2\n")
    assert [row.number for row in found.rows] == [5, 7]


def test_a_title_above_the_headers_is_passed_over():
    assert read_table(b"My parts\n\nname,mass\nx,1\n").headers == ("name", "mass")


def test_equal_and_missing_headers_get_names_of_their_own():
    assert read_table(b"a,a,,b\n1,2,3,4\n").headers == ("a", "a (2)", "column 3", "b")


def test_an_open_quotation_mark_is_named_by_its_line():
    with pytest.raises(ImportProblem, match="line 3"):
        read_table(b'a,b\n1,2\n"x,3\n')


def test_numbers_of_a_spreadsheet_stay_numbers():
    found = read_table(xlsx_list())
    assert found.headers == HEADERS
    assert found.rows[0].cells == PARTS[0][:8]
    assert found.rows[13].cell(8) == 4
    assert found.rows[0].number == 3


def test_days_and_yes_or_no_of_a_spreadsheet_are_read():
    midnight = datetime.fromisoformat("2025-03-18T00:00:00")
    rows = [("a", "b", "c", "d"), (date(2025, 3, 18), midnight, True, 2.5)]
    assert cells(read_table(xlsx_list(rows))) == [("2025-03-18", "2025-03-18", "yes", 2.5)]


def test_an_ods_reads_like_an_xlsx():
    assert cells(read_table(ods_list())) == cells(read_table(xlsx_list()))


def test_a_formula_that_was_never_worked_out_is_no_blank_cell():
    assert cells(read_table(xlsx_list([("a", "b"), ("x", "=1+1")]))) == [("x", "#N/A")]


def test_the_value_of_a_worked_out_formula_is_read():
    data = xlsx_list([("a", "b"), ("x", "=1+1")])
    assert cells(read_table(with_formula_value(data))) == [("x", 2)]


def with_formula_value(data):
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(packed, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b"<v /></c>", b"<v>2</v></c>").replace(
                b"<v></v></c>", b"<v>2</v></c>"))  # fmt: skip
    return packed.getvalue()


def test_the_first_sheet_with_anything_in_it_is_read():
    book = openpyxl.Workbook()
    book.create_sheet("Later").append(["a", "b"])
    book["Later"].append([1, 2])
    assert cells(read_table(saved(book))) == [(1, 2)]


def test_a_sheet_with_a_stray_mark_far_below_is_refused():
    book = openpyxl.Workbook()
    book.active.append(["a", "b"])
    book.active.cell(row=900_000, column=1, value="x")
    with pytest.raises(ImportProblem, match="below line"):
        read_table(saved(book))


def zipped(**members):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name.replace("__", "/").replace("_xml", ".xml"), data)
    return packed.getvalue()


def test_a_zip_bomb_is_refused_before_it_is_unpacked():
    data = zipped(content_xml=b" " * (spreadsheets.UNPACKED_BYTES_MAX + 1))
    assert len(data) < 1_000_000
    with pytest.raises(ImportProblem, match="too large"):
        read_table(data)


def test_entities_that_multiply_are_refused():
    bomb = b'<!DOCTYPE a [<!ENTITY b "bbbb"><!ENTITY c "&b;&b;">]><a>&c;</a>'
    with pytest.raises(ImportProblem, match="cannot be read"):
        read_table(zipped(content_xml=bomb))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "nothing in this file"),
        (b"\n\n \n", "nothing in this file"),
        (b"name,mass\n", "no part below"),
        (b"\x81\x8d\x8f", "neither text nor a spreadsheet"),
        (b"a,b\nx,\x00\n", "null"),
        (b"\xd0\xcf\x11\xe0old", "old format"),
        (zipped(letter_xml=b"<a/>"), "no spreadsheet"),
        (zipped(xl__workbook_xml=b"<a/>"), "cannot be read"),
        (b"PK\x03\x04 and no more", "cannot be read"),
        (b"x" * (table.FILE_BYTES_MAX + 1), "larger than 10 MB"),
        (b"a,b\n" + b"1,2\n" * (table.ROWS_MAX + 1), "too long"),
        (b"a,b\n" + b"1," * table.COLUMNS_MAX + b"2\n", "101 columns"),
        (b"a,b\n" + b"x" * (table.CELL_LENGTH_MAX + 1) + b",1\n", "longer than"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_reason(data, words):
    with pytest.raises(ImportProblem, match=words):
        read_table(data)


def test_the_longest_list_is_read():
    assert len(read_table(b"a,b\n" + b"1,2\n" * table.ROWS_MAX).rows) == table.ROWS_MAX


def read_or_refuse(data):
    try:
        found = read_table(data)
    except ImportProblem:
        return
    assert found.rows
    assert len(set(found.headers)) == len(found.headers)
    assert all(len(row.cells) <= len(found.headers) for row in found.rows)


@given(st.binary(max_size=400))
@settings(deadline=None)
def test_any_bytes_are_read_or_refused(data):
    read_or_refuse(data)


@given(st.text(alphabet='ab;,\t"\n\r =1.\u00e4\x00', max_size=200))
@settings(deadline=None)
def test_any_text_is_read_or_refused(text):
    read_or_refuse(text.encode())


PACKED = {"xlsx": xlsx_list(), "ods": ods_list()}


@given(
    st.sampled_from(sorted(PACKED)),
    st.lists(st.tuples(st.integers(0, 1_000_000), st.integers(0, 255)), min_size=1, max_size=8),
)
@settings(deadline=None, max_examples=60)
def test_any_damaged_spreadsheet_is_read_or_refused(form, hits):
    data = bytearray(PACKED[form])
    for place, value in hits:
        data[place % len(data)] = value
    read_or_refuse(bytes(data))


@given(st.lists(st.lists(st.text(alphabet="ab ,;\t\"'\nä", max_size=6), min_size=2, max_size=5),
                min_size=2, max_size=6))  # fmt: skip
@settings(deadline=None)
def test_what_a_csv_writer_wrote_in_one_width_is_read_back(rows):
    width = max(map(len, rows))
    # A first cell that is filled, so that no line is blank, and headers without separators.
    whole = [[f"h{place}" for place in range(width)]]
    whole += [["x", *row, *[""] * (width - len(row))][:width] for row in rows]
    found = read_table(comma_list(whole))
    wanted = [[cell.strip() for cell in row] for row in whole[1:]]
    assert [[row.cell(place) for place in range(width)] for row in found.rows] == wanted


def test_commas_in_names_do_not_outvote_semicolons():
    found = read_table(b"Name;Gewicht\nblau, klein;1,5\nrot, gross;2,5\n")
    assert found.headers == ("Name", "Gewicht")
