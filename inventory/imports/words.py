"""Words that builders write into their lists, and what they mean here.

Common practice, no source: the usual words and short forms of the trade, English and German.
"""

HEADERS = {
    "kind": "kind, type of part, part type, category, group, class, art, kategorie, gruppe, "
    "bauteilart, teileart",
    "maker": "maker, make, brand, manufacturer, hersteller, marke, fabrikat",
    "name": "name, part, part name, item, description, model, designation, type, typ, bezeichnung, "
    "teil, bauteil, artikel, modell, beschreibung",
    "own_name": "own name, nickname, label, marking, eigener name, beschriftung",
    "mass_g": "mass, weight, wt, weighed, measured mass, measured weight, actual weight, gewicht, "
    "masse, gewogen, istgewicht",
    "mass_guessed_g": "estimated weight, estimated mass, guessed weight, guessed mass, "
    "geschätztes gewicht",
    "sheet_mass_g": "rated mass, rated weight, spec weight, maker's weight, sollgewicht, "
    "gewicht laut hersteller, herstellerangabe",
    "count": "count, qty, quantity, pieces, pcs, number of pieces, anzahl, stück, stk, menge",
    "condition": "condition, state, zustand",
    "place": "place, where, location, box, drawer, storage, bin, lagerort, ort, platz, kiste, fach",
    "code": "label code",
    "notes": "notes, note, remarks, remark, comment, comments, bemerkung, bemerkungen, notiz, "
    "notizen, kommentar, anmerkung",
    "acquired_on": "since, bought, bought on, date, purchase date, acquired, acquired on, gekauft, "
    "gekauft am, kaufdatum, datum",
    "kv_rpm_v": "kv, speed constant",
    "capacity_mah": "capacity, kapazität",
    "cell_count": "cells, cell count, s, zellen, zellenzahl",
    "current_continuous_a": "current, continuous current, dauerstrom, strom",
    "diameter_mm": "diameter, dia, durchmesser",
    "pitch_mm": "pitch, steigung",
    "torque_kgcm": "torque, stellkraft, drehmoment",
    "length_mm": "length, länge",
    "width_mm": "width, breite",
    "height_mm": "height, thickness, höhe, dicke",
    "plug": "plug, connector, stecker",
}

UNITS = {
    "gramm": "g", "gram": "g", "grams": "g", "ounce": "oz", "ounces": "oz", "unzen": "oz",
    "pound": "lb", "pounds": "lb", "millimeter": "mm", "millimetre": "mm", "inches": "in",
    "zoll": "in", "centimetre": "cm", "zentimeter": "cm", "volt": "V", "ampere": "A", "amps": "A",
}  # fmt: skip

KINDS = {
    "airframe": "wing, flying wing, frame, kit, plane, flugzeug, nurflügel, rahmen, bausatz, zelle",
    "antenna": "antenna, antennas, antennae, aerial, aerials, antenne, antennen",
    "camera": "cam, cams, fpv camera, kamera, kameras",
    "flight_controller": "fc, flight control, board, flugsteuerung, flugregler",
    "gps": "gnss, gps module, gps receiver, gps-modul",
    "ground_gear": "charger, transmitter, goggles, radio, ladegerät, ladegeraet, sender, brille",
    "hardware": "screw, screws, bolt, nut, spar, linkage, horn, magnet, ballast, misc, schraube, "
    "schrauben, mutter, holm, gestänge, ruderhorn, kleinteil, kleinteile",
    "lead": "cable, cables, wire, lead set, extension, kabel, verlängerung, servokabel",
    "motor": "brushless motor, engine, motoren",
    "pack": "battery, batteries, lipo, li ion, liion, battery pack, akku, akkus, flugakku",
    "propeller": "prop, props, luftschraube, luftschrauben, latte, propeller",
    "receiver": "rx, empfänger, empfaenger",
    "regulator": "bec, ubec, voltage regulator, spannungsregler",
    "servo": "actuator, rudermaschine",
    "speed_controller": "esc, escs, controller, motor controller, regler, drehzahlregler, steller",
    "video_unit": "vtx, video transmitter, video tx, videosender",
}

CONDITIONS = {
    "new": "new, unused, boxed, neu, unbenutzt, ovp",
    "good": "good, ok, okay, used, fine, gut, gebraucht",
    "worn": "worn, old, abgenutzt, verschlissen, alt",
    "suspect": "suspect, check, doubtful, to check, verdächtig, prüfen, fraglich",
    "broken": "broken, dead, defective, defekt, kaputt",
}

YES = frozenset(("yes", "y", "true", "x", "1", "ja", "j"))
NO = frozenset(("no", "n", "false", "0", "nein"))
BLANKS = frozenset(("-", "–", "—", "?", "n/a", "na", "k.a.", "unknown", "unbekannt"))
WORKED_OUT_WRONG = frozenset(("#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!"))


def by_word(meanings: dict[str, str]) -> dict[str, str]:
    """Turn a table of meanings with their words into one of words with their meaning."""
    return {
        word.strip(): meaning for meaning, words in meanings.items() for word in words.split(",")
    }
