"""How a file is read: which column is what, in which unit, at which hours. Remembered by person."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field, fields, replace
from typing import Any

from hangar.errors import UserError
from inventory.imports.cells import has_decimal_comma
from inventory.imports.table import Table
from inventory.imports.words import by_word
from inventory.log_files.faults import RowFault
from inventory.log_files.fields import (
    CELL_WORDS,
    KINDS,
    SAMPLES,
    SHAPES,
    SUMMARY,
    UNIT_WORDS,
    WORDS,
    LogFileField,
    cell_of,
    log_file_fields,
)
from inventory.log_files.times import DAY_FIRST, MONTH_FIRST, Moments, zone_of

TEXT_LENGTH_MAX = 120
ENTRIES_MAX = 100
_BRACKETS = re.compile(r"[(\[]([^)\]]*)[)\]]")
_SLASHED = re.compile(r"([0-9]{1,2})[-/.] ?([0-9]{1,2})[-/.] ?[0-9]{2,4}")
_KINDS = by_word(KINDS)
TIMES = ("time", "zeit", "uhrzeit")


class RecipeProblem(UserError):
    """The recipe cannot be used for this file; the message says why."""

    def __init__(self, message: str) -> None:
        super().__init__(message, field="recipe")


@dataclass(frozen=True)
class Recipe:
    """How the rows of a file are read.

    `kind` is that of rows that name none. `counts_in` says that a positive current, or the
    counter, goes into the pack. `starts_at` is the moment of a file that only counts seconds.
    """

    shape: str = SUMMARY
    columns: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    kind: str = ""
    zone: str = "UTC"
    day_order: str = DAY_FIRST
    decimal: str = "."
    counts_in: bool = False
    starts_at: str = ""
    wants_rest: bool = True
    wants_resistance: bool = False

    def to_json(self) -> dict[str, Any]:
        """The recipe as a plain dictionary."""
        return asdict(self)

    @classmethod
    def from_json(cls, given: Any) -> Recipe:
        """Read a recipe; raises RecipeProblem when it has not the shape of one."""
        known = {one.name: one.type for one in fields(cls)}
        if not isinstance(given, dict) or set(given) - set(known):
            raise RecipeProblem(f"A recipe has {', '.join(known)}, and nothing else.")
        for name, value in given.items():
            wanted = {"bool": bool, "str": str}.get(str(known[name]), dict)
            if not isinstance(value, wanted):
                raise RecipeProblem(f"{name} is no {known[name]}.")
            texts = [*value, *value.values()] if isinstance(value, dict) else [value]
            if len(texts) > 2 * ENTRIES_MAX:
                raise RecipeProblem(f"{name} has too many entries.")
            if not all(isinstance(text, bool) or _is_text(text) for text in texts):
                raise RecipeProblem(f"{name} holds no short text.")
        return cls(**given)

    def places_of(self, headers: Sequence[str]) -> dict[str, int]:
        """Key of a field to the column that is it."""
        return {
            self.columns[header]: place
            for place, header in enumerate(headers)
            if self.columns.get(header)
        }

    def unit_of(self, header: str) -> str:
        """The unit of bare numbers in that column: chosen, else in the header, else our own."""
        one = log_file_fields()[self.columns[header]]
        return self.units.get(header) or unit_in(header, one) or one.own_unit

    def moments(self) -> Moments:
        """The reader of the file's times."""
        return Moments(zone_of(self.zone), is_day_first=self.day_order == DAY_FIRST)

    def start_s(self) -> float:
        """When a file that counts from its start began [s since 1970, UTC]."""
        return self.moments().moment_s(self.starts_at.replace("T", " "))[0]

    def remembered(self) -> Recipe:
        """What of it holds for the next file."""
        return replace(self, starts_at="")


def _is_text(value: object) -> bool:
    if not isinstance(value, str) or len(value) > TEXT_LENGTH_MAX:
        return False
    # Null characters and halves of characters cannot be stored.
    return "\x00" not in value and not any("\ud800" <= one <= "\udfff" for one in value)


def _tidy(text: str) -> str:
    return " ".join(re.sub(r"[_./:-]+", " ", text.casefold()).split())


def unit_in(header: str, one: LogFileField) -> str:
    """The unit that a header gives, in brackets or as its last word; blank when it gives none."""
    words = re.split(r"[\s_]+", header.strip())
    for text in (*_BRACKETS.findall(header), words[-1]):
        spelled = UNIT_WORDS.get(text.casefold(), text)
        if spelled and one.scale_of(spelled):
            return spelled
    return ""


