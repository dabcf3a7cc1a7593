"""From the bytes of a file to a table: text with separators, or a spreadsheet."""

from __future__ import annotations

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from itertools import islice

from inventory.imports.spreadsheets import read_spreadsheet
from inventory.imports.table import FILE_BYTES_MAX, ImportProblem, Table, make_table

DELIMITERS = ("\t", ";", ",")
SNIFFED_CHARACTERS = 64_000
SNIFFED_LINES = 20
_ZIP = b"PK\x03\x04"
# Spreadsheets of before 2007, and any that has a password.
_COMPOUND_FILE = b"\xd0\xcf\x11\xe0"
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


def read_table(data: bytes) -> Table:
    """Read a file by what is in it, not by its name; raises ImportProblem."""
    if len(data) > FILE_BYTES_MAX:
        limit = FILE_BYTES_MAX // 1024**2
        raise ImportProblem(f"The file is larger than {limit} MB.", field="file")
    if data.startswith(_ZIP):
        return read_spreadsheet(data)
    if data.startswith(_COMPOUND_FILE):
        raise ImportProblem(
            "This is a spreadsheet of an old format, or one with a password. "
            "Save it without one as XLSX, ODS or CSV.",
            field="file",
        )
    return read_text(_decode(data))


def read_text(text: str) -> Table:
    """Read text whose cells are parted by tabs, semicolons or commas; raises ImportProblem."""
    return make_table(_lines(text, delimiter_of(text)))


def _decode(data: bytes) -> str:
    encodings = ("utf-16",) if data.startswith(_UTF_16) else ("utf-8-sig", "cp1252")
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeError:
            continue
    raise ImportProblem(
        "This is neither text nor a spreadsheet that is read here: "
        "save the list as CSV, XLSX or ODS.",
        field="file",
    )


def delimiter_of(text: str) -> str:
    """What parts the cells of a text: the separator with which most lines agree."""
    # Headings seldom hold a separator that is none; the cells below them often do.
    headings = next((line for line in text.splitlines() if line.strip()), "")
    likely = [delimiter for delimiter in DELIMITERS if delimiter in headings] or DELIMITERS
    return max(likely, key=lambda delimiter: _agreement(text, delimiter))


def _agreement(text: str, delimiter: str) -> tuple[int, int]:
    """How many of the first lines have the usual width with that delimiter, and that width."""
    sample = io.StringIO(text[:SNIFFED_CHARACTERS], newline="")
    widths: Counter[int] = Counter()
    with suppress(csv.Error):
        reader = csv.reader(sample, delimiter=delimiter, strict=True)
        for line in islice(reader, SNIFFED_LINES):
            widths[len(line)] += len(line) > 1
    width, lines = max(widths.items(), key=lambda one: (one[1], one[0]), default=(0, 0))
    return lines, width


def _lines(text: str, delimiter: str) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        yield from reader
    except csv.Error as error:
        raise ImportProblem(
            f"Near line {reader.line_num} a quotation mark is opened and not closed, "
            "or stands where none is expected.",
            field="file",
        ) from error
