"""Text with a unit to a number and back: the only user of pint.

pint's own parser evaluates expressions, so it never sees what a person typed. The number is read
by a strict pattern, the unit is looked up in the closed table of ``hangar.units``, and pint
converts between fixed unit names.
"""

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from functools import cache

import pint

from hangar.units import ACCEPTED, GLYPHS, SUGGESTED, UNITS, Unit

LARGEST = 1e12
LONGEST_TEXT = 64
MOST_CELLS = 24
SHOWN_DIGITS = 4

_NUMBER = r"[+-]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3}(?![0-9]))?"
_LEADING_NUMBER = re.compile(_NUMBER)
_COMPOUND_TERM = re.compile(r" *([0-9]+(?:[.,][0-9]+)?) *([a-z'\"]+)")
_FRACTION = re.compile(r"[0-9] */ *[0-9]")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_CELL_COUNT = re.compile(r"([0-9]{1,2}) ?[sS]?")
_UNIT_TEXT = re.compile(r"[A-Za-zµΩ°%/·'\"-][A-Za-z0-9µΩ°%/·'\" -]*")

# Who chose ounces or inches gets the customary unit that goes with it.
_IN_OUNCES = {"g": "oz", "kg": "lb"}
_IN_INCHES = {"mm": "in", "cm": "in", "m": "ft", "dm2": "in2", "cm2": "in2"}
_IN_BOTH = {"g_dm2": "oz_ft2", "kgcm": "ozin"}


class QuantityError(ValueError):
    """What was entered is no quantity of the wanted kind; the message is for the person."""


def read_quantity(value: object, unit: str) -> float:
    """Read a number, or a text such as ``6.4 oz``, as a number in the named unit.

    Parameters
    ----------
    value
        An int or float in ``unit``, or text: a number, a number with a unit of the same
        dimension, or a compound such as ``1 lb 3 oz``.
    unit
        A key of the unit table, such as ``g`` or ``rpm_v``.

    Returns
    -------
    float
        The quantity [unit], finite and at most ``LARGEST`` either way.

    Raises
    ------
    QuantityError
        With a message for the person who entered it.
    KeyError
        When ``unit`` is not in the table.
    """
    target = UNITS[unit]
    if isinstance(value, str):
        return _read_text(value, target)
    return read_number(value)


def read_number(value: object) -> float:
    """Read a bare number, or text that holds only one, as a finite, bounded float.

    Raises QuantityError with a message for the person who entered it.
    """
    if isinstance(value, str):
        number, rest = _split(_tidy(value))
        if rest:
            raise QuantityError("Enter a number without a unit.")
        return _bounded(number)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise QuantityError("Enter a number.")
    if isinstance(value, float) and not math.isfinite(value):
        raise QuantityError("Enter a finite number.")
    return _bounded(Decimal(value))


def read_cell_count(value: object) -> int:
    """Read a count of cells in series: ``3``, ``3S`` or ``3s``.

    Raises QuantityError with a message for the person who entered it.
    """
    text = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
    match = _CELL_COUNT.fullmatch(text.strip()) if isinstance(text, str) else None
    if not match or not 1 <= int(match[1]) <= MOST_CELLS:
        raise QuantityError(
            f"Enter the cells in series as a whole number from 1 to {MOST_CELLS}, such as 3 or 3S."
        )
    return int(match[1])


def _read_text(text: str, target: Unit) -> float:
    tidy = _tidy(text)
    number, rest = _split(tidy)
    if not rest:
        return _bounded(number)
    accepted = ACCEPTED[target.dimension.name]
    if rest in accepted:
        return _bounded(_convert(number, accepted[rest], target.pint_name))
    if target.dimension.compound and (total := _read_compound(tidy, target)) is not None:
        return _bounded(total)
    raise QuantityError(_why_not_read(rest, target))


def _read_compound(text: str, target: Unit) -> Decimal | None:
    """Read ``1 lb 3 oz`` in the target unit; None when the text has not that shape."""
    unsigned = text.lstrip("+-")
    terms = list(_COMPOUND_TERM.finditer(unsigned))
    if len(terms) < 2 or "".join(term[0] for term in terms) != unsigned:
        return None
    accepted = ACCEPTED[target.dimension.name]
    if any(term[2] not in accepted for term in terms):
        return None
    sizes = [_convert(Decimal(1), accepted[term[2]], target.pint_name) for term in terms]
    whole = all(term[1].isdigit() for term in terms[:-1])
    if not whole or any(low >= high for high, low in zip(sizes, sizes[1:], strict=False)):
        raise QuantityError(
            "Write the larger unit first and decimals only in the last, such as 1 lb 3.5 oz."
        )
    numbers = [_split(term[1])[0] for term in terms]
    total = sum((n * size for n, size in zip(numbers, sizes, strict=True)), Decimal(0))
    return -total if text.startswith("-") else total