def kind_named(word: str) -> str | None:
    """The kind of entry that a word means, or None."""
    return _KINDS.get(word.casefold().strip())


def suggest(table: Table) -> Recipe:
    """A recipe by the words of the headers and the first rows; the person has the last word."""
    names = [(place, header, _stem(header)) for place, header in enumerate(table.headers)]
    is_samples = _looks_sampled(table, [stem for _, _, stem in names])
    shape = SAMPLES if is_samples else SUMMARY
    has_day = any(stem in WORDS["day"].split(", ") for _, _, stem in names)
    columns: dict[str, str] = {}
    for place, header, stem in names:
        key = _key_of(stem, header, shape, set(columns.values()))
        if stem in TIMES and has_day and _holds_clock(table, place):
            key = "clock"
        elif key in ("elapsed_s", "duration_s", "clock") and _is_clock(table, place):
            key = "moment" if _holds_days(table, place) else "clock"
        if key in ("day", "clock") and _holds_days(table, place) and _holds_clock(table, place):
            key = "moment"
        if key and key not in columns.values():
            columns[header] = key
    recipe = Recipe(shape=shape, columns=columns, day_order=_day_order(table))
    cells = [cell for row in table.rows for cell in row.cells]
    units = {
        header: recipe.unit_of(header)
        for header, key in columns.items()
        if log_file_fields()[key].unit
    }
    return replace(
        recipe,
        units=units,
        decimal="," if any(map(has_decimal_comma, cells)) else ".",
        counts_in=any("charg" in header.casefold() or "lade" in header.casefold()
                      for header in table.headers),
    )  # fmt: skip


def _stem(header: str) -> str:
    return _tidy(_BRACKETS.sub(" ", header))


def _looks_sampled(table: Table, stems: list[str]) -> bool:
    words = {word for key in ("current_a", "elapsed_s") for word in by_word({key: WORDS[key]})}
    has = {stem for stem in stems if stem in words or _without_unit(stem) in words}
    summary = by_word({key: WORDS[key] for key in ("kind", "duration_s")})
    is_summed = any(stem in summary for stem in stems if stem not in ("time", "type", "mode"))
    return bool(has) and not is_summed and len(table.rows) > 2


def _without_unit(stem: str) -> str:
    return stem.rpartition(" ")[0] or stem


def _key_of(stem: str, header: str, shape: str, taken: set[str]) -> str | None:
    for name in (stem, _without_unit(stem)):
        plain = name.replace(" ", "_")
        if plain in log_file_fields() and shape in log_file_fields()[plain].shapes:
            return plain
        if found := CELL_WORDS.fullmatch(name):
            key = f"cell_{int(found[1])}_v"
            return key if key in log_file_fields() else None
        for key, words in WORDS.items():
            one = log_file_fields()[key]
            if key in taken or shape not in one.shapes or name not in words.split(", "):
                continue
            if one.unit and name != stem and not unit_in(header, one):
                continue
            return key
    exact = stem.replace(" ", "_")
    return exact if exact in log_file_fields() else None


def _samples(table: Table, place: int) -> list[str]:
    return [str(row.cell(place)) for row in table.rows[:200] if row.cell(place) != ""]


def _is_clock(table: Table, place: int) -> bool:
    cells = _samples(table, place)
    return bool(cells) and all(cell.count(":") == 2 or "-" in cell[1:] for cell in cells)


def _holds_days(table: Table, place: int) -> bool:
    return any(re.search(r"[0-9][-/.] ?[0-9]{1,2}[-/.]", cell) for cell in _samples(table, place))


def _holds_clock(table: Table, place: int) -> bool:
    return any(":" in cell for cell in _samples(table, place))


def _day_order(table: Table) -> str:
    for place in range(len(table.headers)):
        for cell in _samples(table, place):
            if (found := _SLASHED.match(cell)) and int(found[2]) > 12 >= int(found[1]):
                return MONTH_FIRST
    return DAY_FIRST


@dataclass(frozen=True)
class RecipeFault:
    """What is wrong with a recipe: `about` is one of its parts, `name` a header."""

    about: str
    name: str
    message: str


