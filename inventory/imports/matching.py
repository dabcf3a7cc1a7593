"""Which column of a list is which field: suggested by the headers, decided by the person."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from functools import lru_cache
from typing import Any

from inventory.codes import CodeError, check_code
from inventory.imports import words
from inventory.imports.fields import NOTES, ListField, list_fields
from inventory.imports.table import ImportProblem, Table
from inventory.kinds import DataSheet

WORDS_SHOWN = 40
ENTRIES_MAX = 500
TEXT_LENGTH_MAX = 200
_BRACKETS = re.compile(r"[(\[]([^)\]]*)[)\]]")


def _is_text(value: object) -> bool:
    if not isinstance(value, str) or len(value) > TEXT_LENGTH_MAX:
        return False
    # Null characters and halves of characters cannot be stored.
    return "\x00" not in value and not any("\ud800" <= one <= "\udfff" for one in value)


def _tidy(text: str) -> str:
    return " ".join(re.sub(r"[_./:-]+", " ", text.casefold()).split())


def _tidied(meanings: dict[str, str]) -> dict[str, str]:
    return {_tidy(word): meaning for word, meaning in words.by_word(meanings).items()}


_HEADERS = _tidied(words.HEADERS)
_KINDS = _tidied(words.KINDS)


@dataclass(frozen=True)
class Matching:
    """Header to field key, header to unit, word for a kind to kind, and the kind of all others."""

    columns: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    kinds: dict[str, str] = field(default_factory=dict)
    kind: str = ""

    def to_json(self) -> dict[str, Any]:
        """The matching as plain dictionaries."""
        return asdict(self)

    @classmethod
    def from_json(cls, given: Any) -> Matching:
        """Read a matching; raises ImportProblem when it has not the shape of one."""
        tables = ("columns", "units", "kinds")
        if not isinstance(given, dict) or set(given) - {*tables, "kind"}:
            raise ImportProblem(
                "A matching has columns, units, kinds and kind, and nothing else.",
                field="matching",
            )
        for name in tables:
            table = given.get(name, {})
            if not isinstance(table, dict) or not all(map(_is_text, (*table, *table.values()))):
                raise ImportProblem(f"{name} is an object of short texts.", field="matching")
            if len(table) > ENTRIES_MAX:
                raise ImportProblem(f"{name} has too many entries.", field="matching")
        if not _is_text(given.get("kind", "")):
            raise ImportProblem("kind is a short text.", field="matching")
        return cls(**given)

    def places_of(self, table: Table) -> dict[str, list[int]]:
        """Field key to the columns that are it, in the order of the file."""
        found: dict[str, list[int]] = {}
        for place, header in enumerate(table.headers):
            key = self.columns.get(header)
            if key:
                found.setdefault(key, []).append(place)
        return found

    def unit_of(self, header: str, one: ListField) -> str:
        """The unit of bare numbers in that column: chosen, else in the header, else our own."""
        return self.units.get(header) or unit_in(header, one) or one.unit or ""

    def kind_of(self, word: str) -> str | None:
        """The kind that a word of the list means, or None."""
        tidy = _tidy(word)
        chosen = {_tidy(known): kind for known, kind in self.kinds.items()}
        return chosen.get(tidy) or known_kind(tidy)


@lru_cache(maxsize=1024)
def known_kind(word: str) -> str | None:
    """The kind that a word usually means: its key, its label or a word of the trade."""
    tidy = _tidy(word)
    for kind, sheet in DataSheet.registry.items():
        if tidy in (_tidy(kind), _tidy(sheet.label), _tidy(sheet.label_plural)):
            return kind
    return _KINDS.get(tidy)


def unknown_kind_words(table: Table, matching: Matching) -> list[str]:
    """The words in the column of kinds that mean no kind yet, each once."""
    found: dict[str, str] = {}
    for place in matching.places_of(table).get("kind", [])[:1]:
        for row in table.rows:
            word = str(row.cell(place))
            if word and word.casefold() not in words.BLANKS and not known_kind(word):
                found.setdefault(_tidy(word), word[:TEXT_LENGTH_MAX])
    return list(found.values())[:WORDS_SHOWN]


def kinds_in(table: Table, matching: Matching) -> set[str]:
    """The kinds that the list names; all of them where it names none."""
    found = {matching.kind} if matching.kind else set()
    for place in matching.places_of(table).get("kind", [])[:1]:
        named = {matching.kind_of(word) for word in {str(row.cell(place)) for row in table.rows}}
        found |= {kind for kind in named if kind}
    return found & set(DataSheet.registry) or set(DataSheet.registry)


def suggest(table: Table) -> Matching:
    """A matching by the words of the headers; the person has the last word."""
    columns: dict[str, str] = {}
    units: dict[str, str] = {}
    for place, header in enumerate(table.headers):
        key = _field_of(header)
        if key == "name" and _holds_kinds(table, place):
            key = "kind"
        if key is None or (key in columns.values() and key != NOTES):
            key = "code" if _holds_codes(table, place) else None
        if key is None or (key == "code" and not _holds_codes(table, place)):
            continue
        columns[header] = key
        one = list_fields()[key]
        if one.unit:
            units[header] = unit_in(header, one) or one.unit
    return Matching(columns=columns, units=units)


def _field_of(header: str) -> str | None:
    plain = _tidy(header)
    if plain.replace(" ", "_") in list_fields():
        return plain.replace(" ", "_")
    bare = _tidy(_BRACKETS.sub(" ", header))
    if bare in _HEADERS:
        return _HEADERS[bare]
    stem = bare.rpartition(" ")[0].removesuffix(" in")
    if stem in _HEADERS and unit_in(header, list_fields()[_HEADERS[stem]]):
        return _HEADERS[stem]
    return next((key for key, one in list_fields().items() if _named(one, bare)), None)


def _named(one: ListField, bare: str) -> bool:
    return one.is_of_sheet and _tidy(_BRACKETS.sub(" ", one.label)) == bare


def unit_in(header: str, one: ListField) -> str:
    """The unit that a header gives, in brackets or as its last word; blank when it gives none."""
    candidates = [*_BRACKETS.findall(header), *header.split()[-1:]]
    for text in (candidate.strip() for candidate in candidates):
        for spelled in (text, words.UNITS.get(text.casefold(), ""), text.casefold()):
            if spelled and one.reads_unit(spelled):
                return spelled
    return ""


def _holds_codes(table: Table, place: int) -> bool:
    cells = [str(row.cell(place)) for row in table.rows if row.cell(place) != ""]
    try:
        return bool(cells) and all(check_code(cell) for cell in cells)
    except CodeError:
        return False


def _holds_kinds(table: Table, place: int) -> bool:
    cells = [str(row.cell(place)) for row in table.rows if row.cell(place) != ""]
    return bool(cells) and sum(known_kind(cell) is not None for cell in cells) * 2 > len(cells)


@dataclass(frozen=True)
class MatchingFault:
    """What is wrong with a matching: `about` is columns, units, kinds or kind."""

    about: str
    name: str
    message: str


def faults_of(matching: Matching, table: Table) -> list[MatchingFault]:
    """All that is wrong with a matching for this list; none, and it can be used."""
    return [
        *_column_faults(matching, table),
        *_unit_faults(matching, table),
        *_kind_faults(matching),
    ]


def check_matching(matching: Matching, table: Table) -> None:
    """Refuse a matching that cannot be used; raises ImportProblem with the first fault."""
    for fault in faults_of(matching, table):
        where = f"“{fault.name}”: " if fault.name else ""
        raise ImportProblem(f"{where}{fault.message}", field="matching")


def _column_faults(matching: Matching, table: Table) -> Iterator[MatchingFault]:
    taken: dict[str, str] = {}
    for header, key in matching.columns.items():
        if header not in table.headers:
            yield MatchingFault("columns", header, "The list has no such column.")
        elif key and key not in list_fields():
            yield MatchingFault("columns", header, f"There is no field {key}.")
        elif key in taken and key != NOTES:
            yield MatchingFault("columns", header, f"The column “{taken[key]}” is that already.")
        if key:
            taken.setdefault(key, header)
    if "name" not in taken:
        yield MatchingFault("columns", "", "Say which column is the name.")
    if "kind" not in taken and not matching.kind:
        yield MatchingFault("kind", "", "Say which column is the kind, or choose one kind for all.")
    if "mass_g" in taken and "mass_guessed_g" in taken:
        yield MatchingFault(
            "columns", taken["mass_guessed_g"], "The list has one mass, weighed or guessed."
        )


def _unit_faults(matching: Matching, table: Table) -> Iterator[MatchingFault]:
    for header, unit in matching.units.items():
        if header not in table.headers:
            yield MatchingFault("units", header, "The list has no such column.")
        one = list_fields().get(matching.columns.get(header, ""))
        if one and unit and not one.reads_unit(unit):
            yield MatchingFault("units", header, f"{unit[:20]} is no unit of {one.label}.")


def _kind_faults(matching: Matching) -> Iterator[MatchingFault]:
    if matching.kind and matching.kind not in DataSheet.registry:
        yield MatchingFault("kind", "", f"There is no kind {matching.kind[:40]}.")
    for word, kind in matching.kinds.items():
        if kind and kind not in DataSheet.registry:
            yield MatchingFault("kinds", word, f"There is no kind {kind[:40]}.")