def _tidy(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise QuantityError(f"This is too long: at most {LONGEST_TEXT} characters are read.")
    tidy = text.translate(GLYPHS).strip(" ")
    if not tidy:
        raise QuantityError("Enter a number.")
    if any(character.isnumeric() and not character.isascii() for character in tidy):
        raise QuantityError("Use the digits 0 to 9 only.")
    return tidy


def _split(tidy: str) -> tuple[Decimal, str]:
    """Split into the leading number and what follows it."""
    if _FRACTION.search(tidy):
        raise QuantityError("Fractions are not read: write 33.5 for 33 1/2.")
    match = _LEADING_NUMBER.match(tidy)
    if not match:
        raise QuantityError("Enter a number, such as 12.5, with or without a unit after it.")
    if tidy[match.end() :].startswith((".", ",")):
        raise QuantityError("Write the number with one decimal sign and no thousands signs.")
    if _THOUSANDS.fullmatch(match[0]):
        raise QuantityError(
            f"{match[0]} can be read in two ways: write {match[0].replace(',', '')} "
            f"or {match[0].replace(',', '.')}."
        )
    return Decimal(match[0].replace(",", ".")), tidy[match.end() :].strip(" ")


def _why_not_read(rest: str, target: Unit) -> str:
    wanted = f"{_article(target.dimension.name)} is expected here"
    readable = SUGGESTED[target.dimension.name]
    if not readable:
        return "Enter a number without a unit."
    if not _UNIT_TEXT.fullmatch(rest):
        return f"This cannot be read: write one number and one unit; {wanted} ({readable})."
    if rest in ("C", "c"):
        return f"C is a multiple of a pack's capacity: {wanted} ({readable})."
    if rest in ("S", "s") and target.dimension.name == "voltage":
        return f"S counts cells: {wanted} ({readable})."
    for name, spellings in ACCEPTED.items():
        if rest in spellings:
            return f"{rest} is a unit of {name}; {wanted} ({readable})."
    return f"{rest} is not a unit that is read here: write one of {readable}."


def _article(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def _bounded(number: Decimal) -> float:
    if abs(number) > LARGEST:
        raise QuantityError("This number is too large.")
    result = float(number)
    if number and not result:
        raise QuantityError("This number is too small.")
    return result


@cache
def _registry() -> pint.UnitRegistry[Decimal]:
    # Decimal keeps 2.2 Ah at 2200 mAh, where floats give 2200.0000000000005.
    return pint.UnitRegistry(non_int_type=Decimal, cache_folder=None)


def _convert(number: Decimal, source: str, target: str) -> Decimal:
    if source == target:
        return number
    if abs(number) > LARGEST:
        raise QuantityError("This number is too large.")
    converted: Decimal = _registry().Quantity(number, source).to(target).magnitude
    return converted


def preferred_unit(unit: str, mass_unit: str = "g", length_unit: str = "mm") -> str:
    """Answer the unit to show for a person who chose ``g`` or ``oz`` and ``mm`` or ``in``."""
    in_ounces, in_inches = mass_unit == "oz", length_unit == "in"
    if in_ounces and unit in _IN_OUNCES:
        return _IN_OUNCES[unit]
    if in_inches and unit in _IN_INCHES:
        return _IN_INCHES[unit]
    if in_ounces and in_inches:
        return _IN_BOTH.get(unit, unit)
    return unit


def show_quantity(value: float, unit: str, preferred: str) -> tuple[str, str]:
    """Answer the text of a value [unit] in the preferred unit, and that unit's label.

    Rounded for reading only: four significant digits, and never fewer than the whole number.
    Raises QuantityError for a value that is not a finite, bounded number.
    """
    source, target = UNITS[unit], UNITS[preferred]
    number = Decimal(repr(read_number(value)))
    return _rounded(_convert(number, source.pint_name, target.pint_name)), target.label


def _rounded(number: Decimal) -> str:
    if not number:
        return "0"
    decimals = max(0, SHOWN_DIGITS - 1 - number.adjusted())
    text = f"{number.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def format_quantity(value: float, unit: str, mass_unit: str = "g", length_unit: str = "mm") -> str:
    """Write a value [unit] for people, in their units, with a no-break space before the unit."""
    text, label = show_quantity(value, unit, preferred_unit(unit, mass_unit, length_unit))
    if label == "°":
        return f"{text}°"
    return f"{text}\u00a0{label}" if label else text