def faults_of(recipe: Recipe, headers: Sequence[str], cells: int | None) -> list[RecipeFault]:
    """All that is wrong with a recipe for a file with these headers, of a pack of so many cells."""
    if recipe.shape not in SHAPES:
        return [RecipeFault("shape", "", f"A file holds {' or '.join(SHAPES)}.")]
    return [
        *_choice_faults(recipe),
        *_column_faults(recipe, headers),
        *_unit_faults(recipe),
        *_need_faults(recipe, cells),
    ]


def check_recipe(recipe: Recipe, headers: Sequence[str], cells: int | None) -> None:
    """Refuse a recipe that cannot be used; raises RecipeProblem with the first fault."""
    for fault in faults_of(recipe, headers, cells):
        where = f"“{fault.name}”: " if fault.name else ""
        raise RecipeProblem(f"{where}{fault.message}")


def _choice_faults(recipe: Recipe) -> Iterator[RecipeFault]:
    if recipe.day_order not in (DAY_FIRST, MONTH_FIRST):
        yield RecipeFault("day_order", "", "Say whether the day or the month comes first.")
    if recipe.decimal not in (".", ","):
        yield RecipeFault("decimal", "", "Decimals stand behind a point or a comma.")
    if recipe.kind and recipe.kind not in KINDS:
        yield RecipeFault("kind", "", f"Rows are one of {', '.join(KINDS)}.")
    try:
        zone_of(recipe.zone)
    except RowFault as error:
        yield RecipeFault("zone", "", error.message)


def _column_faults(recipe: Recipe, headers: Sequence[str]) -> Iterator[RecipeFault]:
    taken: dict[str, str] = {}
    for header, key in recipe.columns.items():
        if not key:
            continue
        one = log_file_fields().get(key)
        if header not in headers:
            yield RecipeFault("columns", header, "The file has no such column.")
        elif one is None:
            yield RecipeFault("columns", header, f"There is no field {key}.")
        elif recipe.shape not in one.shapes:
            yield RecipeFault("columns", header, f"There is no {one.label} in {recipe.shape}.")
        elif key in taken:
            yield RecipeFault("columns", header, f"The column “{taken[key]}” is that already.")
        taken.setdefault(key, header)


def _unit_faults(recipe: Recipe) -> Iterator[RecipeFault]:
    for header, unit in recipe.units.items():
        one = log_file_fields().get(recipe.columns.get(header, ""))
        if one and one.unit and unit and one.scale_of(unit) is None:
            yield RecipeFault("units", header, f"{unit[:20]} is no unit of {one.label}.")


def _need_faults(recipe: Recipe, cells: int | None) -> Iterator[RecipeFault]:
    keys = {key for key in recipe.columns.values() if key}
    if len(keys & {"moment", "elapsed_s"}) > 1 or ("moment" in keys and "clock" in keys):
        yield RecipeFault("columns", "", "The time stands in one column, or in date and time.")
    elif not keys & {"moment", "day", "elapsed_s"}:
        yield RecipeFault("columns", "", "Say which column is the date or the time.")
    elif "clock" in keys and "day" not in keys:
        yield RecipeFault("columns", "", "A time of day needs a date beside it.")
    if recipe.shape == SAMPLES:
        yield from _sample_faults(recipe, keys)
    elif "kind" not in keys and not recipe.kind:
        yield RecipeFault("kind", "", "Say what the rows are, or which column says it.")
    for unit in ("v", "mohm"):
        numbers = sorted(found[0] for key in keys if (found := cell_of(key)) and found[1] == unit)
        if numbers and cells is None:
            yield RecipeFault(
                "columns", "", "The data sheet does not say how many cells there are."
            )
        elif numbers and numbers != list(range(1, cells + 1)):  # type: ignore[operator]
            yield RecipeFault(
                "columns", "", f"Name a column for each of the pack's {cells} cells, and no other."
            )


def _sample_faults(recipe: Recipe, keys: set[str]) -> Iterator[RecipeFault]:
    if not keys & {"current_a", "counter_mah"}:
        yield RecipeFault("columns", "", "Say which column is the current, or the charge counter.")
    if "day" in keys and "clock" not in keys:
        yield RecipeFault("columns", "", "Samples need a time of day.")
    if "elapsed_s" not in keys:
        return
    try:
        recipe.start_s()
    except RowFault:
        yield RecipeFault("starts_at", "", "Say when the recording began.")
