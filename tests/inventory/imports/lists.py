"""One list of twenty invented parts, as three builders might keep it.

The masses in ounces and the lengths in inches are worked out with the exact factors of
NIST SP 811 (2008), Appendix B.8: 1 oz (avoirdupois) = 28.349 523 125 g, 1 in = 25.4 mm.
"""

import csv
import io

import openpyxl
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

OUNCE_G = 28.349523125
INCH_MM = 25.4

# kind, maker, name, mass [g], count, condition, place, speed constant, cells, capacity, length [mm]
PARTS = (
    ("motor", "Tarrowden", "T2306", 33.6, "", "new", "Box 1", 1900, "", "", ""),
    ("motor", "Tarrowden", "T2306", 33.9, "", "good", "Box 1", 1900, "", "", ""),
    ("motor", "Tarrowden", "T2306", 33.9, "", "good", "Box 1", 1900, "", "", ""),
    ("motor", "Corrimuir", "C1806", 18.25, 2, "worn", "Box 1", 2300, "", "", ""),
    ("speed_controller", "Fennarick", "F35", 8.5, "", "good", "Box 2", "", "", "", 33.5),
    ("speed_controller", "Fennarick", "F35", "", "", "broken", "Box 2", "", "", "", 33.5),
    ("servo", "Ivesdale", "S9", 9.1, 4, "good", "Box 2", "", "", "", 23.0),
    ("receiver", "Ostrelka", "R6", 1.5, "", "new", "Box 2", "", "", "", 20.5),
    ("flight_controller", "Saltgarth", "B30", 9.75, "", "good", "Box 2", "", "", "", 36.0),
    ("gps", "Dunmarrow", "N10", 10.25, "", "good", "", "", "", "", 25.0),
    ("camera", "Pellowick", "K19", 5.5, "", "good", "Box 3", "", "", "", 19.0),
    ("video_unit", "Pellowick", "V400", 7.25, "", "suspect", "Box 3", "", "", "", 20.0),
    ("antenna", "Pellowick", "A58", 5.75, "", "good", "Box 3", "", "", "", 62.0),
    ("pack", "Ostrelka", "P1300", 158.5, "", "good", "Shelf", "", 4, 1300, 78.0),
    ("pack", "Ostrelka", "P1300", 159.25, "", "worn", "Shelf", "", 4, 1300, 78.0),
    ("pack", "Ostrelka", "P850", 75.5, "", "new", "Shelf", "", 3, 850, 60.0),
    ("regulator", "Fennarick", "U5", 12.5, "", "", "", "", "", "", 43.0),
    ("propeller", "Saltgarth", "5x4", 4.25, 12, "new", "Drawer", "", "", "", ""),
    ("hardware", "", "M3 screw", 0.75, 50, "new", "Drawer", "", "", "", 8.0),
    ("airframe", "Tarrowden", "W640", 152.0, "", "good", "", "", "", "", ""),
)
# Four single motors, and so on: bags count one.
PART_COUNT = 20 + (2 - 1) + (4 - 1)
SHEET_COUNT = 16

GERMAN_KINDS = {
    "motor": "Motor", "speed_controller": "Regler", "servo": "Servo", "receiver": "Empfänger",
    "flight_controller": "FC", "gps": "GPS", "camera": "Kamera", "video_unit": "Videosender",
    "antenna": "Antenne", "pack": "Akku", "regulator": "BEC", "propeller": "Luftschraube",
    "hardware": "Schraube", "airframe": "Nurflügel",
}  # fmt: skip
GERMAN_CONDITIONS = {
    "new": "neu", "good": "gut", "worn": "abgenutzt", "suspect": "fraglich", "broken": "defekt",
    "": "",
}  # fmt: skip
GERMAN_HEADERS = (
    "Art", "Hersteller", "Bezeichnung", "Gewicht (g)", "Anzahl", "Zustand", "Lagerort", "KV",
    "Zellen", "Kapazität (mAh)", "Länge [mm]",
)  # fmt: skip
HEADERS = (
    "Category", "Brand", "Model", "Mass [g]", "Qty", "Condition", "Location", "KV", "Cells",
    "Capacity (mAh)", "Length (mm)",
)  # fmt: skip
IMPERIAL_HEADERS = (
    "type", "maker", "item", "weight oz", "pcs", "state", "where", "kv", "cells", "capacity",
    "length (in)",
)  # fmt: skip


def with_commas(value):
    return str(value).replace(".", ",") if isinstance(value, float) else str(value)


def semicolon_list(encoding="cp1252"):
    rows = [";".join(GERMAN_HEADERS)]
    for kind, maker, name, mass, count, condition, *rest in PARTS:
        words = [GERMAN_KINDS[kind], maker, name, with_commas(mass), str(count)]
        words += [GERMAN_CONDITIONS[condition], *map(with_commas, rest)]
        rows.append(";".join(words))
    return "\r\n".join(rows).encode(encoding)


def tab_list():
    rows = [IMPERIAL_HEADERS]
    for kind, maker, name, mass, count, condition, place, kv, cells, capacity, length in PARTS:
        ounces = f"{mass / OUNCE_G:.12g}" if mass else ""
        inches = f"{length / INCH_MM:.12g}" if length else "-"
        rows.append(
            (kind, maker, name, ounces, count, condition, place, kv, cells, capacity, inches)
        )
    return "\n".join("\t".join(map(str, row)) for row in rows).encode()


def comma_list(rows):
    text = io.StringIO()
    csv.writer(text).writerows(rows)
    return text.getvalue().encode()


def xlsx_list(rows=None, title="My parts"):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append([title])
    for row in rows or (HEADERS, *PARTS):
        sheet.append([None if cell == "" else cell for cell in row])
    return saved(book)


def ods_list(rows=None):
    book = OpenDocumentSpreadsheet()
    sheet = Table(name="Parts")
    for row in rows or (HEADERS, *PARTS):
        line = TableRow()
        for cell in row:
            if isinstance(cell, int | float):
                made = TableCell(valuetype="float", value=cell)
                made.addElement(P(text=str(cell)))
            else:
                made = TableCell(valuetype="string") if cell else TableCell()
                if cell:
                    made.addElement(P(text=cell))
            line.addElement(made)
        sheet.addElement(line)
    # As office programs do it, blank cells and lines run to the edge of the sheet.
    edge = TableRow(numberrowsrepeated=1_048_000)
    edge.addElement(TableCell(numbercolumnsrepeated=16_384))
    sheet.addElement(edge)
    book.spreadsheet.addElement(sheet)
    return saved(book)


def saved(book):
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()
